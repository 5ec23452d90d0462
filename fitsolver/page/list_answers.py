"""The questions that a list leaves open, as fields of a form, and what is made of their answers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final, Literal, NamedTuple, get_args

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit, parse_length
from fitsolver.reading.list_kinds import ANSWERS, NO_PART
from fitsolver.reading.list_words import Role
from fitsolver.records.intake import Asked, IntakeAnswer
from fitsolver.usecases.intake import Told

ROLES: Final[tuple[str, ...]] = get_args(Role)
#: What stands for an answer that there is none.
NONE: Final = "-"
_MOST_DAYS: Final = 9999
#: What each role of a column is called on the page.
ROLE_WORDS: Final[Mapping[str, str]] = {
    "number": "part number",
    "description": "description",
    "family": "engine type",
    "bore": "bore",
    "oversize": "oversize",
    "grade": "grade",
    "price": "price",
    "stock": "pieces in stock",
    "lead_days": "days until it comes",
    "currency": "currency",
}
#: Columns without which nothing is read.
_ALWAYS: Final = ("number", "family")
Given = tuple[tuple[str, str], ...]


class Question(NamedTuple):
    """A question with its field: `kind` of it, the answers to choose from, what stands in it."""

    key: str
    words: str
    kind: Literal["choice", "text", "pair", "days"]
    choices: tuple[tuple[str, str], ...]
    value: str
    sure: float
    needed: bool


def questions(answer: IntakeAnswer, given: Given) -> Iterator[Question]:
    """Yield what a list leaves open, each with what was answered or is proposed."""
    said = dict(given)
    headings = headings_of(answer)
    for asked in answer.asked:
        yield _question(asked, said.get(asked.key, asked.proposed), headings)


def headings_of(answer: IntakeAnswer) -> tuple[str, ...]:
    """Return the headings of a list: those that are read, then the others."""
    return tuple(dict.fromkeys([*(c.heading for c in answer.columns), *answer.unread]))


def _question(asked: Asked, value: str, headings: tuple[str, ...]) -> Question:
    what, _, rest = asked.key.partition(" ")
    kind: Literal["choice", "text", "pair", "days"] = "text"
    choices: list[tuple[str, str]] = []
    words = asked.question
    if what == "column":
        kind, words = "choice", words.partition("? ")[0] + "?"
        choices = [(head, head) for head in headings]
        if rest not in _ALWAYS:
            choices.append((NONE, "none of them"))
    elif what == "kind":
        kind, words = "choice", f"What is '{rest}'?"
        choices = [(one, "no part of a catalogue" if one == NO_PART else one) for one in ANSWERS]
    elif what == "decimal":
        kind, choices = "choice", [(",", "comma"), (".", "point")]
    elif what == "lead_days":
        kind, words = "days", words.partition("? ")[0] + "?"
    elif what == "clearance":
        kind = "pair"
    return Question(asked.key, words, kind, tuple(choices), value, asked.sure, asked.needed)


def told_by(unit: Unit, given: Given) -> Told:
    """Return what was answered, for the intake; raises InputError for what is no answer."""
    columns: dict[Any, str] = {}
    kinds: dict[str, str] = {}
    single: dict[str, Any] = {}
    clearance: dict[str, tuple[int, int]] = {}
    for key, answer in given:
        what, _, rest = key.partition(" ")
        if what == "column" and rest in ROLES:
            columns[rest] = "" if answer == NONE else answer
        elif what == "kind":
            kinds[rest] = answer
        elif what == "clearance":
            clearance[rest] = _clearance(answer, unit)
        elif what == "lead_days":
            single |= _days(answer)
        elif what == "decimal" and answer in (",", "."):
            single[what] = answer
        elif what == "currency":
            single[what] = answer.strip()[:12]
        elif what == "family":
            single[what] = answer.strip()
    return Told(units=unit, columns=columns, kinds=kinds, clearance=clearance, **single)


def _days(answer: str) -> dict[str, Any]:
    if answer == NONE:
        return {"stock_only": True}
    text = answer.strip()
    if not (text.isdecimal() and text.isascii() and int(text) <= _MOST_DAYS):
        raise InputError("this is no number of days", found=answer[:20], allowed="0 to 9999")
    return {"lead_days": int(text)}


def _clearance(answer: str, unit: Unit) -> tuple[int, int]:
    parts = answer.replace(",", ".").split()
    try:
        low, high = (parse_length(part, unit) for part in parts)
    except ValueError as error:
        raise InputError(
            "this is no clearance",
            found=answer[:40],
            allowed="its lowest and its highest, as 0.045",
        ) from error
    if not 0 <= low <= high:
        raise InputError("the lowest clearance is above the highest", found=answer[:40])
    return low, high


def with_answers(given: Given, fields: Mapping[str, str], unit: Unit) -> Given:
    """Return what was answered before and now; an empty field leaves a question open.

    Raises InputError for an answer that is none.
    """
    new = dict(given)
    for name, value in fields.items():
        kind, _, key = name.partition(":")
        if kind == "a" and value.strip():
            new[key] = value.strip()
        elif kind == "low" and (value.strip() or fields.get(f"high:{key}", "").strip()):
            new[key] = f"{value.strip()} {fields.get(f'high:{key}', '').strip()}"
        elif kind == "none" and value:
            new[key] = NONE
    told_by(unit, tuple(new.items()))
    return tuple(new.items())
