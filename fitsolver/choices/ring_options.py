"""The rings that a piston's grooves may take, as integers with their bounds."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from fitsolver.choices.demands import DEMANDS, OF_RINGS
from fitsolver.choices.options import sorted_out
from fitsolver.choices.parts import RingCandidate, RingClass
from fitsolver.choices.types import ALL_RULES, NO_BOUND, CylinderChoices, Option, RingOption
from fitsolver.fits import end_gap
from fitsolver.records.base import RuleId
from fitsolver.records.catalogue import Groove


def ring_option(
    state: CylinderChoices,
    ring_class: RingClass,
    groove: Groove,
    candidate: RingCandidate,
    active: frozenset[RuleId] = ALL_RULES,
) -> RingOption:
    """Return a ring in a groove with the bounds and refusals of the active rules."""
    least, most, refusals = sorted_out(
        (rule, demand)
        for rule, of in DEMANDS.items()
        if of.ring and rule in active
        for demand in of.ring(state, ring_class, groove, candidate)
    )
    bottom, widest = None, NO_BOUND
    if "end_gap" in active:
        nominal, kept = ring_class.nominal_bore, candidate.kept
        stated = candidate.part.stated
        limits = state.limits("end_gap", nominal, groove.number, kept=kept, stated=stated)
        bottom = end_gap.bottom_of(limits)
        if bottom is not None and limits.high is not None:
            widest = end_gap.widest_spread(bottom, limits.high)
    return RingOption(
        candidate=candidate,
        groove=groove.number,
        ring_class=ring_class,
        bottom=bottom,
        widest_spread=widest,
        least=least,
        most=most,
        refusals=refusals,
    )


def to_spare(
    rule: RuleId, option: Option, rings: Iterable[RingOption], low: int, high: int
) -> int | None:
    """Return the slack (ticks) of L and H to a rule's bounds; negative: outside; None: no bound."""
    least = [*option.least_low, *(bound for ring in rings for bound in ring.least)]
    most = [*option.most_high, *(bound for ring in rings for bound in ring.most)]
    room = [low - value for each, value in least if each == rule]
    return min([*room, *(value - high for each, value in most if each == rule)], default=None)


def offered(
    state: CylinderChoices, candidates: Iterable[RingCandidate], groove: int
) -> Iterator[RingCandidate]:
    """Return the rings marked for a groove that the cylinder's pins and reservations permit."""
    pinned = {ring.number for ring in state.cylinder.rings if ring.groove == groove}
    for candidate in candidates:
        if groove not in candidate.part.grooves:
            continue
        if candidate.only_in not in (None, state.name):
            continue
        if not pinned or candidate.part.number in pinned:
            yield candidate


#: The cache is emptied when it holds more ring options than this.
_MOST_KNOWN: Final = 50_000

#: Ring options by the figures of the ring (None: a rule refuses it).
_ByFigures = dict[tuple[int | str | None, ...], RingOption | None]


class Known:
    """Cache of ring options, keyed by windows, class, groove and rules."""

    def __init__(self) -> None:
        self.under: dict[tuple[object, ...], _ByFigures] = {}
        self.count = 0

    def of(
        self,
        state: CylinderChoices,
        ring_class: RingClass,
        groove: Groove,
        active: frozenset[RuleId],
    ) -> _ByFigures:
        """Return those of a groove; what is added there is kept."""
        rules = active & OF_RINGS
        key = state.windows_key, ring_class.nominal_bore, ring_class.kept, groove, rules
        return self.under.setdefault(key, {})

    def added(self, count: int) -> None:
        """Count what was added; forget all where it is too much."""
        self.count += count
        if self.count > _MOST_KNOWN:
            self.under.clear()
            self.count = 0


#: An explanation asks for the rings of one job under the same windows hundreds of times.
_KNOWN: Final = Known()


def ring_options(
    state: CylinderChoices,
    options: Sequence[Option],
    candidates: Sequence[RingCandidate],
    active: frozenset[RuleId] = ALL_RULES,
) -> tuple[RingOption, ...]:
    """Return the rings that some option of the cylinder can take, by class and groove.

    Rings with equal figures, windows and rules are computed once.
    """
    spans: dict[RingClass, tuple[int, int, int]] = {}
    for choice in options:
        ring_class = choice.piston.ring_class
        # The smallest H, the largest L and the least spread of any option of the class.
        low, high, narrowest = spans.get(ring_class, (NO_BOUND, 0, NO_BOUND))
        spans[ring_class] = (
            min(low, choice.floor_high),
            max(high, choice.ceiling_low),
            min(narrowest, choice.route.spread),
        )
    grooves = {groove.number for ring_class in spans for groove in ring_class.grooves}
    by_groove = {number: list(offered(state, candidates, number)) for number in grooves}
    found = []
    for ring_class, (least_high, most_low, narrowest) in spans.items():
        for groove in ring_class.grooves:
            offers = by_groove[groove.number]
            for option in _possible(state, ring_class, groove, offers, active):
                near = option.reach_low <= most_low and option.reach_high >= least_high
                if (
                    option.floor_low <= most_low
                    and option.ceiling_high >= least_high
                    and option.widest_spread >= narrowest
                    and (near or "end_gap" not in active)
                ):
                    found.append(option)
    return tuple(found)


def _possible(
    state: CylinderChoices,
    ring_class: RingClass,
    groove: Groove,
    candidates: Iterable[RingCandidate],
    active: frozenset[RuleId],
) -> Iterator[RingOption]:
    """Yield the rings that no active rule refuses."""
    known = _KNOWN.of(state, ring_class, groove, active)
    before = len(known)
    for candidate in candidates:
        figures = candidate.figures
        if figures not in known:
            option = ring_option(state, ring_class, groove, candidate, active)
            refused = any(refusal.rule in active for refusal in option.refusals)
            known[figures] = None if refused else option
        like = known[figures]
        if like is not None:
            yield like._replace(candidate=candidate, ring_class=ring_class)
    _KNOWN.added(len(known) - before)
