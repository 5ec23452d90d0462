"""How firm a pick is, as a table: what may change by how much, and what is picked then."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Final

from fitsolver.base.lengths import Unit, small_length
from fitsolver.records.figures import NONE, Figures
from fitsolver.records.told import cylinder_words
from fitsolver.records.words import FIT_WORDS
from fitsolver.reporting.layout import Kind, bullets, heading, indented, pairs, table
from fitsolver.reporting.sections import WHOLE, Opened, Section

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.firm import FirmAnswer, Margin, Picked

#: Rows shown by default, those that change the pick soonest.
_SOONEST: Final = 10
_AXES: Final = {0: "thrust", 90: "pin"}


def firm_view(
    answer: FirmAnswer, figures: Figures, opened: Opened = WHOLE
) -> Iterator[RenderableType | Section]:
    """Yield what to measure again, the figures that may change least, then all and the pick."""
    if not answer.margins:
        yield indented(f"\nThere is no proven plan to look at ({answer.status}): see `pick`.")
        return
    again = [_again(item, figures) for item in answer.margins if item.measure_again]
    if again:
        yield heading("Measure this again before ordering")
        yield bullets(dict.fromkeys(again))
    now = {item.cylinder: item for item in answer.picked}
    if not opened.has("margins"):
        yield from _smallest(answer.margins, now, figures)
    yield Section("margins", _all(answer.margins, now, figures))
    yield Section("picked", _pick(answer.picked))


def _smallest(
    margins: Iterable[Margin], now: dict[str, Picked], figures: Figures
) -> Iterator[RenderableType]:
    """Yield the figures with the smallest margins, those that are alike as one."""
    known = sorted(
        (item for item in margins if item.margin is not None), key=lambda item: item.margin or 0
    )
    yield heading("What changes the pick soonest")
    if not known:
        yield indented("Nothing that was tried changes it.")
        return
    rows = _as_one(known, now, figures, direction=True)
    yield table(_columns(figures.unit), rows[:_SOONEST])
    if len(rows) > _SOONEST:
        yield indented(f"{len(rows) - _SOONEST} more may go further.")


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
    margins: Iterable[Margin],
    now: dict[str, Picked],
    figures: Figures,
    *,
    direction: bool = False,
) -> list[tuple[str, ...]]:
    """Return a row a figure; figures that are alike but for their cylinders in one row."""
    found: dict[tuple[str, ...], list[str]] = {}
    for item in margins:
        key = (_name(item, direction=direction), *_row(item, now, figures))
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


def _columns(unit: Unit) -> tuple[tuple[str, Kind], ...]:
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
        changes = small_length(margin.margin, figures.unit, "down", symbol=False)
    return figures.near(margin.value), changes, _then(margin, now, figures)


def _name(margin: Margin, *, direction: bool) -> str:
    """Return what may change, without its cylinders; the `direction` of a reading is told."""
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
        return f"never, up to {figures.near(margin.reach)} {'less' if margin.smaller else 'more'}"
    if margin.no_plan:
        return "nothing fits"
    found: dict[str, list[str]] = {}
    for item in margin.becomes:
        found.setdefault(_difference(now[item.cylinder], item), []).append(item.cylinder)
    return "; ".join(f"{cylinder_words(names)}: {said}" for said, names in found.items())


def _difference(now: Picked, then: Picked) -> str:
    """Return what of a cylinder is picked differently."""
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


def _again(margin: Margin, figures: Figures) -> str:
    assert margin.margin is not None and margin.uncertainty is not None
    what = f"skirt of {margin.part}"
    if margin.what == "largest reading":
        axis = "" if margin.angle is None else f", {_AXES.get(margin.angle, f'{margin.angle}°')}"
        depth = "" if margin.depth is None else f" at depth {figures.near(margin.depth)}{axis}"
        what = f"cylinder {', '.join(margin.cylinders)}: the largest reading{depth}"
    change = "less" if margin.smaller else "more"
    by = small_length(margin.margin, figures.unit, "down")
    known = small_length(2 * margin.uncertainty, figures.unit, "up")
    return (
        f"{what}: {by} {change} changes the pick, and it is known to {known} (two standard "
        "uncertainties)"
    )
