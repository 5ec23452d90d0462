"""Records as JSON documents and as JSON Schema (draft 2020-12)."""

from __future__ import annotations

import json
from typing import Any, Final

from fitsolver.records.base import Record

_DRAFT: Final = "https://json-schema.org/draft/2020-12/schema"


def to_json(record: Record) -> str:
    """Return a record as JSON, the same bytes for the same record, ending in a line break.

    Pure ASCII (other characters are escaped), so that a pipe's encoding cannot spoil it.
    """
    return json_text(record.model_dump(mode="json"))


def schema_of(name: str, model: type[Record]) -> dict[str, Any]:
    """Return the JSON Schema of a document, by its name and its record.

    Every field is always written, so every field is required; the version is a constant.
    """
    schema = model.model_json_schema(mode="serialization")
    for part in (schema, *schema.get("$defs", {}).values()):
        if "properties" in part:
            part["required"] = list(part["properties"])
    version = schema["properties"]["schema_version"]
    version["const"] = version.pop("default")
    identity = f"urn:fitsolver:{name}:{version['const']}"
    return {"$schema": _DRAFT, "$id": identity, **schema}


def json_text(value: object) -> str:
    """Return a value as JSON, as documents and schemas are written."""
    return json.dumps(value, indent=2) + "\n"
