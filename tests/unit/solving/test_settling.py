"""Levels settled together: as many in one solve as the solver's arithmetic has room for."""

from __future__ import annotations

from ortools.sat.python import cp_model

from fitsolver.base.deadline import Clock
from fitsolver.solving.settling import Levels
from fitsolver.solving.slots import Slot, groups


def test_more_levels_than_one_solve_has_room_for() -> None:
    """Of each pair one can be served, so the first is: 2 to the 70 outgrows 64 bits."""
    cp = cp_model.CpModel()
    kept = [cp.new_bool_var("") for _ in range(70)]
    for one, other in zip(kept[::2], kept[1::2], strict=True):
        cp.add_bool_or(~one, ~other)
    slots = [Slot(1 - each, 0, 1) for each in kept]
    assert len(list(groups(slots))) > 1
    search = Levels(cp, Clock())
    search.settle_all([f"level {at}" for at in range(70)], slots)
    assert search.values() == (0, 1) * 35
    assert search.bounds == [0, 1] * 35


def test_levels_that_no_time_is_left_for_are_open() -> None:
    cp = cp_model.CpModel()
    slots = [Slot(1 - cp.new_bool_var(""), 0, 1) for _ in range(5)]
    search = Levels(cp, Clock(limit=0.0))
    search.settle_all(["one"] * 5, slots)
    assert search.bounds[1:] == [None] * 4
