"""Keys that a TOML file may not have, in all of its sections, told at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from fitsolver.base.errors import InputError, meant
from fitsolver.reading.hints import meant_of, shown, unknown
from fitsolver.reading.job_keys import EACH, KEYS
from fitsolver.reading.refusals import Refusals

#: Sections of the files beside a job.
_OTHERS: Final = {"each_cylinder": EACH}


def unknown_keys(data: Mapping[str, Any], keys: Iterable[str], file: str) -> Refusals:
    """Return the refusal of every key of a job, family sheet or shop file that it may not have.

    `keys` are those at the top of the file; the sections are those of a job.
    """
    refused = Refusals(file)
    _look(data, tuple(keys), "", "", file, refused)
    return refused


def of_known(data: Mapping[str, Any], keys: Iterable[str]) -> dict[str, Any]:
    """Return the entries of a section under its known keys."""
    return {key: data[key] for key in keys if key in data}


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
            bare = InputError("unknown key", file=file, row=place or None, field=key)
            refused.add(bare if refused.full else _unknown(key, keys, file, place))
            continue
        inner = f"{path}.{key}" if path else key
        known = KEYS.get(inner) or KEYS.get(key) or _OTHERS.get(key)
        for at, table in _tables(key, value) if known else ():
            _look(table, known or (), inner, f"{place}, {at}" if place else at, file, refused)


def _unknown(key: str, keys: tuple[str, ...], file: str, place: str) -> InputError:
    error = unknown("key", key, keys, file=file, row=place or None, field=key)
    homes = [name for name, known in (*KEYS.items(), *_OTHERS.items()) if key in known and name]
    within = next((f"[{name}]" for name in homes if name in keys or name in _OTHERS), "")
    usual = {"min": "low", "max": "high"}.get(key, "")
    if within and meant_of(key, keys) is None:
        error.message += f" (it goes into {within})"
    elif usual in keys:
        error.message += meant(usual)
    return error


def _tables(key: str, value: object) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Yield the sections of a name, each with its name in messages."""
    if isinstance(value, dict):
        yield f"[{key}]", value
    for number, item in enumerate(value, start=1) if isinstance(value, list) else ():
        if isinstance(item, dict):
            named = item.get("name") if key == "cylinder" else None
            yield (f"cylinder '{shown(named)}'" if named else f"[[{key}]] {number}"), item
