"""Bores by the million: for each the best piston, rings and route, as `pick` would choose.

Integer tables give removal and filing. Price, days and numbers break ties, once for every set of
combinations of equal cut and filing. With kits the solver decides, on the first bore of the set;
its plan must agree with the tables.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd

from fitsolver.base.errors import CheckError
from fitsolver.choices.candidates import shelf
from fitsolver.choices.options import choices
from fitsolver.choices.types import NO_BOUND, CylinderChoices, RouteChoice
from fitsolver.picking.decide import decide
from fitsolver.reading.columns import Ints
from fitsolver.records.catalogue import Route
from fitsolver.records.plan import Answer
from fitsolver.screening.as_is import AsIs
from fitsolver.screening.combinations import Combinations, combinations
from fitsolver.screening.equals import Choice, Equal, Equals
from fitsolver.screening.pattern import Pattern
from fitsolver.screening.segments import Segments, segments

#: Restored bores rank after all others; bores without a fit rank last.
_RESTORED: Final = NO_BOUND * 4
_NOTHING: Final = NO_BOUND * 16
#: Rules whose refusal of a route depends on the bore: asked row by row.
_BY_ROW: Final = ("clean_up", "form")


@dataclass(frozen=True)
class Bores:
    """Bores of one material: largest and smallest local size, depth of the scratch (ticks)."""

    largest: Ints
    smallest: Ints
    scratch: Ints

    def __len__(self) -> int:
        return len(self.largest)


@dataclass(frozen=True)
class Screened:
    """For every bore the number of its choice, and its sizes (ticks).

    `finish` is the finish size (the largest, where it waits for the piston), or the largest local
    size of an uncut bore. Where nothing fits all are 0.
    """

    choice: Ints
    finish: Ints
    removal: Ints
    filing: Ints


@dataclass(frozen=True)
class _Route:
    """A machined route with its segments."""

    choice: RouteChoice
    table: Combinations
    segments: Segments

    def clean(self, bores: Bores) -> Ints:
        """Return C, the least local size at which the bores are clean."""
        route = self.choice.route
        if route.restored_bore is not None:
            return np.full(len(bores), route.restored_bore + route.min_cut, np.int64)
        return bores.largest + np.maximum(route.min_cut, 2 * bores.scratch)

    def look_up(self, bores: Bores) -> tuple[Ints, Ints, Ints]:
        """Return the segment, the finish size and the rank of every bore; a low rank is better.

        The rank is the removal; restored bores rank after all others.
        """
        route, clean = self.choice.route, self.clean(bores)
        at = np.searchsorted(self.segments.starts, clean, "right") - 1
        high = self.table.high[self.segments.first[at]] if len(self.table.high) else clean
        finish = np.maximum(clean, high) + route.half_width
        base = bores.smallest if route.restored_bore is None else route.restored_bore
        removal = finish - base
        fits = self.segments.fits[at]
        if route.max_cut is not None:
            fits &= removal <= route.max_cut
        rank = removal + _RESTORED if route.kind == "restore" else removal
        return at, finish, np.where(fits, rank, _NOTHING)

    def filing(self, bores: Bores, at: Ints) -> Ints:
        """Return the filing for bores that fit, by their segments."""
        rows = self.segments.first[at]
        return self.table.filing(rows, np.maximum(self.clean(bores), self.table.low[rows]))


class Screen:
    """The tables of a pattern, and the ties broken so far."""

    def __init__(self, pattern: Pattern) -> None:
        self.pattern = pattern
        self.choices: list[Choice] = [Choice()]
        self._tables: dict[str, tuple[AsIs | None, list[_Route]]] = {}
        self._numbers: dict[tuple[str, tuple[tuple[int, int], ...]], int] = {}
        self._chosen: dict[Choice, int] = {}
        self._equals = Equals(pattern)

    def tables(self, material: str) -> tuple[AsIs | None, list[_Route]]:
        """Return the tables for bores of a material: as they are, and route by route."""
        if material not in self._tables:
            pattern = self.pattern
            bore = pattern.catalogue.standard_bore
            job = pattern.row_job(bore, bore, 0, material)
            parts = shelf(job, pattern.catalogue)
            (state,) = choices(job, pattern.catalogue, parts)
            left, routes = None, []
            for choice in state.routes:
                if any(refusal.rule not in _BY_ROW for refusal in choice.refusals):
                    continue
                table = combinations(pattern, state, parts, choice)
                if choice.route.machined:
                    routes.append(_Route(choice, table, segments(table)))
                else:
                    left = _as_is(state, choice.route, table)
            self._tables[material] = left, routes
        return self._tables[material]

    def screen(self, bores: Bores, material: str) -> Screened:
        """Return what is best for every bore of one material."""
        left, routes = self.tables(material)
        size = len(bores)
        best = np.full(size, _NOTHING, np.int64)
        finish, filing = np.zeros(size, np.int64), np.zeros(size, np.int64)
        looked = [route.look_up(bores) for route in routes]
        at = np.full((len(routes) + 1, size), -1, np.int64)
        if left is not None:
            rows, number = left.segments(bores.largest, bores.smallest, bores.scratch)
            at[0, rows], best[rows] = number, 0
        for _, _, rank in looked:
            np.minimum(best, rank, out=best)
        fitting = best < _NOTHING
        for index, (segment, size_of, rank) in enumerate(looked, 1):
            tied = (rank == best) & fitting
            at[index, tied] = segment[tied]
            finish[tied] = size_of[tied]
        if left is not None:
            at[0, best > 0] = -1
            finish[at[0] >= 0] = bores.largest[at[0] >= 0]
        filing = self._least_filed(bores, at, left, routes)
        choice = self._choose(bores, material, at, (finish, best, filing))
        removal = np.where(best >= _RESTORED, best - _RESTORED, best)
        return Screened(choice, finish, np.where(fitting, removal, 0), filing)

    def _least_filed(self, bores: Bores, at: Ints, left: AsIs | None, routes: list[_Route]) -> Ints:
        """Return the least filing, and strike out of `at` the routes with more."""
        filed = np.full(at.shape, _NOTHING, np.int64)
        for index, segment in enumerate(at):
            rows = np.flatnonzero(segment >= 0)
            if not len(rows):
                continue
            some = Bores(bores.largest[rows], bores.smallest[rows], bores.scratch[rows])
            if index:
                filed[index, rows] = routes[index - 1].filing(some, segment[rows])
            elif left is not None:
                filed[0, rows] = left.table.filing(left.first[segment[rows]], some.smallest)
        least = filed.min(axis=0)
        at[filed > least] = -1
        return np.where(least == _NOTHING, 0, least)

    def _choose(
        self, bores: Bores, material: str, at: Ints, figures: tuple[Ints, Ints, Ints]
    ) -> Ints:
        """Return the number of each bore's choice: one for all bores with the same tied set."""
        code = np.zeros(at.shape[1], np.int64)
        for segment in at:
            if (segment >= 0).any():
                pair = code * (int(segment.max()) + 2) + segment + 1
                code, _ = pd.factorize(pair)
                code = code.astype(np.int64)
        codes, first = _first_rows(code)
        numbers = np.zeros(int(codes.max(initial=0)) + 1, np.int64)
        for each, row in zip(codes.tolist(), first.tolist(), strict=True):
            equals = tuple((int(r), int(s)) for r, s in enumerate(at[:, row]) if s >= 0)
            numbers[each] = self._number(bores, material, equals, row, figures)
        return numbers[code]

    def _number(
        self,
        bores: Bores,
        material: str,
        equals: tuple[tuple[int, int], ...],
        row: int,
        figures: tuple[Ints, Ints, Ints],
    ) -> int:
        if not equals:
            return 0
        key = material, equals
        if key not in self._numbers:
            found = self._equals.settle(list(self._named(material, equals)))
            if found is None:
                found = self._ask(bores, material, row, figures)
            if found not in self._chosen:
                self._chosen[found] = len(self.choices)
                self.choices.append(found)
            self._numbers[key] = self._chosen[found]
        return self._numbers[key]

    def _named(self, material: str, equals: tuple[tuple[int, int], ...]) -> Iterator[Equal]:
        """Yield the route, its combinations and the best of them for each segment."""
        left, routes = self.tables(material)
        for index, segment in equals:
            if index:
                route = routes[index - 1]
                yield route.choice.route, route.table, route.segments.chosen[segment]
            elif left is not None:
                yield left.route, left.table, left.chosen[segment]

    def _ask(
        self, bores: Bores, material: str, row: int, figures: tuple[Ints, Ints, Ints]
    ) -> Choice:
        """Return what `pick` chooses for one bore; raise CheckError when its figures differ."""
        finish, rank, filing = (int(each[row]) for each in figures)
        job = self.pattern.row_job(
            int(bores.largest[row]), int(bores.smallest[row]), int(bores.scratch[row]), material
        )
        answer = decide(job, self.pattern.catalogue, rows_back=False)
        if _figures_of(answer) != (finish, rank, filing):
            raise CheckError(
                f"the tables of screening say {(finish, rank, filing)} (10 nm), the solver "
                f"{_figures_of(answer)} for a bore of {int(bores.smallest[row])} to "
                f"{int(bores.largest[row])}"
            )
        return choice_of(answer)


def _first_rows(code: Ints) -> tuple[Ints, Ints]:
    """Return every code that is there, and the first row of each."""
    first = np.full(int(code.max(initial=0)) + 1, -1, np.int64)
    first[code[::-1]] = np.arange(len(code) - 1, -1, -1)
    codes = np.flatnonzero(first >= 0)
    return codes, first[codes]


def _as_is(state: CylinderChoices, route: Route, table: Combinations) -> AsIs:
    """A row is gauged at one depth: its out-of-round is the spread, its taper unknown."""
    taper = state.limits("taper", state.largest, None, kept=False)
    straight = (taper.low or 0) <= 0 and (taper.high is None or taper.high >= 0)
    limits = state.limits("out_of_round", state.largest, None, kept=False)
    return AsIs(route, table, limits, round_fits=straight)


def choice_of(answer: Answer) -> Choice:
    """Return what of an answer with one cylinder stands in a row."""
    if answer.plan is None:
        return Choice()
    (cylinder,) = answer.plan.cylinders
    rings = tuple(r.number for r in sorted(cylinder.rings, key=lambda ring: ring.groove))
    return Choice(
        cylinder.piston.number, rings, cylinder.route, answer.plan.price, answer.plan.days
    )


def _figures_of(answer: Answer) -> tuple[int, int, int] | None:
    """Return finish size, rank and filing of an answer with one cylinder."""
    if answer.plan is None:
        return None
    (cylinder,) = answer.plan.cylinders
    finish = cylinder.finish_large if cylinder.machined else cylinder.bore_high
    rank = cylinder.removal + (_RESTORED if cylinder.restored else 0)
    return finish, rank, sum(ring.filing for ring in cylinder.rings)
