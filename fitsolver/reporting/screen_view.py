"""What screening came to: how many bores fit, which parts and routes they take."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from rich.console import RenderableType

from fitsolver.reporting.layout import Kind, heading, pairs, table

if TYPE_CHECKING:
    from fitsolver.records.figures import Figures
    from fitsolver.records.screening import ScreenAnswer, Share

_COLUMNS: Final[tuple[tuple[str, Kind], ...]] = (("", "word"), ("bores", "figure"))


def screen_view(answer: ScreenAnswer, _: Figures) -> Iterator[RenderableType]:
    """Yield the counts of a table of bores, and what they take."""
    yield pairs(_facts(answer))
    yield from _taken("Pistons", answer.pistons)
    yield from _taken("Routes", answer.routes)


def _facts(answer: ScreenAnswer) -> Iterator[tuple[str, str]]:
    yield "rows", f"{answer.rows:,}"
    yield "fit", f"{answer.fits:,}"
    yield "nothing fits", f"{answer.nothing_fits:,}"
    if answer.not_asked:
        yield "not asked", ", ".join(answer.not_asked)
    if answer.first_bad is not None:
        bad = answer.first_bad
        yield "bad rows", f"{answer.bad:,}; first: row {bad.row}, {bad.field}: {bad.reason}"
    if answer.out is not None:
        yield "written to", answer.out
    if answer.bad_rows is not None:
        yield "bad rows in", answer.bad_rows


def _taken(title: str, shares: Sequence[Share]) -> Iterator[RenderableType]:
    if shares:
        yield heading(title)
        yield table(_COLUMNS, [(share.name, f"{share.bores:,}") for share in shares])
