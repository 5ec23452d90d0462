"""The sensitivity of a pick as a table: each figure, its margin, and the pick beyond the margin."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Final

from fitsolver.base.lengths import Unit, small_length
from fitsolver.records.figures import NONE, Figures
from fitsolver.records.told import cylinder_words, in_order
from fitsolver.records.words import FIT_WORDS
from fitsolver.reporting.folded import Told, folded
from fitsolver.reporting.layout import (
    SCREEN_LINES,
    Columns,
    as_many,
    bullets,
    heading,
    indented,
    lines_of,
    pairs,
    text,
)
from fitsolver.reporting.sections import WHOLE, Opened, Section
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.firm import FirmAnswer, Margin, Picked

#: Number of rows shown by default: the smallest margins.
_SOONEST: Final = 10
_FIRM: Final = (
    "FIRM: no measured figure is known so badly that other parts may be right (two standard "
    "uncertainties)."
)
_LEAST_OF: Final = "Of several cylinders: the one whose figure may go least."
_AXES: Final = {0: "thrust", 90: "pin"}


def firm_view(
    answer: FirmAnswer, figures: Figures, opened: Opened = WHOLE, used: int = 4
) -> Iterator[RenderableType | Section]:
    """Yield the figures to measure again, those with the least margin, then all figures and the
    pick.

    `used` lines of the first screen are taken by what stands above it.
    """
    if not answer.margins and answer.status == "proven best":
        yield indented("\nNo figure was followed to its end within the time.")
        return
    if not answer.margins:
        yield indented(f"\nThere is no proven plan to look at ({answer.status}): see `pick`.")
        return
    known = [item for item in answer.margins if item.margin is not None]
    known.sort(key=lambda item: item.margin or 0)
    now = {item.cylinder: item for item in answer.picked}
    parts = _measure_again(answer.margins, known, list(now), figures, opened)
    if not opened.has("margins"):
        room = SCREEN_LINES - used - lines_of(parts)
        parts += _smallest(known, now, figures, room)
    yield from parts
    yield Section("margins", _all(answer.margins, now, figures))
    yield Section("picked", _pick(answer.picked))


def _measure_again(
    margins: Iterable[Margin],
    known: Sequence[Margin],
    order: Sequence[str],
    figures: Figures,
    opened: Opened,
) -> list[RenderableType]:
    """Return the figures to measure again, the least margin first, or a line that says there are
    none.
    """
    again = [_again(item, figures) for item in known if item.measure_again]
    if again:
        told = again if opened.has("margins") else folded(again)
        told = [g._replace(cylinders=in_order(g.cylinders, order)) for g in told]
        words = dict.fromkeys(f"{g.words}: {g.sentences[0]}" for g in told)
        return [heading("Measure this again before ordering"), bullets(words)]
    if any(item.uncertainty is not None for item in margins):
        return ["", text(_FIRM, "bold green")]
    return []


def _smallest(
    known: Sequence[Margin], now: dict[str, Picked], figures: Figures, room: int
) -> list[RenderableType]:
    """Return the figures with the smallest margins in `room` lines, those that are alike as one."""
    title = heading("What changes the pick soonest")
    if not known:
        return [title, indented("Nothing that was tried changes it.")]
    rows, several = _of_least(known, now, figures)
    columns = _columns(figures.unit)

    def parts(shown: int) -> list[RenderableType]:
        below = [_LEAST_OF] * several
        below += [f"{len(rows) - shown} more may go further."] * (shown < len(rows))
        return [title, table(columns, rows[:shown]), *map(indented, below)]

    return as_many(parts, min(_SOONEST, len(rows)), room)


def _of_least(
    known: Iterable[Margin], now: dict[str, Picked], figures: Figures
) -> tuple[list[tuple[str, ...]], bool]:
    """Return a row a figure, of cylinders that differ in figures only the one that may go least;
    and whether there are such."""
    found: dict[tuple[str, str], tuple[list[str], tuple[str, ...]]] = {}
    several = False
    for item in known:
        cells = _row(item, now, figures)
        key = _name(item, direction=True), cells[-1]
        names, first = found.setdefault(key, ([], cells))
        several |= first != cells
        names += item.cylinders
    rows = [
        (", ".join(filter(None, (name, cylinder_words(in_order(names, list(now)))))), *cells)
        for (name, _), (names, cells) in found.items()
    ]
    return rows, several


def _all(
    margins: Iterable[Margin], now: dict[str, Picked], figures: Figures
) -> Iterator[RenderableType]:
    every = list(margins)
    for title, kind in (
        ("The largest reading, if it were larger", "larger"),
        ("The largest reading, if it were smaller", "smaller"),
        ("Limits of windows, if they were further in", "edge"),
        ("The piston's skirt, if it were wider on each side", "tolerance"),
    ):
        rows = _as_one([item for item in every if _kind(item) == kind], now, figures)
        if rows:
            yield heading(title)
            yield table(_columns(figures.unit), rows)


def _as_one(
    margins: Iterable[Margin], now: dict[str, Picked], figures: Figures
) -> list[tuple[str, ...]]:
    """Return a row a figure; figures that are alike but for their cylinders in one row."""
    found: dict[tuple[str, ...], list[str]] = {}
    for item in margins:
        key = (_name(item, direction=False), *_row(item, now, figures))
        found.setdefault(key, []).extend(item.cylinders)
    return [
        (", ".join(filter(None, (name, cylinder_words(list(dict.fromkeys(names)))))), *cells)
        for (name, *cells), names in found.items()
    ]


def _pick(picked: Iterable[Picked]) -> Iterator[RenderableType]:
    found: dict[str, list[str]] = {}
    for item in picked:
        found.setdefault(_picked(item), []).append(item.cylinder)
    yield heading("Picked")
    yield pairs((cylinder_words(names), said) for said, names in found.items())


def _kind(margin: Margin) -> str:
    if margin.what == "largest reading":
        return "smaller" if margin.smaller else "larger"
    return margin.what.split()[-1]


def _columns(unit: Unit) -> Columns:
    changed = "thou" if unit in ("in", "thou") else "µm"
    return (
        ("figure", "text"),
        ("now", "figure"),
        (f"changes the\npick, {changed}", "figure"),
        ("which is then", "text"),
    )


def _row(margin: Margin, now: dict[str, Picked], figures: Figures) -> tuple[str, ...]:
    changes = NONE
    if margin.margin is not None:
        changes = small_length(margin.margin, figures.unit, "down", finer=True, symbol=False)
    return figures.near(margin.value), changes, _then(margin, now, figures)


def _name(margin: Margin, *, direction: bool) -> str:
    """Return the name of a figure without its cylinders; a reading has its `direction`."""
    if margin.what == "largest reading":
        way = " smaller" if margin.smaller else " larger"
        return f"largest reading{way}" if direction else ""
    if margin.what == "skirt tolerance":
        return f"skirt of {margin.part}" if direction else margin.part
    assert margin.fit is not None
    groove = "" if margin.groove is None else f" {margin.groove}"
    side = margin.what.removesuffix(" edge")
    return f"{FIT_WORDS[margin.fit]}{groove}, {side}"


def _then(margin: Margin, now: dict[str, Picked], figures: Figures) -> str:
    if margin.margin is None:
        return f"never, up to {figures.down(margin.reach)} {'less' if margin.smaller else 'more'}"
    if margin.no_plan:
        return "nothing fits"
    found: dict[str, list[str]] = {}
    for item in margin.becomes:
        found.setdefault(_difference(now[item.cylinder], item), []).append(item.cylinder)
    if [tuple(names) for names in found.values()] == [margin.cylinders]:
        return next(iter(found))  # of the cylinders whose figure it is
    return "; ".join(f"{cylinder_words(names)}: {said}" for said, names in found.items())


def _difference(now: Picked, then: Picked) -> str:
    """Return the differences in the choice of a cylinder."""
    said = []
    if then.piston != now.piston:
        said.append(f"piston {then.piston}")
    if then.rings != now.rings:
        said.append(f"rings {', '.join(then.rings)}")
    if then.gaskets != now.gaskets:
        said.append(f"gaskets {', '.join(then.gaskets) or 'none'}")
    if then.route != now.route:
        said.append(then.route)
    return ", ".join(said)


def _picked(item: Picked) -> str:
    parts = [f"piston {item.piston}"]
    parts += [f"rings {', '.join(item.rings)}"] if item.rings else []
    parts += [f"gaskets {', '.join(item.gaskets)}"] if item.gaskets else []
    return "; ".join((*parts, item.route))


def _again(margin: Margin, figures: Figures) -> Told:
    assert margin.margin is not None and margin.uncertainty is not None
    what = f"the skirt of {margin.part}"
    if margin.what == "largest reading":
        axis = "" if margin.angle is None else f", {_AXES.get(margin.angle, f'{margin.angle}°')}"
        depth = "" if margin.depth is None else f" at depth {figures.near(margin.depth)}{axis}"
        what = f"the largest reading{depth}"
    change = "less" if margin.smaller else "more"
    by = small_length(margin.margin, figures.unit, "down", finer=True)
    known = small_length(2 * margin.uncertainty, figures.unit, "up", finer=True)
    return Told(
        margin.cylinders,
        (
            f"{what}: {by} {change} changes the pick, and it is known to {known} (two standard "
            "uncertainties)",
        ),
    )
