"""How firm a pick is, as a table: what may change by how much, and what is picked then."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil
from typing import TYPE_CHECKING, Final

from fitsolver.base.lengths import Unit, format_length
from fitsolver.records.figures import NONE, Figures
from fitsolver.records.words import FIT_WORDS
from fitsolver.reporting.layout import Kind, bullets, heading, indented, pairs, table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.firm import FirmAnswer, Margin, Picked

_AXES: Final = {0: "thrust", 90: "pin"}


def firm_view(answer: FirmAnswer, figures: Figures) -> Iterator[RenderableType]:
    """Yield the pick, the margins and what is to be measured again."""
    if not answer.margins:
        yield indented(f"\nThere is no proven plan to look at ({answer.status}): see `pick`.")
        return
    yield heading("Picked")
    yield pairs((f"cylinder {item.cylinder}", _picked(item)) for item in answer.picked)
    now = {item.cylinder: item for item in answer.picked}
    for title, kind in (
        ("The largest reading, if it were larger", "larger"),
        ("The largest reading, if it were smaller", "smaller"),
        ("Edges of windows, if they were further in", "edge"),
        ("The piston's skirt, if it were wider on each side", "tolerance"),
    ):
        rows = [_row(item, now, figures) for item in answer.margins if _kind(item) == kind]
        if rows:
            yield heading(title)
            yield table(_columns(figures.unit), rows)
    again = [_again(item, figures) for item in answer.margins if item.measure_again]
    if again:
        yield heading("Measure this again before ordering")
        yield bullets(again)


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


def _fine(ticks: int, unit: Unit) -> str:
    """Return a small length in µm, exactly, or in thousandths of an inch, rounded down."""
    if unit in ("in", "thou"):
        return format_length(ticks, "thou", "down", places=4)
    return format_length(ticks, "um", places=2)


def _row(margin: Margin, now: dict[str, Picked], figures: Figures) -> tuple[str, ...]:
    changes = NONE if margin.margin is None else _fine(margin.margin, figures.unit)
    return _name(margin), figures.near(margin.value), changes, _then(margin, now, figures)


def _name(margin: Margin) -> str:
    where = ", ".join(margin.cylinders)
    if margin.what == "largest reading":
        return f"cylinder {where}"
    if margin.what == "skirt tolerance":
        return f"{margin.part}, cylinder {where}"
    assert margin.fit is not None
    groove = "" if margin.groove is None else f" {margin.groove}"
    side = margin.what.removesuffix(" edge")
    return f"{FIT_WORDS[margin.fit]}{groove}, {side}, cylinder {where}"


def _then(margin: Margin, now: dict[str, Picked], figures: Figures) -> str:
    if margin.margin is None:
        return f"never, up to {figures.near(margin.reach)} {'less' if margin.smaller else 'more'}"
    if margin.no_plan:
        return "nothing fits"
    return "; ".join(_difference(now[item.cylinder], item) for item in margin.becomes)


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
    return f"cylinder {then.cylinder}: {', '.join(said)}"


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
    unit = figures.unit
    symbol = "thou" if unit in ("in", "thou") else "µm"
    change = "less" if margin.smaller else "more"
    return (
        f"{what}: {_fine(margin.margin, unit)} {symbol} {change} changes the pick, and it is known "
        f"to {_fine(ceil(2 * margin.uncertainty), unit)} {symbol} (two standard uncertainties)"
    )
