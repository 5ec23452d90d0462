"""A plan with the records of its parts, looked up by number and piece."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from fitsolver.base.errors import CheckError
from fitsolver.choices.candidates import shelf
from fitsolver.choices.parts import Candidate, PistonCandidate, RingCandidate
from fitsolver.metrology.form import extremes
from fitsolver.records.base import FitName
from fitsolver.records.catalogue import AS_IS, Catalogue, Gasket, Groove, Route
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import ChosenPart, CylinderPlan, Plan
from fitsolver.records.windows import OPEN, Limits, find_window


@dataclass(frozen=True)
class CylinderView:
    """One cylinder of the plan: its readings, its parts, its sizes afterwards."""

    job: Job
    cylinder: Cylinder
    plan: CylinderPlan
    piston: PistonCandidate
    rings: dict[int, RingCandidate]
    route: Route
    gaskets: tuple[tuple[Gasket, int], ...]

    @property
    def name(self) -> str:
        return self.cylinder.name

    @cached_property
    def extremes(self) -> tuple[int, int]:
        return extremes(self.cylinder)

    @property
    def smallest(self) -> int:
        return self.extremes[0]

    @property
    def largest(self) -> int:
        return self.extremes[1]

    @property
    def base(self) -> int:
        """The size that removal counts from (ticks)."""
        return self.smallest if self.route.restored_bore is None else self.route.restored_bore

    @property
    def follows(self) -> bool:
        """Whether each piston gets a finish size of its own."""
        return self.job.finishing == "piston in hand" and self.route.machined

    @property
    def counted_size(self) -> int:
        """The size that counts for displacement (ticks)."""
        if self.route.machined:
            return self.plan.finish_large
        finished = self.cylinder.finished_size
        return self.largest if finished is None else finished

    def limits(
        self,
        fit: FitName,
        groove: int | None = None,
        *,
        kept: bool = False,
        port: str | None = None,
    ) -> Limits:
        """Return the guarded window of a fit with the piston that is fitted."""
        windows = self.job.windows_for(self.cylinder)
        window = find_window(windows, fit, groove, port, self._stated(fit, groove))
        nominal = self.piston.part.nominal_bore
        if window is None:
            return OPEN
        as_is = fit == "clearance" and not self.route.machined
        return window.limits(nominal, kept=kept, as_is=as_is)

    def _stated(self, fit: FitName, groove: int | None) -> tuple[str, ...]:
        """Return the windows stated by the maker of the fit's part, by name."""
        if fit == "clearance":
            return self.piston.part.stated
        ring = self.rings.get(groove or 0)
        return ring.part.stated if fit == "end_gap" and ring is not None else ()

    @property
    def candidates(self) -> tuple[Candidate, ...]:
        """Piston and rings."""
        return (self.piston, *self.rings.values())

    def fitted(self) -> Iterator[tuple[Groove, RingCandidate]]:
        """Yield every groove of the piston with the ring in it."""
        for groove in self.piston.part.grooves:
            if groove.number not in self.rings:
                raise CheckError(f"cylinder {self.name}: no ring in groove {groove.number}")
            yield groove, self.rings[groove.number]


@dataclass(frozen=True)
class PlanView:
    """The whole plan with its records."""

    job: Job
    catalogue: Catalogue
    plan: Plan
    cylinders: tuple[CylinderView, ...]

    def named(self, names: tuple[str, ...]) -> list[CylinderView]:
        """Return the cylinders of those names."""
        return [view for view in self.cylinders if view.name in names]


def view(job: Job, catalogue: Catalogue, plan: Plan) -> PlanView:
    """Return the plan with its records; raise CheckError where it names an unknown record."""
    if [item.cylinder for item in plan.cylinders] != [item.name for item in job.cylinders]:
        raise CheckError("the plan is for other cylinders than the job")
    parts = shelf(job, catalogue)
    pistons = {candidate.key: candidate for candidate in parts.pistons}
    rings = {candidate.key: candidate for candidate in parts.rings}
    gaskets = {gasket.number: gasket for gasket in catalogue.gaskets}
    routes = {route.name: route for route in (AS_IS, *catalogue.routes)}
    try:
        cylinders = tuple(
            CylinderView(
                job=job,
                cylinder=cylinder,
                plan=item,
                piston=pistons[_key(item.piston)],
                rings={ring.groove: rings[_key(ring)] for ring in item.rings},
                route=routes[item.route],
                gaskets=tuple((gaskets[g.number], g.count) for g in item.gaskets),
            )
            for cylinder, item in zip(job.cylinders, plan.cylinders, strict=True)
        )
    except KeyError as error:
        raise CheckError(f"the plan names {error}, which is not there") from error
    return PlanView(job, catalogue, plan, cylinders)


def _key(part: ChosenPart) -> tuple[str, str]:
    return part.number, part.piece
