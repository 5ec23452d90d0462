"""The result of a price or stock list: its interpretation, the open questions, the changes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from fitsolver.records.figures import NONE, Figures, money
from fitsolver.records.words import counted, some
from fitsolver.reporting.layout import Columns, bullets, heading, indented, pairs, text
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.intake import Article, Asked, Changed, IntakeAnswer, Unclear

#: The file that answers are kept in.
MAPPING: Final = "intake.toml"
#: Most rows shown as understood, most reasons for rows not understood, most changes listed.
_SHOWN: Final = 5
_LISTED: Final = 8
_COLUMNS: Final[Columns] = (
    ("read as", "word"),
    ("column", "text"),
    ("sure", "figure"),
)
_ARTICLES: Final[Columns] = (
    ("number", "text"),
    ("what", "word"),
    ("family", "text"),
    ("bore", "figure"),
    ("oversize", "figure"),
    ("grade", "word"),
    ("price", "figure"),
    ("stock", "figure"),
)


def intake_view(answer: IntakeAnswer, figures: Figures) -> Iterator[RenderableType]:
    """Yield the verdict, the interpretation of the list, then what needs attention."""
    yield text(_verdict(answer), "bold")
    if answer.asked:
        first = not answer.taken_in and any(asked.needed for asked in answer.asked)
        yield heading("To answer first" if first else "To answer, if you can")
        yield bullets(map(_question, answer.asked))
        yield indented(f"Or write the lines into {MAPPING} of the folder.")
    yield heading("Columns")
    yield table(_COLUMNS, [(c.role, c.heading, f"{c.sure:.0%}") for c in answer.columns])
    if answer.unread:
        yield indented(f"Not read: {', '.join(answer.unread)}.")
    if answer.patterns:
        yield heading("Descriptions are read as")
        yield bullets(answer.patterns[:_LISTED])
    yield heading("First rows as understood")
    rows = [article_row(article, figures) for article in answer.articles[:_SHOWN]]
    yield table(_ARTICLES, rows) if rows else indented("No row was understood.")
    if answer.unclear:
        yield heading("Not understood")
        reasons = Counter(f"{item.field}: {item.reason}" for item in answer.unclear)
        where = {f"{item.field}: {item.reason}": item for item in answer.unclear}
        shown = [
            (f"{count} x", reason if count > 1 else f"{reason} ({_place(where[reason])})")
            for reason, count in reasons.most_common(_LISTED)
        ]
        more = len(reasons) - len(shown)
        yield pairs([*shown, *([("", f"and {more} other reasons")] if more > 0 else [])])
    if answer.new or answer.gone or answer.changed:
        yield heading("Since the last list")
        yield pairs(_since(answer))


def _place(item: Unclear) -> str:
    return f"{item.number}, row {item.row}" if item.number else f"row {item.row}"


def _verdict(answer: IntakeAnswer) -> str:
    understood = f"{len(answer.articles)} of {counted(answer.rows, 'row', 'rows')} understood"
    families = len({article.family for article in answer.articles})
    of = f"{understood}, {counted(families, 'family', 'families')}"
    if answer.taken_in:
        return f"TAKEN IN to {answer.folder}: {of}."
    if any(asked.needed for asked in answer.asked):
        return f"NOT TAKEN IN, answers are missing: {of}."
    return f"NOT TAKEN IN yet: {of}. With --yes it is."


def _question(asked: Asked) -> str:
    proposed = f" Proposed: {asked.proposed} ({asked.sure:.0%} sure)." if asked.proposed else ""
    stop = "" if not proposed or asked.question.endswith(("?", ".")) else "."
    return f"{asked.question}{stop}{proposed}\n{asked.option}\nline: {asked.line}"


def article_row(
    article: Article, figures: Figures, none: str = NONE, currency: str = ""
) -> tuple[str, ...]:
    """Return an article of a list as a row of text; `none` stands for a missing figure."""
    size = article.thickness if article.nominal_bore is None else article.nominal_bore
    return (
        article.number,
        article.kind if not article.place else f"{article.place} {article.kind}",
        article.family,
        figures.near(size),
        none if article.oversize is None else figures.near(article.oversize, sign=True),
        article.grade or none,
        none if article.price is None else money(article.price, currency),
        str(article.stock),
    )


def _since(answer: IntakeAnswer) -> Iterator[tuple[str, str]]:
    for word, numbers in (("new", answer.new), ("gone", answer.gone)):
        if numbers:
            yield word, some(list(numbers), _LISTED)
    for field in ("price", "stock", "lead_days"):
        changed = [item for item in answer.changed if item.field == field]
        if changed:
            yield field.replace("_", " "), some([change_said(item) for item in changed], _LISTED)


def change_said(item: Changed) -> str:
    """Return a changed figure of an article in words: before and now."""

    def said(value: int | None) -> str:
        if value is None:
            return "none"
        return money(value) if item.field == "price" else str(value)

    return f"{item.number} {said(item.before)} to {said(item.now)}"
