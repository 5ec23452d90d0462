"""The gaskets of a cylinder: bounds on their total thickness, and the thicknesses reachable."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import chain
from typing import Literal

from ortools.sat.python import cp_model

from fitsolver.records.catalogue import Gasket
from fitsolver.records.job import GasketPlace
from fitsolver.solving.terms import Expr, total

#: The gaskets of a cylinder by place, each with how many are taken.
Stacks = Mapping[str, Sequence[tuple[Gasket, cp_model.IntVar]]]
Side = Literal["low", "high"]
#: An option's lower bound on the least and upper bound on the most thickness (ticks).
Asked = tuple[int | None, int | None, cp_model.IntVar]


def thickness(stacks: Stacks, side: Side, place: str = "") -> Expr:
    """Return the compressed thickness of the gaskets at one place, or of all (ticks)."""
    return total(
        [
            (getattr(gasket.compressed, side), count)
            for name, stack in stacks.items()
            if place in ("", name)
            for gasket, count in stack
        ]
    )


def bound(
    cp: cp_model.CpModel,
    places: Sequence[GasketPlace],
    stacks: Stacks,
    asked: Sequence[Asked],
    place: str = "",
) -> None:
    """Post each option's bounds on the gaskets at one place, or on all; None: no bound."""
    if any(low is not None and low > 0 for low, _, _ in asked):  # no stack is thinner than nothing
        least = [(max(0, low or 0), x) for low, _, x in asked]
        cp.add(thickness(stacks, "low", place) >= total(least))
    if any(high is not None for _, high, _ in asked):
        thickest = _thickest(places, stacks, place)
        most = [(thickest if high is None else high, x) for _, high, x in asked]
        cp.add(thickness(stacks, "high", place) <= total(most))


def _thickest(places: Sequence[GasketPlace], stacks: Stacks, place: str) -> int:
    most = {each.place: each.most for each in places}
    return sum(
        max((gasket.compressed.high for gasket, _ in stack), default=0) * most[name]
        for name, stack in stacks.items()
        if place in ("", name)
    )


def reachable(places: Sequence[GasketPlace], stacks: Stacks, side: Side) -> list[int]:
    """Return every total thickness (ticks) of the gaskets of all places, ascending."""
    sums = {0}
    for place in places:
        each = {getattr(gasket.compressed, side) for gasket, _ in stacks[place.place]}
        counted = [{0}]
        for _ in range(place.most):
            counted.append({so_far + one for so_far in counted[-1] for one in each})
        here = set(chain.from_iterable(counted[place.least :]))
        sums = {so_far + one for so_far in sums for one in here}
    return sorted(sums)
