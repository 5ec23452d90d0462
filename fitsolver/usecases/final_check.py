"""The final check of finished cylinders: readings and gaps in, pass or fail for every fit out.

Nothing is chosen and nothing is filed: the job names the parts that are fitted.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import format_length
from fitsolver.choices.candidates import is_piece, piece_name, pieces, shelf
from fitsolver.choices.options import choices, make_option
from fitsolver.choices.parts import PistonCandidate, RingCandidate, Shelf
from fitsolver.choices.ring_options import offered, ring_option, to_spare
from fitsolver.choices.selection import CylinderSelection
from fitsolver.choices.types import CylinderChoices, Option, PistonChoice, Refusal, RingOption
from fitsolver.fits import mass_match
from fitsolver.planning.fit_lines import fit_lines
from fitsolver.planning.floors import forbidden
from fitsolver.records.base import RULES, FitName, Range, RuleId
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.final import FinalCylinder, FinalVerdict
from fitsolver.records.job import Job
from fitsolver.records.rules import REGISTRY
from fitsolver.records.verdicts import Verdict
from fitsolver.usecases.final_judged import OF_THE_STACK, Fitted, fails, not_judged

if TYPE_CHECKING:
    from fitsolver.planning.odds import CylinderOdds
    from fitsolver.records.plan import Fit, OddsOf

Candidate = TypeVar("Candidate", PistonCandidate, RingCandidate)


class Final(NamedTuple):
    """Every cylinder by itself, the coupling rules, and the figures taken from the catalogue."""

    cylinders: tuple[FinalCylinder, ...]
    together: tuple[Verdict, ...]
    cautions: tuple[str, ...]
    probability: float | None = None
    odds_of: OddsOf | None = None


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
    together, cautions = tuple(whole.together()), tuple(whole.cautions)
    if job.measuring is None or not job.measuring.instruments:
        return Final(cylinders, together, cautions)
    return _with_odds(Final(cylinders, together, cautions), whole)


def _with_odds(final: Final, whole: _Check) -> Final:
    """Return the check with the odds of what was judged, as a plan states those of its fits."""
    from fitsolver.metrology.sources import Sources
    from fitsolver.planning.odds import cylinder_odds, together

    sources = Sources()
    every = [
        cylinder_odds(whole.job, *chosen, _judged(item), sources)
        for item, chosen in zip(final.cylinders, whole.chosen, strict=True)
    ]
    cylinders = tuple(
        item.model_copy(update={**odds.record, "fits": _in_place(item.fits, odds)})
        for item, odds in zip(final.cylinders, every, strict=True)
    )
    probability, over = together(every)
    return final._replace(cylinders=cylinders, probability=probability, odds_of=over)


def _judged(item: FinalCylinder) -> tuple[Fit, ...]:
    left = {(open_fit.fit, open_fit.groove, open_fit.port) for open_fit in item.not_judged}
    return tuple(fit for fit in item.fits if (fit.fit, fit.groove, fit.port) not in left)


def _in_place(fits: Iterable[Fit], odds: CylinderOdds) -> tuple[Fit, ...]:
    """Return the fits, those that have odds with them."""
    found = {(fit.fit, fit.groove, fit.port): fit for fit in odds.fits}
    return tuple(found.get((fit.fit, fit.groove, fit.port), fit) for fit in fits)


class _Check:
    def __init__(self, job: Job, catalogue: Catalogue, parts: Shelf) -> None:
        self.job, self.catalogue, self.parts = job, catalogue, parts
        self.gaskets = {gasket.number: gasket for gasket in catalogue.gaskets}
        self.cautions: list[str] = []
        self.pistons: dict[str, PistonCandidate] = {}
        self.chosen: list[tuple[CylinderChoices, CylinderSelection]] = []
        self._fitted: set[tuple[str, str]] = set()
        self._sized, self._gapped = _measured(job)

    def cylinder(self, state: CylinderChoices) -> FinalCylinder:
        piston = self._piston(state)
        candidate = piston.candidate
        self.pistons[state.name] = candidate
        rings = self._rings(state, candidate)
        stacks, no_gaskets = self._stacks(state)
        option = make_option(state, piston, state.routes[0])
        chosen = CylinderSelection(
            option=option,
            low=state.smallest,
            high=state.largest,
            rings={ring.groove: ring for ring in rings},
            stacks=stacks or {},
        )
        self.chosen.append((state, chosen))
        fits = fit_lines(state, chosen, self.gaskets)
        if stacks is None:  # without its gaskets these are not known
            fits = tuple(fit for fit in fits if fit.fit not in OF_THE_STACK)
        refusals = [*option.refusals, *(item for ring in rings for item in ring.refusals)]
        told = [item for item in refusals if not REGISTRY[item.rule].fits]  # these tell their own
        told += forbidden(fits, self.job.unit)
        verdicts = (*map(_refused, told), *self._bounded(state, option, rings))
        fitted = self._as_fitted(state, candidate, rings, no_gaskets)
        left_open = not_judged(state, fits, fitted)
        failed = any(fails(fit, fitted.unmeasured.get((fit.fit, fit.groove))) for fit in fits)
        failed = failed or not all(item.holds for item in verdicts)
        return FinalCylinder(
            cylinder=state.name,
            piston=candidate.named,
            skirt=candidate.skirt,
            rings=tuple(ring.candidate.named for ring in rings),
            gaskets=tuple(_each(stacks or {})),
            smallest=state.smallest,
            largest=state.largest,
            fits=fits,
            verdicts=verdicts,
            passes=not failed and not left_open,
            verdict=verdict_of(failed=failed, judged=not left_open),
            judged=not left_open,
            not_judged=left_open,
        )

    def _as_fitted(
        self,
        state: CylinderChoices,
        piston: PistonCandidate,
        rings: Iterable[RingOption],
        no_gaskets: str,
    ) -> Fitted:
        return Fitted(
            piston=piston.part.number,
            grooves=frozenset(groove.number for groove in piston.ring_class.grooves),
            unmeasured=self._unmeasured(state, piston, rings),
            no_gaskets=no_gaskets,
            no_stack=_no_stack(state, piston),
        )

    def _unmeasured(
        self, state: CylinderChoices, piston: PistonCandidate, rings: Iterable[RingOption]
    ) -> dict[tuple[FitName, int | None], Range]:
        """Return the ranges of unmeasured figures, with a caution for each."""
        found: dict[tuple[FitName, int | None], Range] = {}
        if piston.key not in self._sized:
            found["clearance", None] = piston.skirt
            self.cautions.append(
                f"Cylinder {state.name}: the skirt of {piston.named} was not measured; the "
                "clearance is shown over its catalogue range."
            )
        for ring in rings:
            if ring.candidate.key not in self._gapped:
                found["end_gap", ring.groove] = ring.candidate.gap
                self.cautions.append(
                    f"Cylinder {state.name}: the gap of {ring.candidate.named} in groove "
                    f"{ring.groove} was not measured; the end gap is shown over its catalogue "
                    "range, unfiled."
                )
        return found

    def _piston(self, state: CylinderChoices) -> PistonChoice:
        if state.cylinder.piston is None:
            raise _not_named(self.job, state.name, "piston", "the piston that is fitted")
        fitted = self._choose([choice.candidate for choice in state.pistons])
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
            option = ring_option(state, piston.ring_class, groove, fitted)
            found.append(option._replace(bottom=None))
        return found

    def _choose(self, candidates: list[Candidate]) -> Candidate:
        """Return a measured piece where there is one, those reserved for the cylinder first."""
        free = [item for item in candidates if not item.piece or item.key not in self._fitted]
        best = min(free, key=lambda item: (not item.piece, item.only_in is None))
        self._fitted.add(best.key)
        return best

    def _stacks(self, state: CylinderChoices) -> tuple[dict[str, dict[str, int]] | None, str]:
        """Return the cylinder's gaskets in hand by place; None and the reason if one is missing."""
        found = {}
        for place in self.job.gaskets:
            own = {n: c for (name, n), c in self.parts.reserved.items() if name == state.name}
            if place.shared or len(self.job.cylinders) == 1:
                own |= self.parts.loose
            stack = {n: c for n, c in own.items() if self._is_at(n, place.place)}
            if sum(stack.values()) < place.least:
                lacking = f"the gaskets at {place.place} are not in hand"
                self.cautions.append(f"Cylinder {state.name}: {lacking}, so squish is not judged.")
                return None, lacking
            found[place.place] = stack
        return found, ""

    def _is_at(self, number: str, place: str) -> bool:
        return number in self.gaskets and self.gaskets[number].place == place

    def _bounded(
        self, state: CylinderChoices, option: Option, rings: Sequence[RingOption]
    ) -> Iterator[Verdict]:
        """Yield the verdicts of rules that ask for a size and have no fit to show it."""
        for rule in (rule for rule in RULES if not REGISTRY[rule].fits):
            margin = to_spare(rule, option, rings, state.smallest, state.largest)
            if margin is not None:
                yield _sized(rule, margin, self.job)

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
            said = f"{match.limit / 1000:g} g permitted; {spread / 1000:g} g between the pistons"
            yield Verdict(rule="mass_match", holds=spread <= match.limit, sentence=said)


def verdict_of(*, failed: bool, judged: bool) -> FinalVerdict:
    """Return the overall verdict: a failure precedes fits not judged."""
    if failed:
        return "fail"
    return "pass" if judged else "not judged"


def _measured(job: Job) -> tuple[set[tuple[str, str]], set[tuple[str, str]]]:
    """Return the pieces, by number and name, whose skirt and whose gap were measured."""
    sized = {
        (cylinder.piston or "", piece_name(cylinder))
        for cylinder in job.cylinders
        if is_piece(cylinder) and cylinder.piston_size is not None
    }
    in_hand = [item for item in pieces(job) if item[1]]
    sized |= {(item.number, piece) for item, piece in in_hand if item.size is not None}
    return sized, {(item.number, piece) for item, piece in in_hand if item.gap is not None}


def _no_stack(state: CylinderChoices, piston: PistonCandidate) -> str:
    if state.cylinder.squish is None:
        return "no squish base is given"
    if piston.part.compression_height is None:
        return f"compression height not known: {piston.part.number}"
    return ""


def _refused(refusal: Refusal) -> Verdict:
    return Verdict(rule=refusal.rule, holds=False, sentence=refusal.sentence)


def _sized(rule: RuleId, margin: int, job: Job) -> Verdict:
    said = f"{format_length(abs(margin), job.unit, 'down' if margin >= 0 else 'up', symbol=True)}"
    return Verdict(
        rule=rule,
        holds=margin >= 0,
        margin=margin,
        sentence=f"{said} left" if margin >= 0 else f"{said} beyond it",
    )


def _each(stacks: dict[str, dict[str, int]]) -> Iterator[str]:
    for stack in stacks.values():
        for number, count in sorted(stack.items()):
            yield from [number] * count


def _not_named(job: Job, cylinder: str, field: str, what: str) -> InputError:
    return InputError(
        f"{what} is not named",
        file=job.name,
        row=f"cylinder '{cylinder}'",
        field=field,
        found="nothing",
        allowed="its part number",
    )
