"""JSON documents and their published schemas (JSON Schema, draft 2020-12).

`python -m fitsolver.reporting.schema` writes the schema files that are shipped; a test fails
when they are stale.
"""

from __future__ import annotations

import json
from importlib import import_module
from pathlib import Path
from typing import Any, Final

from fitsolver.records.base import Record

#: Document name to the record it is: the name is also that of the schema file.
DOCUMENTS: Final = {
    "answer": "fitsolver.records.plan:Answer",
    "arrived": "fitsolver.records.arrived:ArrivedAnswer",
    "final": "fitsolver.records.final:FinalAnswer",
    "firm": "fitsolver.records.firm:FirmAnswer",
    "allotment": "fitsolver.records.allotment:AllotmentAnswer",
    "alternatives": "fitsolver.records.alternatives:AlternativesAnswer",
    "forms": "fitsolver.records.forms_answer:FormsAnswer",
    "fits": "fitsolver.records.verdicts:FitsAnswer",
    "ladder": "fitsolver.records.ladder:LadderAnswer",
    "review": "fitsolver.records.review:CatalogueReview",
    "history": "fitsolver.records.book:HistoryAnswer",
    "found": "fitsolver.records.book:FoundAnswer",
    "budget": "fitsolver.records.budget:BudgetAnswer",
    "gauge": "fitsolver.records.gauge:GaugeStudy",
    "why": "fitsolver.records.why:WhyAnswer",
    "pair": "fitsolver.records.pairing:PairAnswer",
    "screen": "fitsolver.records.screening:ScreenAnswer",
    "stages": "fitsolver.records.stages:StagesAnswer",
    "hone": "fitsolver.records.hone:HoneAnswer",
}
_DRAFT: Final = "https://json-schema.org/draft/2020-12/schema"


def to_json(record: Record) -> str:
    """Return a record as JSON, the same bytes for the same record, ending in a line break.

    Pure ASCII (other characters are escaped), so that a pipe's encoding cannot spoil it.
    """
    return _text(record.model_dump(mode="json"))


def json_schema(name: str) -> dict[str, Any]:
    """Return the JSON Schema of a document; KeyError for a name not in `DOCUMENTS`.

    Every field is always written, so every field is required; the version is a constant.
    """
    module, _, record = DOCUMENTS[name].partition(":")
    model: type[Record] = getattr(import_module(module), record)
    schema = model.model_json_schema(mode="serialization")
    for part in (schema, *schema.get("$defs", {}).values()):
        if "properties" in part:
            part["required"] = list(part["properties"])
    version = schema["properties"]["schema_version"]
    version["const"] = version.pop("default")
    identity = f"urn:fitsolver:{name}:{version['const']}"
    return {"$schema": _DRAFT, "$id": identity, **schema}


def schema_text(name: str) -> str:
    """Return the content of the shipped schema file of a document."""
    return _text(json_schema(name))


def _text(value: object) -> str:
    return json.dumps(value, indent=2) + "\n"


def schema_path(name: str) -> Path:
    """Return where the schema file of a document is shipped."""
    return Path(__file__).parent / "schemas" / f"{name}.schema.json"


def write_schemas() -> None:
    """Write all schema files anew."""
    for name in DOCUMENTS:
        schema_path(name).write_text(schema_text(name), encoding="utf-8")


if __name__ == "__main__":
    write_schemas()
