"""The open questions of a list as fields of a form, and the answers read from that form."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final, Literal, NamedTuple

from fitsolver.base.lengths import Unit
from fitsolver.reading.list_headings import Role
from fitsolver.reading.list_kinds import ANSWERS, KINDS, NO_PART
from fitsolver.reading.list_mapping import WORDS, YES_OR_NO
from fitsolver.records.intake import Asked, IntakeAnswer
from fitsolver.usecases.intake_told import NONE, REMARK, YES_NO, told_of

#: What each role of a column is called on the page.
ROLE_WORDS: Final[Mapping[Role, str]] = {
    "number": "part number",
    "description": "description",
    "family": "engine type",
    "kind": "what the article is",
    "bore": "bore",
    "standard": "standard bore",
    "oversize": "oversize",
    "grade": "grade",
    "thickness": "thickness",
    "pieces": "pieces in one article",
    "price": "price",
    "stock": "pieces in stock",
    "lead_days": "days until it comes",
    "currency": "currency",
    "more": "more of the description",
}
#: Roles that a column which is not read may have.
_HELD: Final = (
    *(item for item in ROLE_WORDS.items() if item[0] not in ("number", "description", "currency")),
    (REMARK, "remarks: rows that have one are named"),
)
#: Columns that a list must have.
_ALWAYS: Final = ("number", "family")
Given = tuple[tuple[str, str], ...]


class Question(NamedTuple):
    """A question with its field: the `kind`, the answers to choose from, and the present value."""

    key: str
    words: str
    kind: Literal["choice", "text", "pair", "days"]
    choices: tuple[tuple[str, str], ...]
    value: str
    sure: float
    needed: bool


def questions(answer: IntakeAnswer, given: Given) -> Iterator[Question]:
    """Yield the questions of a list, each with its answer or the proposed one."""
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
        kind, words = "choice", f"What is '{rest}'?" if rest else words.partition("? ")[0] + "?"
        choices = [
            (one, "no part of a catalogue" if one == NO_PART else one)
            for one in (ANSWERS if rest else KINDS)
        ]
    elif what == "decimal":
        kind, choices = "choice", [(",", "comma"), (".", "point")]
    elif what == "lead_days":
        kind, words = "days", words.partition("? ")[0] + "?"
    elif what == "clearance":
        kind = "pair"
    elif what == "skip":
        kind, words = "choice", words.partition("? ")[0] + "?"
        choices = [(NONE, "yes, nothing"), *_HELD]
    elif what == "units":
        kind, choices = "choice", [("mm", "millimetres"), ("in", "inches"), ("um", "micrometres")]
    elif what == "family_by":
        kind, words = "choice", words.partition("? ")[0] + "?"
        choices = [(asked.proposed, "yes, engine types")]
    elif what in WORDS or what in YES_OR_NO:
        kind = "choice"
        choices = [(one, one.replace("_", " ")) for one in WORDS.get(what, tuple(YES_NO))]
    return Question(asked.key, words, kind, tuple(choices), value, asked.sure, asked.needed)


def with_answers(given: Given, fields: Mapping[str, str]) -> Given:
    """Return what was answered before and now; an empty field leaves a question open."""
    new = dict(given)
    for name, value in fields.items():
        kind, _, key = name.partition(":")
        if kind == "a" and value.strip():
            new[key] = value.strip()
        elif kind == "low" and (value.strip() or fields.get(f"high:{key}", "").strip()):
            new[key] = f"{value.strip()} {fields.get(f'high:{key}', '').strip()}"
        elif kind == "none" and value:
            new[key] = NONE
    return tuple(new.items())


def check_answers(given: Given, unit: Unit) -> None:
    """Raise InputError for an invalid answer."""
    told_of(given, unit)
