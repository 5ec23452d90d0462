"""A document never changes under an old version: readers elsewhere rely on it."""

from __future__ import annotations

import json
from hashlib import sha256
from typing import Any, Final, get_args

import pytest

from fitsolver.records.rules import FITS, RULES, ChangeKind
from fitsolver.verbs.registry import DOCUMENTS
from fitsolver.verbs.schemas import json_schema

#: What each version of a document was. When a schema changes, count its version up in
#: fitsolver/records, write the schemas anew and add a line here; lines are never edited once
#: that version was released.
KNOWN: Final[dict[str, dict[int, str]]] = {
    "answer": {1: "5bfd634b6fc70f9b"},
    "arrived": {1: "d52b42d61420dbcf"},
    "final": {1: "3cb0e808163a2aab"},
    "firm": {1: "29d278e6292c772c"},
    "allotment": {1: "97b9f2c5b23a4d07"},
    "alternatives": {1: "623fe3f849851b58"},
    "forms": {1: "7e6e7b5b197b4dfc"},
    "fits": {1: "864aa0e16459fbf5"},
    "ladder": {1: "e3be5d1251cf2398"},
    "review": {1: "d4b251b4ebdc6e48"},
    "history": {1: "647c490026c551fd"},
    "found": {1: "e2c9eb666a1e4fea"},
    "budget": {1: "25126ff371b70e2a"},
    "counter": {1: "c5792f3b113ce787"},
    "gauge": {1: "b304fe1cd70c812e"},
    "why": {1: "09c880fb7740d317"},
    "intake": {1: "fdaa99f7a386d833", 2: "033fa34fb8c76fd1"},
    "pair": {1: "8c8c488193ecf94f"},
    "screen": {1: "1d154e5ec9242201"},
    "stages": {1: "fb3ced868dc6b92b"},
    "hone": {1: "3be06c1efd5bbf54"},
}


#: Lists that a later program may add a word to within a version (docs/json.md).
GROWING: Final = {
    frozenset(RULES): "rules",
    frozenset(FITS): "fits",
    frozenset(get_args(ChangeKind)): "kinds of change",
}


def fingerprint(schema: dict[str, Any]) -> str:
    """A hash of what a schema demands: its names, types and bounds, not its explanations."""
    text = json.dumps(demands(schema), sort_keys=True)
    return sha256(text.encode()).hexdigest()[:16]


def demands(part: Any) -> Any:
    if isinstance(part, list):
        return [demands(item) for item in part]
    if not isinstance(part, dict):
        return part
    found = {}
    for key, value in part.items():
        if key in ("properties", "$defs"):  # names of ours: none of them is an explanation
            found[key] = {name: demands(item) for name, item in value.items()}
        elif key == "enum":
            found[key] = GROWING.get(frozenset(value), value)
        elif key not in ("title", "description"):
            found[key] = demands(value)
    return found


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_changed_document_has_a_new_version(name: str) -> None:
    schema = json_schema(name)
    version = schema["properties"]["schema_version"]["const"]
    assert KNOWN.get(name, {}).get(version) == fingerprint(schema), (
        f"the {name} document changed: count its version up, or add the new version to KNOWN"
    )


def test_versions_are_counted_without_gaps() -> None:
    for name in DOCUMENTS:
        assert sorted(KNOWN[name]) == list(range(1, len(KNOWN[name]) + 1))
        assert len(set(KNOWN[name].values())) == len(KNOWN[name])


def test_a_changed_field_changes_the_fingerprint() -> None:
    before = fingerprint(json_schema("forms"))
    for change in ("type", "name", "bound"):
        schema = json_schema("forms")
        fields = schema["$defs"]["Place"]["properties"]
        if change == "type":
            fields["depth"]["type"] = "number"
        elif change == "name":
            fields["how_deep"] = fields.pop("depth")
        else:
            fields["depth"]["minimum"] = 1
        assert fingerprint(schema) != before
    schema = json_schema("forms")
    schema["$defs"]["Place"]["description"] = "Said better."
    assert fingerprint(schema) == before
