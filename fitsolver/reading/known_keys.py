"""Keys that a TOML file may not have, in all of its sections, told at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from fitsolver.reading.hints import shown, unknown
from fitsolver.reading.job_keys import EACH, KEYS
from fitsolver.reading.refusals import Refusals

#: Sections of the files beside a job.
_OTHERS: Final = {"each_cylinder": EACH}


def refuse_unknown(data: Mapping[str, Any], keys: Iterable[str], file: str) -> None:
    """Raise InputError for every key of a job, family sheet or shop file that it may not have.

    `keys` are those at the top of the file; the sections are those of a job.
    """
    refused = Refusals(file)
    _look(data, tuple(keys), "", "", file, refused)
    refused.check()


def _look(
    data: Mapping[str, Any],
    keys: tuple[str, ...],
    path: str,
    place: str,
    file: str,
    refused: Refusals,
) -> None:
    for key, value in data.items():
        if key not in keys:
            refused.add(unknown("key", key, keys, file=file, row=place or None, field=key))
            continue
        inner = f"{path}.{key}" if path else key
        known = KEYS.get(inner) or KEYS.get(key) or _OTHERS.get(key)
        for at, table in _tables(key, value) if known else ():
            _look(table, known or (), inner, f"{place}, {at}" if place else at, file, refused)


def _tables(key: str, value: object) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Yield the sections of a name, each with what messages call it."""
    if isinstance(value, dict):
        yield f"[{key}]", value
    for number, item in enumerate(value, start=1) if isinstance(value, list) else ():
        if isinstance(item, dict):
            named = item.get("name") if key == "cylinder" else None
            yield (f"cylinder '{shown(named)}'" if named else f"[[{key}]] {number}"), item
