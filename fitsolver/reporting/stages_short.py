"""The machining plan in short: where every stage stops, in one screen of 80 columns.

A longer plan is condensed step by step: equal cylinders share a table, then each cylinder has one
line with a column for each stage, then only the lines that fit are shown.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final, NamedTuple

from fitsolver.records.figures import NONE, Figures
from fitsolver.records.told import cylinder_words, dial_reading, names_together
from fitsolver.reporting.attention import Item, together
from fitsolver.reporting.bore_rows import zero_words, zeros_together
from fitsolver.reporting.layout import SCREEN, Kind, bullets, heading, indented, lines_of
from fitsolver.reporting.tables import columns_needed, table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.stages import CylinderStages, GoAhead, StageCut, StagesAnswer, Target

_Columns = list[tuple[str, Kind]]
_Rows = list[tuple[str, ...]]
_MOST_OF: Final = "Of several cylinders: the most that a stage takes."
_NO_DIAL: Final = "dial: not known before the gauge's zero or the piston's size is"


class Steps(NamedTuple):
    """The stages to one finish size, of one cylinder or of several whose stages stop alike.

    `stops` are stage, lowest, highest, size and dial; `takes` are lengths (ticks), `warm` the
    readings on a warm bore, empty where it is at 20 °C.
    """

    cylinders: tuple[str, ...]
    piston: str
    stops: tuple[tuple[str, ...], ...]
    takes: tuple[int, ...]
    warm: tuple[str, ...]


def stages_in_short(
    answer: StagesAnswer, figures: Figures, room: int | None
) -> list[RenderableType]:
    """Return the stops of the stages in at most `room` lines (None: any), and the bores left as
    they are.
    """
    each = [steps for plan in answer.cylinders for steps in _steps(plan, figures)]
    uncut = [plan.cylinder for plan in answer.cylinders if not plan.machined]
    below: list[RenderableType] = list(_zeros(answer, figures))
    if uncut:
        words = cylinder_words(uncut)
        below.append(indented(f"{words}: nothing is cut, the bore stays as it is"))
    if room is None:
        return _stage_rows(each, figures) + below
    return _fitted(each, figures, room - lines_of(below)) + below


def _zeros(answer: StagesAnswer, figures: Figures) -> Iterator[RenderableType]:
    machined = [plan for plan in answer.cylinders if plan.machined]
    read = [
        (plan.cylinder, zero_words(plan.dial_zero, figures, on_piston=plan.dial_zero_on_piston))
        for plan in machined
        if any(_dial(plan, cut) is not None for target in plan.targets for cut in target.cuts)
    ]
    yield from zeros_together(read)
    if machined and not read:
        yield indented(_NO_DIAL)


def _dial(plan: CylinderStages, cut: StageCut) -> int | None:
    """Return the gauge's reading: zeroed as the job states, otherwise on the new piston."""
    return cut.dial_on_piston if plan.dial_zero is None else cut.dial


def ahead_view(answer: StagesAnswer, figures: Figures) -> list[RenderableType]:
    """Return the stages permitted before a piston is measured; nothing if all are measured."""
    items = [
        Item(plan.cylinder, _ahead(plan.ahead, figures))
        for plan in answer.cylinders
        if plan.ahead is not None
    ]
    return [heading("NEEDS ATTENTION"), bullets(together(items))] if items else []


def _ahead(ahead: GoAhead, figures: Figures) -> str:
    measure = "measure the piston before the last pass: its size decides between two stops"
    if not ahead.cuts:
        return f"{measure}; nothing is cut before that."
    cut = ahead.cuts[-1]
    size = figures.aim(cut.diameter, cut.lowest, cut.highest)
    dial = "" if cut.dial is None else f", dial {dial_reading(cut, cut.dial, figures)}"
    again = "" if ahead.serves_both else " (for the largest piston perhaps once more)"
    return f"{measure}; until then {cut.stage} may go to {size}{dial}{again}."


def _steps(plan: CylinderStages, figures: Figures) -> Iterator[Steps]:
    for target in plan.targets:
        end = "" if target.skirt is None or target.piston == "any" else figures.stated(target.skirt)
        yield Steps(
            (plan.cylinder,),
            end,
            tuple(_stop(plan, cut, figures) for cut in target.cuts),
            tuple(cut.stock for cut in target.cuts),
            _warm(plan, target, figures),
        )


def _stop(plan: CylinderStages, cut: StageCut, figures: Figures) -> tuple[str, ...]:
    return (
        cut.stage,
        *figures.permitted(cut.lowest, cut.highest),
        figures.aim(cut.diameter, cut.lowest, cut.highest),
        dial_reading(cut, _dial(plan, cut), figures),
    )


def _warm(plan: CylinderStages, target: Target, figures: Figures) -> tuple[str, ...]:
    if plan.warm_bore is None:
        return ()
    return tuple(dial_reading(cut, cut.dial_warm, figures) for cut in target.cuts)


def _alike(each: Sequence[Steps]) -> list[Steps]:
    """Return the steps, those that stop alike as one."""
    found: dict[tuple[object, ...], list[Steps]] = {}
    for steps in each:
        found.setdefault((steps.piston, steps.stops, steps.warm), []).append(steps)
    return [
        same[0]._replace(
            cylinders=tuple(name for steps in same for name in steps.cylinders),
            takes=tuple(max(stocks) for stocks in zip(*(s.takes for s in same), strict=True)),
        )
        for same in found.values()
    ]


def _fitted(each: Sequence[Steps], figures: Figures, room: int) -> list[RenderableType]:
    """Return tables in at most `room` lines, told as fully as that permits."""
    as_one = _alike(each)
    for steps in (each, as_one):
        parts = _stage_rows(steps, figures) + _most_of(steps)
        if lines_of(parts) <= room:
            return parts
    parts = []
    for shown in range(len(as_one), 0, -1):
        parts = _cylinder_rows(as_one[:shown])
        told = {name for steps in as_one[:shown] for name in steps.cylinders}
        more = {name for steps in as_one[shown:] for name in steps.cylinders} - told
        if more:
            count = len(more | told)
            parts.append(indented(f"{len(more)} of {count} cylinders more: --show stages"))
        if lines_of(parts) <= room:
            break
    return parts


def _most_of(steps: Sequence[Steps]) -> list[RenderableType]:
    return [indented(_MOST_OF)] if any(len(item.cylinders) > 1 for item in steps) else []


def _stage_rows(each: Sequence[Steps], figures: Figures) -> list[RenderableType]:
    """Return a table with a line a stage."""
    ends, warm = any(steps.piston for steps in each), any(steps.warm for steps in each)
    columns: _Columns = [("\ncyl.", "text")]
    columns += [("\npiston", "figure")] if ends else []
    columns += [("\nstage", "text"), ("\ntakes", "figure"), ("permitted\nlowest", "figure")]
    dial = _some_dial(each)
    columns += [("\nhighest", "figure"), ("stop at\nsize", "figure")]
    columns += [("\ndial", "figure")] * dial
    columns += [("dial on\nwarm bore", "figure")] if warm else []
    rows: _Rows = []
    for steps in each:
        for place, (stage, low, high, size, read) in enumerate(steps.stops):
            head = (names_together(steps.cylinders), *[steps.piston] * ends)
            hot = [steps.warm[place] if steps.warm else ""] * warm
            shown = head if not place else ("",) * len(head)
            takes = figures.up(steps.takes[place])
            rows.append((*shown, stage, takes, low, high, size, *[read] * dial, *hot))
    return [table(columns, rows)] if rows else []


def _some_dial(each: Sequence[Steps]) -> bool:
    return any(stop[4] != NONE for steps in each for stop in steps.stops)


def _cylinder_rows(each: Sequence[Steps]) -> list[RenderableType]:
    """Return tables with a line a cylinder, one for each list of stages.

    Every stage has its size and dial; only its size where the page is too narrow for both, and
    the last one's dial.
    """
    groups: dict[tuple[str, ...], list[Steps]] = {}
    for steps in each:
        groups.setdefault(tuple(stop[0] for stop in steps.stops), []).append(steps)
    parts: list[RenderableType] = []
    for names, group in groups.items():
        dials = len(names) if _some_dial(group) else 0
        columns, rows = _beside(names, group, dials)
        if columns_needed(columns, rows) > SCREEN:
            columns, rows = _beside(names, group, min(dials, 1))
        parts.append(table(columns, rows))
    return parts


def _beside(names: Sequence[str], group: Sequence[Steps], dials: int) -> tuple[_Columns, _Rows]:
    """Return columns and rows, with the dials of the last `dials` stages."""
    ends = any(steps.piston for steps in group)
    columns: _Columns = [("\ncyl.", "text")]
    columns += [("\npiston", "figure")] if ends else []
    first = len(names) - dials
    for place, name in enumerate(names):
        columns.append((f"{name}\nstop at", "figure"))
        columns += [("\ndial", "figure")] if place >= first else []
    rows = []
    for steps in group:
        row = [names_together(steps.cylinders), *[steps.piston] * ends]
        for place, stop in enumerate(steps.stops):
            row += [stop[3], *[stop[4]] * (place >= first)]
        rows.append(tuple(row))
    return columns, rows
