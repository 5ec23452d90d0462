"""The names in a job's lists as the page says them: levels, fits, figures of the family's sheet."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from typing import Final

from fitsolver.metrology.materials import MATERIALS
from fitsolver.page.fields import PARTS
from fitsolver.reading.owned import Owned
from fitsolver.reading.owners import OF_TABLES, window_name
from fitsolver.records.base import FITS, LEVEL_NAMES
from fitsolver.records.windows import place_words
from fitsolver.records.words import LEVEL_WORDS

#: Fields that name a material of the table of expansions.
ALLOYS: Final = ("bore_alloy", "piston_alloy", "ring_alloy")
_WINDOW: Final = "window"
_WINDOWS_SAID: Final = "every window"


def said_name(key: str, name: str) -> str:
    """Return a name in the list of that key in words; one that is not known as it stands."""
    return _SAID[key](name) if key in _SAID else name


def names_typed(key: str, text: str) -> list[str]:
    """Return the names of a list that was typed with commas between, as the job says them.

    A name that has a comma in its words is found whole.
    """
    pieces = [" ".join(piece.split()) for piece in re.split(r"[,;]", text)]
    pieces = [piece for piece in pieces if piece]
    found, at, most = [], 0, _most_pieces(key)
    while at < len(pieces):
        name, taken = _first_name(key, pieces[at : at + most])
        found.append(name)
        at += taken
    return found


def name_typed(key: str, text: str) -> str:
    """Return the job's name for a single one that was typed; what is not known as it stands."""
    return _names(key).get(text.casefold(), text) if key in ALLOYS else text


def _first_name(key: str, pieces: list[str]) -> tuple[str, int]:
    """Return the name at the head of pieces, and of how many of them it is."""
    for taken in range(len(pieces) if key in _SAID else 0, 0, -1):
        name = _known(key, ", ".join(pieces[:taken]))
        if name is not None:
            return name, taken
    return pieces[0], 1


@cache
def _most_pieces(key: str) -> int:
    """Return the most pieces between commas that one name has."""
    return 1 + max((said.count(",") for said in _names(key)), default=0) if key in _SAID else 1


def _known(key: str, text: str) -> str | None:
    """Return the name that a text says, also with the groove or port behind it: `end gap 2`."""
    words = text.casefold()
    known = _names(key)
    if words in known:
        return known[words]
    for said, name in known.items():
        if not words.startswith(f"{said} "):
            continue
        rest = text[len(said) + 1 :]
        if "," not in rest and _may_go_on(key, name):
            return f"{name} {rest}" if key == "no_window" else f"{name}.{rest.replace(' ', '.')}"
    return None


def _may_go_on(key: str, name: str) -> bool:
    """Tell whether a groove or a port may stand behind a name."""
    return key == "no_window" or (name.startswith(f"{_WINDOW}.") and name.count(".") == 1)


@cache
def _names(key: str) -> Mapping[str, str]:
    """Return the names of a list by their words, the longest first, those of the file too."""
    lists = {"best": LEVEL_NAMES, "no_window": FITS, "without": tuple(_figures())}
    every = tuple(MATERIALS) if key in ALLOYS else lists[key]
    found = {name.replace("_", " ").casefold(): name for name in every}
    found |= {name.casefold(): name for name in every}
    found |= {words: one for one, words in LEVEL_WORDS.items()} if key == "best" else {}
    found |= {said_name(key, name).casefold(): name for name in every}
    return dict(sorted(found.items(), key=lambda item: -len(item[0])))


def _figures() -> Iterator[str]:
    """Yield the figures that a sheet or a shop may state, as a job leaves them out."""
    yield from (_WINDOW, *OF_TABLES, *(f"{_WINDOW}.{fit}" for fit in FITS))
    for path, part in PARTS.items():
        if path.startswith("cylinder") or path == _WINDOW:
            continue
        yield from [path] if path else []
        if not part.many:
            yield from (f"{path}.{field.key}".lstrip(".") for field in part.fields)


def _level_said(name: str) -> str:
    """Return a level's words up to their comma: commas stand between names."""
    return next((LEVEL_WORDS[one].partition(",")[0] for one in LEVEL_NAMES if one == name), name)


def _fit_said(name: str) -> str:
    fit, _, groove = name.partition(" ")
    return f"{place_words(fit)} {groove}".strip() if fit in FITS else name


def _alloy_said(name: str) -> str:
    if name not in MATERIALS:
        return name
    kind, _, grade = name.partition("_")
    return f"Al {grade.upper()}" if kind == "al" else f"{kind} {grade}"


def _figure_said(name: str) -> str:
    head, _, rest = name.partition(".")
    if head == _WINDOW:
        fit, _, place = rest.partition(".")
        return f"window of {place_words(fit)} {place}".strip() if rest else _WINDOWS_SAID
    path, _, key = name.rpartition(".")
    if name in PARTS:
        return _small(PARTS[name].title)
    label = next((f.label for f in PARTS[path].fields if f.key == key), "") if path in PARTS else ""
    if not label:
        return name.replace("_", " ")
    return f"{_small(PARTS[path].title)}: {label}" if path else label


def _small(title: str) -> str:
    return title[:1].lower() + title[1:]


_SAID: Final[Mapping[str, Callable[[str], str]]] = {
    "best": _level_said,
    "no_window": _fit_said,
    "without": _figure_said,
    **dict.fromkeys(ALLOYS, _alloy_said),
}


def of_sheets(laid: Mapping[str, object]) -> Iterator[str]:
    """Yield the figures that a job has from its family's sheet, as it would leave them out."""
    if not isinstance(laid, Owned):
        return
    for key, value in laid.items():
        if key == _WINDOW and isinstance(value, list):
            yield from (window_name(one) for one in value if _is_given(one))
        elif isinstance(value, Owned):
            yield from (f"{key}.{inner}" for inner in of_sheets(value))
        elif key in laid.sources and laid.sources[key].owner != "job":
            inner = value if isinstance(value, dict) else {}
            yield from [f"{key}.{one}" for one in inner] or [key]


def _is_given(window: object) -> bool:
    return isinstance(window, Owned) and window.source is not None and window.source.owner != "job"


def lists_said(values: Mapping[str, str], laid: Mapping[str, object]) -> dict[str, list[str]]:
    """Return what may be chosen for each list: every name that is not in it, behind those that
    are."""
    known = {
        "best": LEVEL_NAMES,
        "no_window": FITS,
        "without": tuple(dict.fromkeys(of_sheets(laid))),
    }
    found = {}
    for key, names in known.items():
        typed = values.get(key, "")
        there = names_typed(key, typed)
        before = f"{typed}, " if typed else ""
        found[key] = [before + said_name(key, name) for name in names if name not in there]
    return found
