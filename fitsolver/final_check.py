"""The final check of finished cylinders: readings and gaps in, pass or fail for every fit out.

Nothing is chosen and nothing is filed: the job names the parts that are fitted.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple, TypeVar

from fitsolver.candidates import PistonCandidate, RingCandidate, Shelf, shelf
from fitsolver.errors import InputError
from fitsolver.fits import mass_match
from fitsolver.lengths import format_length
from fitsolver.options import CylinderChoices, PistonChoice, Refusal, choices, make_option
from fitsolver.planning.fit_lines import fit_lines
from fitsolver.planning.floors import forbidden
from fitsolver.records.base import FitName, RuleId
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.final import FinalCylinder
from fitsolver.records.job import Job
from fitsolver.records.verdicts import Verdict
from fitsolver.ring_options import RingOption, offered, ring_option
from fitsolver.selection import CylinderSelection

#: Rules that the fits tell already.
_TOLD: frozenset[RuleId] = frozenset(
    {"side_clearance", "form", "squish", "port_timing", "compression"}
)

#: Fits that the gaskets have a part in.
_OF_THE_STACK: frozenset[FitName] = frozenset({"squish", "port_timing", "compression"})

Candidate = TypeVar("Candidate", PistonCandidate, RingCandidate)


class Final(NamedTuple):
    """Every cylinder by itself, what joins them, and what was taken from the catalogue."""

    cylinders: tuple[FinalCylinder, ...]
    together: tuple[Verdict, ...]
    cautions: tuple[str, ...]


def final_check(job: Job, catalogue: Catalogue) -> Final:
    """Return the verdict on every fit of a job's finished cylinders.

    `job` is at 20 °C with its guards. Raises InputError for a job that is not already finished,
    and for a cylinder whose piston or one of whose rings is not named.
    """
    if job.finishing != "already finished":
        raise InputError(
            "the final check is of finished bores",
            file=job.name,
            field="[finish], how",
            found=job.finishing,
            allowed="already finished, with the readings of the finished bores",
        )
    parts = shelf(job, catalogue)
    whole = _Check(job, catalogue, parts)
    cylinders = tuple(whole.cylinder(state) for state in choices(job, catalogue, parts))
    return Final(cylinders, tuple(whole.together()), tuple(whole.cautions))


class _Check:
    def __init__(self, job: Job, catalogue: Catalogue, parts: Shelf) -> None:
        self.job, self.catalogue, self.parts = job, catalogue, parts
        self.gaskets = {gasket.number: gasket for gasket in catalogue.gaskets}
        self.cautions: list[str] = []
        self.pistons: dict[str, PistonCandidate] = {}
        self._fitted: set[tuple[str, str]] = set()

    def cylinder(self, state: CylinderChoices) -> FinalCylinder:
        piston = self._piston(state)
        candidate = piston.candidate
        self.pistons[state.name] = candidate
        rings = self._rings(state, candidate)
        stacks = self._stacks(state)
        option = make_option(state, piston, state.routes[0])
        chosen = CylinderSelection(
            option=option,
            low=state.smallest,
            high=state.largest,
            rings={ring.groove: ring for ring in rings},
            stacks=stacks or {},
        )
        fits = fit_lines(state, chosen, self.gaskets)
        if stacks is None:  # without its gaskets these are not known
            fits = tuple(fit for fit in fits if fit.fit not in _OF_THE_STACK)
        refusals = [*option.refusals, *(item for ring in rings for item in ring.refusals)]
        told = [item for item in refusals if item.rule not in _TOLD]
        verdicts = tuple(self._verdicts(state, [*told, *forbidden(fits, self.job.unit)]))
        return FinalCylinder(
            cylinder=state.name,
            piston=_named(candidate),
            skirt=candidate.skirt,
            rings=tuple(_named(ring.candidate) for ring in rings),
            gaskets=tuple(
                number
                for stack in (stacks or {}).values()
                for number, count in sorted(stack.items())
                for _ in range(count)
            ),
            smallest=state.smallest,
            largest=state.largest,
            fits=fits,
            verdicts=verdicts,
            passes=all(fit.holds for fit in fits) and all(item.holds for item in verdicts),
        )

    def _piston(self, state: CylinderChoices) -> PistonChoice:
        if state.cylinder.piston is None:
            raise _not_named(self.job, state.name, "piston", "the piston that is fitted")
        fitted = self._choose([choice.candidate for choice in state.pistons])
        if not fitted.skirt.known:
            self.cautions.append(
                f"Cylinder {state.name}: the skirt of {_named(fitted)} was not measured; "
                "its catalogue range is judged."
            )
        return next(choice for choice in state.pistons if choice.candidate is fitted)

    def _rings(self, state: CylinderChoices, piston: PistonCandidate) -> list[RingOption]:
        """Return the ring of every groove as it is: its gap was measured after any filing."""
        found = []
        pinned = {ring.groove for ring in state.cylinder.rings}
        for groove in piston.ring_class.grooves:
            if groove.number not in pinned:
                what = f"the ring that is fitted in groove {groove.number}"
                raise _not_named(self.job, state.name, "rings", what)
            fitted = self._choose(list(offered(state, self.parts.rings, groove.number)))
            if fitted.gap == fitted.part.gap and not fitted.piece:
                self.cautions.append(
                    f"Cylinder {state.name}: the gap of {fitted.part.number} in groove "
                    f"{groove.number} was not measured; its catalogue range is judged, unfiled."
                )
            option = ring_option(state, piston.ring_class, groove, fitted)
            found.append(option._replace(bottom=None))
        return found

    def _choose(self, candidates: list[Candidate]) -> Candidate:
        """Return a measured piece where there is one, those reserved for the cylinder first."""
        free = [item for item in candidates if not item.piece or item.key not in self._fitted]
        best = min(free, key=lambda item: (not item.piece, item.only_in is None))
        self._fitted.add(best.key)
        return best

    def _stacks(self, state: CylinderChoices) -> dict[str, dict[str, int]] | None:
        """Return the gaskets in hand for the cylinder by place; None where one lacks them."""
        found = {}
        for place in self.job.gaskets:
            own = {n: c for (name, n), c in self.parts.reserved.items() if name == state.name}
            if place.shared or len(self.job.cylinders) == 1:
                own |= self.parts.loose
            stack = {n: c for n, c in own.items() if self._is_at(n, place.place)}
            if sum(stack.values()) < place.least:
                self.cautions.append(
                    f"Cylinder {state.name}: the gaskets at {place.place} are not in hand, so "
                    "squish is not judged."
                )
                return None
            found[place.place] = stack
        return found

    def _is_at(self, number: str, place: str) -> bool:
        return number in self.gaskets and self.gaskets[number].place == place

    def _verdicts(self, state: CylinderChoices, refusals: Iterable[Refusal]) -> Iterator[Verdict]:
        for refusal in refusals:
            yield Verdict(rule=refusal.rule, holds=False, sentence=refusal.sentence)
        limit = self.job.bore_limit_for(state.cylinder)
        if limit is not None:
            yield _bore_limit(limit - state.largest, self.job)

    def together(self) -> Iterator[Verdict]:
        for same in self.job.same_size:
            sizes = {self.pistons[name].part.oversize for name in same.cylinders}
            said = "one oversize" if len(sizes) == 1 else "pistons of different oversizes"
            yield Verdict(rule="same_size", holds=len(sizes) == 1, sentence=said)
        for match in self.job.mass_match:
            masses = [self.pistons[name].mass for name in match.cylinders]
            known = [mass for mass in masses if mass is not None]
            if len(known) < len(masses):
                yield Verdict(rule="mass_match", holds=False, sentence="a mass is not known")
                continue
            spread = mass_match.spread(known)
            said = f"pistons differ by {spread / 1000:g} g, permitted {match.limit / 1000:g} g"
            yield Verdict(rule="mass_match", holds=spread <= match.limit, sentence=said)


def _bore_limit(margin: int, job: Job) -> Verdict:
    said = f"{format_length(abs(margin), job.unit, 'down' if margin >= 0 else 'up', symbol=True)}"
    return Verdict(
        rule="bore_limit",
        holds=margin >= 0,
        margin=margin,
        sentence=f"{said} left" if margin >= 0 else f"{said} beyond it",
    )


def _named(candidate: PistonCandidate | RingCandidate) -> str:
    return candidate.part.number + (f" ({candidate.piece})" if candidate.piece else "")


def _not_named(job: Job, cylinder: str, field: str, what: str) -> InputError:
    return InputError(
        f"{what} is not named",
        file=job.name,
        row=f"cylinder '{cylinder}'",
        field=field,
        found="nothing",
        allowed="its part number",
    )
