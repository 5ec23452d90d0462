"""Part sets and plans on the page: a row each, what differs marked, other gaskets folded away."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache

import pytest

from fitsolver.page.compared import Row, compared_plans, compared_sets, without_compared
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.job_file import read_job
from fitsolver.records.alternatives import AlternativesAnswer
from fitsolver.records.plan import Fit
from fitsolver.records.verdicts import FitsAnswer
from fitsolver.usecases.alternatives import next_plans
from fitsolver.usecases.fits import sets_for

from .serving import DEMOS


@cache
def sets(demo: str) -> FitsAnswer:
    return sets_for(read_job(DEMOS / demo / "job.toml"), read_catalogue(DEMOS / demo))


@cache
def plans(demo: str) -> AlternativesAnswer:
    return next_plans(read_job(DEMOS / demo / "job.toml"), read_catalogue(DEMOS / demo), count=5)


def every(rows: Iterable[Row]) -> Iterator[Row]:
    for row in rows:
        yield from (row, *row.folded)


@pytest.mark.parametrize("demo", ["pump", "launch", "brushsaw"])
def test_every_set_has_one_row(demo: str) -> None:
    answer = sets(demo)
    tables = compared_sets(answer)
    rows = [[*every(one.rows), *every(one.more_rows)] for one in tables]
    found = [[row.name for row in of] for of in rows]
    assert [sorted(map(int, of)) for of in found] == [list(range(1, len(of) + 1)) for of in found]
    distinct = {tuple(s.model_copy(update={"cylinder": ""}) for s in answer.sets if s.cylinder == n)
                for n in {s.cylinder for s in answer.sets}}  # fmt: skip
    assert sorted(len(of) for of in found) == sorted(len(of) for of in distinct)
    for one in tables:
        assert {len(row.cells) for row in every(one.rows)} <= {len(one.columns)}


def test_a_missed_fit_is_marked_where_it_stands() -> None:
    answer = sets("pump")
    worn = compared_sets(answer)[1]
    assert worn.said == "0 of 17 sets fit. The nearest:"
    [row] = worn.rows
    nearest = next(item for item in answer.sets if item.cylinder == "2")
    missed = {fit.fit for fit in nearest.fits if not fit.holds}
    marked = [
        name
        for (name, kind), cell in zip(worn.columns, row.cells, strict=True)
        if cell.mark == "missed" and kind == "figure"
    ]
    assert marked == ["clearance", "end gap 1", "end gap 2"]
    assert {"clearance", "end_gap"} <= missed
    assert "clearance by 0.119" in row.cells[1].said


def test_what_differs_from_the_first_set_is_marked() -> None:
    table = compared_sets(sets("brushsaw"))[0]
    names = [name for name, _ in table.columns]
    second = {
        name
        for name, cell in zip(names, table.rows[1].cells, strict=True)
        if cell.mark == "differs"
    }
    assert second == {"piston or kit", "price EUR", "end gap 1", "end gap 2", "rings"}
    assert not any(cell.mark for cell in table.rows[0].cells)


def test_sets_of_other_gaskets_only_are_folded_away() -> None:
    answer = sets("brushsaw")
    first = answer.sets[0]
    other = first.model_copy(
        update={"gaskets": ("BG-050",), "fits": tuple(map(thicker, first.fits))}
    )
    table = compared_sets(answer.model_copy(update={"sets": (first, other, *answer.sets[1:])}))[0]
    assert [row.name for row in table.rows] == ["1", "3", "4"]
    assert [row.name for row in table.rows[0].folded] == ["2"]
    marks = [cell.mark for cell in table.rows[0].folded[0].cells]
    assert marks.count("differs") == 2  # the squish and the gasket


def thicker(fit: Fit) -> Fit:
    more = {"least": fit.least + 2000, "most": fit.most + 2000}
    return fit.model_copy(update=more) if fit.fit == "squish" else fit


def test_plans_of_other_gaskets_only_are_folded_away() -> None:
    answer = plans("pump")
    [table] = compared_plans(answer)
    only = [
        plan.rank
        for plan in answer.plans
        if plan.changes and all(c.what.startswith("gasket") for c in plan.changes)
    ]
    assert only == [2]
    assert [row.name for row in table.rows] == ["1, the best", "3", "5"]
    assert [[row.name for row in one.folded] for one in table.rows] == [["2"], ["4"], []]
    names = [name for name, _ in table.columns]
    rings = names.index("ring of groove 2")
    assert table.rows[1].cells[rings] == ("cylinder 1: PR2-050\ncylinder 2: PR2-075", "differs")
    assert not any(cell.mark for cell in table.rows[0].cells)


def test_what_the_tables_tell_is_not_told_again() -> None:
    assert [part.heading for part in without_compared(sets("pump"))] == ["", "Cautions"]
    assert [part.heading for part in without_compared(plans("pump"))] == ["", "Cautions"]
    alone = plans("pump").model_copy(update={"plans": plans("pump").plans[:1]})
    assert not compared_plans(alone)
    assert len(without_compared(alone)) > 2
