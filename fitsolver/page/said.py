"""Refusals in the words of the page: the error, the text typed, the values allowed."""

from __future__ import annotations

import re
from typing import Final

from fitsolver.base.errors import InputError, visible
from fitsolver.page.doubted import without_ids
from fitsolver.page.fields import field_of, label_of
from fitsolver.page.named import said_name
from fitsolver.records.windows import place_words
from fitsolver.records.words import FIT_WORDS

#: Sentences about files and commands that the page drops: it has fields and buttons instead.
_OF_FILES: Final = re.compile(
    r"[^.\n:;]*(\w+ = [\[\"]|(?<!\S)`?--[a-z]|`?fitsolver [a-z]+|take its line out|no_window"
    r"|in quotes|without quotes)[^.\n]*\.?"
)
_SECTION: Final = re.compile(r"\[\[?([a-z_.]+)\]\]?")
_STATED: Final = re.compile(r"\b([a-z_]+) = (?=[+.\d-])")
_TABLE: Final = re.compile(r"an? \[([a-z_.]+)\] table")
_QUOTED: Final = re.compile(r"'([^']+)'")
_KEY: Final = re.compile(r"\b[a-z]+(?:_[a-z]+)+\b")
_EXAMPLE: Final = re.compile(r",? (or a|as a)? ?text with its unit as \"[^\"]*\"|, as \"[^\"]*\"")
_WORDS: Final = (
    ("this key is missing", "this is missing"),
    ("the job file", "the job"),
    ("log: job.hone; ", ""),
    ("job.hone", "the passes"),
    ("this is not a text", "this is no text"),
    ("a job that names none", ""),
    ("; allowed:", ", known are"),
    ("list the shop's routes in routes.csv", "type the shop's routes in its catalogue"),
)


def said(error: InputError | str) -> str:
    """Return a refusal in words for the user of a form; several lines if it has several."""
    if isinstance(error, str):
        return plain(error)
    file = "" if error.file == "job" or error.file.startswith("job '") else visible(error.file)
    parts = (file, _row(error.row), error.field and _field_said(error.field))
    place = ", ".join(filter(None, parts))
    message = plain(_QUOTED.sub(lambda one: f"'{_named(error, one[1])}'", error.message))
    text = f"{place}: {message}" if place else message
    if not file:
        text = text[:1].upper() + text[1:]
    text = text.rstrip(" .;:")
    if error.found is not None and str(error.found) not in message:
        text += f". Typed: {visible(plain(_named(error, str(error.found))))}"
    if allowed := plain(_named(error, error.allowed)).strip(" ,;"):
        text += f". Permitted: {allowed}"
    return text + "."


def _named(error: InputError, text: str) -> str:
    """Return the names of a refusal of a list as that list says them."""
    key = error.field.rpartition(".")[2]
    return ", ".join(said_name(key, name) for name in text.split(", "))


def _field_said(field: str) -> str:
    return said_name("without", field) if field_of(field) else plain(label_of(field))


def plain(text: str) -> str:
    """Return a sentence without the words of files and commands; doubts by their places."""
    text = without_ids(text)
    for old, new in _WORDS:
        text = text.replace(old, new)
    text = _EXAMPLE.sub(" or a figure with its unit", text)
    text = _STATED.sub(lambda found: f"{label_of(found[1])} ", text)
    text = _OF_FILES.sub("", text)
    text = _TABLE.sub(lambda found: label_of(found[1]), text)
    text = _SECTION.sub(lambda found: label_of(found[1]), text)
    text = _KEY.sub(_key, text)
    lines = (" ".join(line.split()).removesuffix(";") for line in text.splitlines())
    return "\n".join(filter(None, lines))


def _key(found: re.Match[str]) -> str:
    word = found[0]
    return FIT_WORDS[word] if word in FIT_WORDS else label_of(word)


def _row(row: int | str | None) -> str:
    if row is None:
        return ""
    return f"row {row}" if isinstance(row, int) else plain(str(row))


def words_of_fit(text: object) -> str:
    """Return a value as people say it: a fit without its underscores."""
    word = str(text)
    fit, _, groove = word.partition(" ")
    if fit in ("end_gap", "ring_seat", "side_clearance", "port_timing", "out_of_round"):
        return place_words(fit, int(groove) if groove.isdecimal() else None)
    return word


def place_of(field: str) -> str:
    """Return the place of a field of the sheet in words."""
    kind, *places = field.split(".")
    if kind == "depth":
        return f"depth in row {int(places[0]) + 1}"
    if kind == "read":
        return f"row {int(places[1]) + 1}"
    found = field_of(field)
    return field if found is None else found.label
