"""The screen of a list that was sent: questions, first rows, changes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Final, TypedDict
from urllib.parse import quote

from fitsolver.page.list_answers import ROLE_WORDS, Question, headings_of, questions
from fitsolver.page.lists import ListState
from fitsolver.page.room import Room
from fitsolver.reading.list_catalogue import UNCLEAR
from fitsolver.reading.list_headings import Role
from fitsolver.reading.list_own import OTHERS
from fitsolver.records.figures import Figures
from fitsolver.records.intake import Article, IntakeAnswer, Unclear
from fitsolver.reporting.intake_view import article_row, change_said
from fitsolver.usecases.intake_told import NONE

#: Most rows shown as understood, most rows shown as not understood, most changes named.
_FIRST: Final = 8
_UNCLEAR: Final = 100
_NAMED: Final = 60


class ListShown(TypedDict):
    """What the screen of a list shows of its answer."""

    questions: tuple[Question, ...]
    open: bool
    understood: int
    families: int
    first: list[tuple[str, ...]]
    columns: list[tuple[str, str, str]]
    headings: Sequence[str]
    role_words: Mapping[Role, str]
    none: str
    reasons: list[tuple[str, int]]
    unclear: Sequence[Unclear]
    changes: list[tuple[str, list[str]]]
    named: int
    undo: bool
    taken: str
    link: str
    cautions: list[str]


def told(room: Room, state: ListState, answer: IntakeAnswer) -> ListShown:
    """Return the screen of a list that was read."""
    figures = Figures(answer.unit)
    asked = () if state.taken else tuple(questions(answer, state.given))
    taken = state.taken if state.taken in room.shelf.all() else ""
    return {
        "questions": asked,
        "open": any(question.needed for question in asked),
        "understood": state.understood or len(answer.articles),
        "families": len({article.family for article in answer.articles}),
        "first": [_row(article, figures, answer.currency) for article in answer.articles[:_FIRST]],
        "columns": _columns(answer),
        "headings": headings_of(answer),
        "role_words": ROLE_WORDS,
        "none": NONE,
        "reasons": Counter(f"{item.field}: {item.reason}" for item in answer.unclear).most_common(
            8
        ),
        "unclear": answer.unclear[:_UNCLEAR],
        "changes": _changes(answer),
        "named": _NAMED,
        "undo": bool(taken) and room.shelf.can_undo(taken),
        "taken": taken,
        "link": quote(taken, safe=""),
        "cautions": [_of_page(item) for item in answer.cautions if UNCLEAR not in item],
    }


def _row(article: Article, figures: Figures, currency: str) -> tuple[str, ...]:
    lead = "" if article.lead_days is None else str(article.lead_days)
    return *article_row(article, figures, "", currency), lead


def _columns(answer: IntakeAnswer) -> list[tuple[str, str, str]]:
    """Return role, heading and how sure for each role that a column may have."""
    read = {column.role: column for column in answer.columns}
    return [
        (role, read[role].heading, f"{read[role].sure:.0%}") if role in read else (role, "", "")
        for role in ROLE_WORDS
    ]


def _changes(answer: IntakeAnswer) -> list[tuple[str, list[str]]]:
    """Return the changes since the previous list: the kind of change, and each article in words."""
    found = [("new", list(answer.new)), ("gone", list(answer.gone))]
    words = {"price": "price", "stock": "stock", "lead_days": "days until it comes"}
    for field, label in words.items():
        lines = [change_said(item) for item in answer.changed if item.field == field]
        found.append((label, lines))
    return [(label, lines) for label, lines in found if lines]


def _of_page(caution: str) -> str:
    """Return a caution without the names of files."""
    return caution.replace(OTHERS, "a table of their own").replace(", in rings.csv", "")
