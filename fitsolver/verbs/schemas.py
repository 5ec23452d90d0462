"""The published schema of every document.

`python -m fitsolver.verbs.schemas` writes the schema files that are shipped; a test fails when they
are stale.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from fitsolver import reporting
from fitsolver.reporting.schema import json_text, schema_of
from fitsolver.verbs.registry import DOCUMENTS
from fitsolver.verbs.verb import loaded


def json_schema(name: str) -> dict[str, Any]:
    """Return the JSON Schema of a document; KeyError for a name not in `DOCUMENTS`."""
    return schema_of(name, loaded(DOCUMENTS[name]))


def schema_text(name: str) -> str:
    """Return the content of the shipped schema file of a document."""
    return json_text(json_schema(name))


def schema_path(name: str) -> Path:
    """Return where the schema file of a document is shipped."""
    return Path(reporting.__path__[0]) / "schemas" / f"{name}.schema.json"


def write_schemas() -> None:
    """Write all schema files anew."""
    for name in DOCUMENTS:
        schema_path(name).write_text(schema_text(name), encoding="utf-8")


if __name__ == "__main__":
    write_schemas()
