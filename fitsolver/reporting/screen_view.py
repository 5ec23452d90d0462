"""The result of a screening: the number of bores that fit, their parts and work."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from rich.console import RenderableType

from fitsolver.records.words import counted
from fitsolver.reporting.layout import Columns, bullets, heading, indented, text
from fitsolver.reporting.sections import WHOLE, Opened, Section
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from fitsolver.records.figures import Figures
    from fitsolver.records.screening import FaultyRow, ScreenAnswer, Share

_COLUMNS: Final[Columns] = (("", "word"), ("", "word"), ("bores", "figure"))
#: Part numbers and kinds of work that come with the answer.
_NUMBERS, _WORKS = 5, 3


def screen_view(
    answer: ScreenAnswer, _: Figures, opened: Opened = WHOLE
) -> Iterator[RenderableType | Section]:
    """Yield the counts of a table of bores, the most frequent parts and work, and what needs
    attention.
    """
    yield ""
    yield text(_verdict(answer), _style(answer))
    if answer.not_asked:
        yield indented(f"NOT ASKED: {', '.join(answer.not_asked)}")
    if answer.out is not None:
        yield indented(f"every row is in {answer.out}")
    pistons = list(_most(answer.pistons, _NUMBERS, "piston"))
    works = list(_most(answer.routes, _WORKS, "work"))
    if pistons or works:
        yield table(_COLUMNS, [*pistons, *works])
    if answer.first_bad is not None:
        yield heading("NEEDS ATTENTION")
        yield bullets([_bad(answer, answer.first_bad)])
    if len(pistons) < len(answer.pistons):
        yield Section("pistons", _all("Pistons", answer.pistons))
    if len(works) < len(answer.routes):
        yield Section("work", _all("Work", answer.routes))


def _verdict(answer: ScreenAnswer) -> str:
    bad = f", {counted(answer.bad, 'row is', 'rows are')} bad" if answer.bad else ""
    return (
        f"SCREENED {answer.rows:,} {'bore' if answer.rows == 1 else 'bores'}: {answer.fits:,} fit, "
        f"nothing fits {answer.nothing_fits:,}{bad}."
    )


def _style(answer: ScreenAnswer) -> str:
    return "bold yellow" if answer.bad or answer.nothing_fits else "bold green"


def _bad(answer: ScreenAnswer, first: FaultyRow) -> str:
    where = "" if answer.bad_rows is None else f"; all of them are in {answer.bad_rows}"
    bad = counted(answer.bad, "row is", "rows are")
    return f"{bad} bad; first: row {first.row}, {first.field}: {first.reason}{where}"


def _most(shares: Sequence[Share], most: int, what: str) -> Iterator[tuple[str, ...]]:
    """Yield the rows of the most frequent ones; one row counts the others."""
    shown = shares if len(shares) <= most + 1 else shares[:most]
    for place, share in enumerate(shown):
        yield (what if not place else ""), share.name, f"{share.bores:,}"
    if others := shares[len(shown) :]:
        yield "", f"{len(others):,} others", f"{sum(share.bores for share in others):,}"


def _all(title: str, shares: Sequence[Share]) -> Iterator[RenderableType]:
    yield heading(title)
    yield table(_COLUMNS[1:], [(share.name, f"{share.bores:,}") for share in shares])
