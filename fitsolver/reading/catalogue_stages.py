"""Rows of the table of stages: how the shop splits its routes, in the order of the work."""

from __future__ import annotations

from collections.abc import Sequence

from fitsolver.reading.catalogue_row import Row
from fitsolver.reading.hints import unknown
from fitsolver.records.catalogue import Route, Stage


def stages(rows: Sequence[Row], routes: Sequence[Route]) -> tuple[Stage, ...]:
    """Return the stages of all routes; each leaves less than the one before, the last nothing.

    Raises InputError with file, row, column, what was found and what is allowed.
    """
    cut = {route.name: route for route in routes if route.machined}
    found: list[tuple[Row, Stage]] = []
    for row in rows:
        stage = _stage(row, cut)
        before = [earlier for _, earlier in found if earlier.route == stage.route]
        if any(earlier.name == stage.name for earlier in before):
            raise row.error("stage", "this stage is there twice", "each stage of a route once")
        if before and stage.leaves.high >= before[-1].leaves.low:
            raise row.error(
                "leaves_high",
                f"this is not less than '{before[-1].name}' may leave",
                "less than leaves_low of the stage before",
            )
        found.append((row, stage))
    for row, stage in {stage.route: (row, stage) for row, stage in found}.values():
        _check_last(row, stage)
    return tuple(stage for _, stage in found)


def _stage(row: Row, cut: dict[str, Route]) -> Stage:
    name = row.word("route")
    if name not in cut:
        raise unknown(
            "route that cuts", name, cut, file=row.table.file, row=row.number, field="route"
        )
    leaves = row.span("leaves_low", "leaves_high", above_zero=False)
    half_width = row.length("half_width")
    if half_width and leaves.high and 2 * half_width > leaves.high - leaves.low:
        raise row.error(
            "half_width",
            "local sizes that far apart leave too much or too little",
            "at most half of leaves_high - leaves_low",
        )
    return Stage(route=name, name=row.word("stage"), leaves=leaves, half_width=half_width)


def _check_last(row: Row, stage: Stage) -> None:
    if stage.leaves.high:
        raise row.error(
            "leaves_high", f"the last stage of route '{stage.route}' leaves metal", "0 and 0"
        )
    if stage.half_width is not None:
        raise row.error(
            "half_width", "the last stage holds the size as closely as its route", "an empty cell"
        )
