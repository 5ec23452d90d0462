"""Single values changed in the text of a TOML file, its comments and order left as they are."""

from __future__ import annotations

import copy
import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from fitsolver.base.errors import InputError
from fitsolver.reading.toml_file import parse_toml
from fitsolver.reading.toml_text import plain_toml

_HEADER: Final = re.compile(r"\s*(\[\[?)\s*([\w.-]+)\s*\]\]?\s*(#.*)?")
_LINE: Final = re.compile(
    r"""(\s*)([\w.-]+)(\s*=\s*)((?:"(?:[^"\\]|\\.)*"|'[^']*'|[^#"'])*?)(\s*(?:\#.*)?)"""
)
_FILE: Final = Path("sheet")


@dataclass(frozen=True)
class _Section:
    """A section by its path (`window.2`), from its header's line to the one before the next."""

    path: str
    first: int
    end: int


def with_values(text: str, values: Mapping[str, str], dropped: Collection[str] = ()) -> str:
    """Return a TOML file with values put in, by their path: `engine.stroke`, `window.0.low`.

    A value is TOML; '' takes its key out. `dropped` are items of repeated sections (`window.2`) to
    take out. A path one past the last item begins a new one. Where the text cannot be changed
    line by line it is written anew, with the comments above its first key only. Raises InputError
    for a value that is no TOML.
    """
    wanted = _changed(parse_toml(text, _FILE), values, dropped)
    lines = _taken_out(text.splitlines(), dropped)
    left = _put(lines, {path: value for path, value in values.items() if _kept(path, dropped)})
    added = "\n".join([*lines, *_new(left, _lists(wanted))]).rstrip() + "\n"
    try:
        if parse_toml(added, _FILE) == wanted:
            return added
    except InputError:  # a line that was not what it seemed
        pass
    top = [line for line in text.splitlines() if line.startswith("#")]
    return "\n".join([*top[: _leading(text)], plain_toml(wanted)])


def _kept(path: str, dropped: Collection[str]) -> bool:
    return not any(path.startswith(f"{item}.") for item in dropped)


def _leading(text: str) -> int:
    """Return how many comment lines stand above the first key."""
    lines = text.splitlines()
    return next((n for n, line in enumerate(lines) if not line.startswith("#")), len(lines))


def _changed(
    data: dict[str, Any], values: Mapping[str, str], dropped: Collection[str]
) -> dict[str, Any]:
    new = copy.deepcopy(data)
    for path, value in values.items():
        if _kept(path, dropped):
            _set(new, path.split("."), value)
    for name in {item.rpartition(".")[0] for item in dropped}:
        gone = {int(item.rpartition(".")[2]) for item in dropped if item.startswith(f"{name}.")}
        new[name] = [item for at, item in enumerate(new.get(name, [])) if at not in gone]
        if not new[name]:
            del new[name]
    return new


def _set(table: dict[str, Any], path: list[str], value: str) -> None:
    at: Any = table
    for place, step in enumerate(path[:-1]):
        if isinstance(at, list):
            if int(step) == len(at):
                at.append({})
            at = at[int(step)]
        else:
            empty: Any = [] if path[place + 1].isdecimal() else {}
            at = at.setdefault(step, empty)
    if value:
        at[path[-1]] = parse_toml(f"x = {value}\n", _FILE)["x"]
    else:
        at.pop(path[-1], None)


def _sections(lines: list[str]) -> list[_Section]:
    found: list[tuple[str, int]] = [("", 0)]
    counts: dict[str, int] = {}
    for number, line in enumerate(lines):
        match = _HEADER.fullmatch(line)
        if match is None:
            continue
        name = match[2]
        if match[1] == "[[":
            counts[name] = counts.get(name, -1) + 1
            name = f"{name}.{counts[name]}"
        found.append((name, number))
    ends = [first for _, first in found[1:]] + [len(lines)]
    return [_Section(path, first, end) for (path, first), end in zip(found, ends, strict=True)]


def _taken_out(lines: list[str], dropped: Collection[str]) -> list[str]:
    gone = [s for s in _sections(lines) if s.path in dropped]
    out = {number for section in gone for number in range(section.first, section.end)}
    return [line for number, line in enumerate(lines) if number not in out]


def _put(lines: list[str], values: Mapping[str, str]) -> dict[str, str]:
    """Change lines that stand there, add those of sections there are; return the other values."""
    left = dict(values)
    for section in reversed(_sections(lines)):
        own = section.path and f"{section.path}."
        for number in range(section.end - 1, section.first - 1, -1):
            match = _LINE.fullmatch(lines[number])
            path = f"{own}{match[2]}" if match else ""
            if match is None or path not in left:
                continue
            value = left.pop(path)
            if value:
                lines[number] = f"{match[1]}{match[2]}{match[3]}{value}{match[5]}"
            else:
                del lines[number]
        new = [path for path in left if path.rpartition(".")[0] == section.path and left[path]]
        at = _after(lines, section)
        lines[at:at] = [f"{path.rpartition('.')[2]} = {left.pop(path)}" for path in new]
    return left


def _after(lines: list[str], section: _Section) -> int:
    """Return the line behind the last key of a section."""
    end = min(section.end, len(lines))
    while end > section.first and (not lines[end - 1].strip() or lines[end - 1].startswith("#")):
        end -= 1
    return end


def _lists(data: Mapping[str, Any]) -> set[str]:
    return {key for key, value in data.items() if isinstance(value, list)}


def _new(left: Mapping[str, str], lists: Collection[str]) -> list[str]:
    """Return the lines of sections that were not there."""
    lines: list[str] = []
    sections = dict.fromkeys(path.rpartition(".")[0] for path, value in left.items() if value)
    for section in sections:
        name = section.partition(".")[0]
        lines += ["", f"[[{name}]]" if name in lists else f"[{section}]"]
        lines += [
            f"{path.rpartition('.')[2]} = {value}"
            for path, value in left.items()
            if path.rpartition(".")[0] == section and value
        ]
    return lines
