"""Doubts in the page's words: the place of the doubted figure, and its field."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Final

from fitsolver.page.content import shown, tables
from fitsolver.page.fields import label_of
from fitsolver.records.rules import FITS

_OF_BORE: Final = {
    "unworn": "unworn size",
    "zero": "where its gauge was zeroed",
    "scratch": "deepest scratch",
    "finished_size": "finished size",
    "finished_half_width": "what it was held within",
    "piston_size": "its piston, measured",
    "piston_mass": "the mass of its piston",
}
_OF_PASS: Final = {
    "strokes": "how many strokes",
    "seconds": "how many seconds",
    "temperature": "how warm the bore was",
}
#: An id of a doubt within a sentence.
_NAMED: Final = re.compile(r"\b(?:reading|depth|pass) [^\s:/]+/[^\s:,]+(?=[:,. ]|$)")

_ACCEPTED: Final = re.compile(r"(\bagainst a doubt: )([a-z_]+ [^:]{1,80})(?=: )")


def place_said(name: str) -> str:
    """Return the place of a doubted figure in words, from the doubt's id."""
    kind, _, rest = name.partition(" ")
    if kind in ("reading", "depth") and rest.count("/") >= 2:
        bore, depth, axis = rest.rsplit("/", 2)
        at = f"{_axis(axis)} at depth" if kind == "reading" else "the depth"
        return f"bore {bore}, {at} {depth}"
    if kind == "in_hand":
        number, _, key = rest.partition(" ")
        return f"part in hand {number}" + (f", {label_of(key)}" if key else "")
    if kind == "zone":
        return "zone of rings and skirt" + (f", bore {rest}" if rest else "")
    if kind in _SAID:
        return _SAID[kind](rest)
    return f"bore {rest}, {_OF_BORE[kind]}" if kind in _OF_BORE else name


def _of_pass(rest: str) -> str:
    number, _, place = rest.partition("/")
    parts = place.split("/")
    after = f"bore {parts[0]}, after pass {number}"
    if len(parts) == 1:
        return f"{after}, every reading"
    if len(parts) == 2:
        return f"{after}, {_OF_PASS.get(parts[1], parts[1])}"
    return f"{after}, {_axis(parts[-1])} at depth {parts[-2]}"


def _of_window(rest: str) -> str:
    parts = rest.split("/")
    at = next((n for n, part in enumerate(parts) if part in FITS), len(parts) - 1)
    bore, fit, groove = parts[:at], parts[at], parts[at + 1 :]
    words = [f"what is permitted for {label_of(fit)}"]
    words += [f"groove {one}" for one in groove] + [f"bore {one}" for one in bore]
    return ", ".join(words)


#: How the place of a doubt of some kinds is said, from the rest of its id.
_SAID: Final[Mapping[str, Callable[[str], str]]] = {
    "pass": _of_pass,
    "row": "{} in the catalogue".format,
    "window": _of_window,
}


def _axis(axis: str) -> str:
    return f"{axis}°" if axis.isdecimal() else axis


def without_ids(text: str) -> str:
    """Return a sentence, ids of doubts in it as places in words."""
    text = _ACCEPTED.sub(lambda found: found[1] + place_said(found[2]), text)
    return _NAMED.sub(lambda found: place_said(found[0]), text)


def field_of_doubt(name: str, data: Mapping[str, object]) -> str:
    """Return the doubted field of a job; empty for a doubt about the catalogue or a pass."""
    kind, _, rest = name.partition(" ")
    if kind in _OF_BORE:
        bores = [shown(item.get("name")) for item in tables(data, "cylinder")]
        return f"cylinder.{bores.index(rest)}.{kind}" if rest in bores else ""
    if kind == "in_hand":
        number, _, key = rest.partition(" ")
        return f"in_hand.{int(number) - 1}.{key}" if number.isdecimal() and key else ""
    return "zone.top" if name == "zone" else ""
