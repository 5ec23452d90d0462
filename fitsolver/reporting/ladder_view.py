"""The sizes left of every cylinder, as a table with a few lines under it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import ceil
from typing import TYPE_CHECKING, Final

from rich.console import RenderableType

from fitsolver.choices.rebuild_steps import MOST_COUNTED
from fitsolver.records.figures import NONE, Figures
from fitsolver.records.told import names_together
from fitsolver.records.words import RULE_WORDS, counted
from fitsolver.reporting.layout import SCREEN_LINES, Columns, bullets, heading, indented, pairs
from fitsolver.reporting.sections import WHOLE, Opened, Section
from fitsolver.reporting.tables import Left, table
from fitsolver.reporting.wear_words import next_wear

if TYPE_CHECKING:
    from fitsolver.records.ladder import CylinderLadder, LadderAnswer, Rung
    from fitsolver.records.wear import WearEstimate

_COLUMNS: Final[Columns] = (
    ("size", "word"),
    ("finish\ntoday", "figure"),
    ("removal\nnow", "figure"),
    ("removal after\ntoday's plan", "figure"),
    ("rebuilds\nleft", "figure"),
    ("with", "text"),
)

_SUMMARY: Final[Columns] = (
    ("\ncylinder", "text"),
    ("largest\nnow", "figure"),
    ("largest after\ntoday's plan", "figure"),
    ("bore\nlimit", "figure"),
    ("other\nsizes", "figure"),
    ("rebuilds\nleft", "figure"),
)
#: Most cylinders that the short report shows one by one.
_FEW: Final = 2
#: Lines of the summary's headings.
_HEAD: Final = 6

_SOURCES: Final = {
    "job": ", as the job states",
    "cylinder": ", as the job states for this cylinder",
    "earlier records": ", from earlier records",
}


def ladder_view(
    answer: LadderAnswer, figures: Figures, opened: Opened = WHOLE, used: int = 4
) -> Iterator[RenderableType | Section]:
    """Yield a line a cylinder, then the sizes and the rebuilds left of each.

    `used` lines of the first screen are taken by what stands above it.
    """
    few = len(answer.cylinders) <= _FEW
    if not few:
        rows = _summary(answer.cylinders, figures)
        room = len(rows) if opened.has("sizes") else SCREEN_LINES - used - _HEAD
        yield heading("What is left")
        shown = rows if len(rows) <= room else rows[: room - 1]
        yield table(_SUMMARY, [row for row, _ in shown], [bar for _, bar in shown])
        if len(rows) > room:
            yield indented(f"{len(rows) - room + 1} lines more: --show sizes")
    for ladder in answer.cylinders:
        yield Section("sizes", _sizes(ladder, figures), shut=not few)


def _summary(
    ladders: Iterable[CylinderLadder], figures: Figures
) -> list[tuple[tuple[str, ...], Left]]:
    """Return a row a cylinder with its bar, those that are alike as one."""
    found: dict[tuple[str, ...], list[str]] = {}
    bars: dict[tuple[str, ...], Left] = {}
    for ladder in ladders:
        after = NONE
        if ladder.bore_low is not None and ladder.bore_high is not None:
            after = figures.up(ladder.bore_high)
        larger = sum(not rung.chosen and rung.barred_by is None for rung in ladder.rungs)
        cells = (
            figures.near(ladder.largest),
            after,
            NONE if ladder.bore_limit is None else figures.down(ladder.bore_limit),
            str(larger),
            NONE if ladder.rebuilds_left is None else str(ladder.rebuilds_left),
        )
        found.setdefault(cells, []).append(ladder.cylinder)
        bars[cells] = left_to_limit(ladder)
    return [((names_together(names), *cells), bars[cells]) for cells, names in found.items()]


def left_to_limit(ladder: CylinderLadder) -> Left:
    """Return the metal (ticks) left to the bore limit: after today's plan, and now."""
    if ladder.bore_limit is None or ladder.bore_high is None:
        return None
    return ladder.bore_limit - ladder.bore_high, ladder.bore_limit - ladder.largest


def _sizes(ladder: CylinderLadder, figures: Figures) -> Iterator[RenderableType]:
    yield heading(f"Cylinder {ladder.cylinder}")
    yield pairs(_facts(ladder, figures))
    yield ""
    yield table(_COLUMNS, [_row(rung, figures) for rung in ladder.rungs])
    if (effect := effect_of_today(ladder)) is not None:
        yield bullets([effect])


def _facts(ladder: CylinderLadder, figures: Figures) -> Iterator[tuple[str, str]]:
    yield "bore now", figures.nominal(ladder.smallest, ladder.largest)
    if ladder.bore_low is not None and ladder.bore_high is not None:
        yield "bore after today", figures.expected(ladder.bore_low, ladder.bore_high)
    limit = "none" if ladder.bore_limit is None else figures.down(ladder.bore_limit)
    yield "bore limit", limit
    if ladder.wear_per_rebuild is not None:
        source = _SOURCES.get(ladder.wear_source, "")
        yield "wear per rebuild", figures.up(ladder.wear_per_rebuild) + source
    if (told := ladder.earlier_wear) is not None:
        yield "earlier records", _of_records(told, figures)
    if ladder.no_end:
        yield "rebuilds left", "not counted: no end is stated (see the cautions)"
    if ladder.rebuilds_left is not None and ladder.light_hones is not None:
        most = " or more" if ladder.rebuilds_left == MOST_COUNTED else ""
        yield "rebuilds left", f"{ladder.rebuilds_left}{most} after today's plan, at most"
        yield "light hones", f"{ladder.light_hones} inside the windows of today's size"


def _of_records(told: WearEstimate, figures: Figures) -> str:
    error = f"standard uncertainty {figures.up(ceil(told.uncertainty))}"
    average = "" if told.count == 1 else " on average"
    mean = f"wear {figures.near(told.mean)}{average}"
    return f"{told.count}: {mean}, {error}; the next {next_wear(told, figures)}"


def _row(rung: Rung, figures: Figures) -> tuple[str, ...]:
    size = figures.near(rung.oversize, sign=True) + (" *" if rung.chosen else "")
    left = NONE if rung.rebuilds_left is None else str(rung.rebuilds_left)
    return (
        size,
        figures.up(rung.finish),
        figures.up(rung.removal_now),
        figures.up(rung.removal_after),
        left,
        _with(rung),
    )


def _with(rung: Rung) -> str:
    if not rung.piston:
        return "no route"
    if rung.barred_by is not None:
        return f"not today: {RULE_WORDS[rung.barred_by]}"
    return f"{rung.piston}, {rung.route}" + (" (* today's plan)" if rung.chosen else "")


def effect_of_today(ladder: CylinderLadder) -> str | None:
    """Return the effect of today's choice on the rebuilds left, against the other sizes."""
    others = [
        rung.rebuilds_left
        for rung in ladder.rungs
        if rung.rebuilds_left is not None and not rung.chosen
    ]
    here = ladder.rebuilds_left
    if here is None or not others:
        return None
    best = max(others)
    if best > here:
        return f"another size would leave {counted(best, 'rebuild', 'rebuilds')}, not {here}"
    if best == here:
        return "no other size leaves more; the best of them leaves as many"
    return f"any other size costs {counted(here - best, 'rebuild', 'rebuilds')} or more"
