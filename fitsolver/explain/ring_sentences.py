"""The sentences of the rules on a ring in its groove: required figure, actual figure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from fitsolver.base.lengths import Unit
from fitsolver.choices.ring_options import offered, ring_option
from fitsolver.choices.types import CylinderChoices, RingOption
from fitsolver.choices.words import asked_words, range_words, say, told_alike
from fitsolver.explain.nearest import Near
from fitsolver.fits import end_gap
from fitsolver.matching.words import listed
from fitsolver.planning.floors import forbidden_words
from fitsolver.records.base import FitName, Range, RuleId
from fitsolver.records.windows import OPEN, find_window
from fitsolver.solving.problem import Problem

#: The most refusals told of one rule.
TOLD: Final = 5


def end_gap_sentence(task: Problem, state: CylinderChoices, near: Near) -> str:
    """Return, groove by groove, the gap asked and that of the nearest choice's rings."""
    unit, low, high = task.job.unit, *sizes_of(near)
    said = []
    for ring in near.rings:
        candidate = ring.candidate
        nominal = ring.ring_class.nominal_bore
        kept, stated = candidate.kept, candidate.part.stated
        limits = state.limits("end_gap", nominal, ring.groove, kept=kept, stated=stated)
        gap = end_gap.gap_in_bore(candidate.gap, candidate.gauge_diameter, low, high)
        if limits == OPEN and gap.low > 0:
            continue
        asked = "above 0" if limits == OPEN else asked_words(limits.low, limits.high, unit)
        asked += f" asked{by_maker(state, 'end_gap', ring.groove, stated)}"
        found = f"{range_words(gap, unit)} is the gap of {candidate.part.number}"
        text = f"{asked}; {found} in a bore of {say(low, unit)}{_too_uneven(near, ring, unit)}"
        said.append((ring.groove, text + _filing(ring, gap, unit)))
    return _by_groove(said) or no_ring(near)


def _by_groove(told: Iterable[tuple[int, str]]) -> str:
    """Return the sentences on grooves (number, sentence), equal ones merged."""
    alike: dict[str, list[str]] = {}
    for groove, sentence in told:
        alike.setdefault(sentence, []).append(str(groove))
    return "; ".join(
        f"groove{'s' if len(grooves) > 1 else ''} {listed(grooves)}: {sentence}"
        for sentence, grooves in alike.items()
    )


def _filing(ring: RingOption, gap: Range, unit: Unit) -> str:
    """Return the permitted filing, or why a closed gap (ticks) fails without a lowest gap."""
    most = ring.candidate.part.file_most
    if ring.bottom is not None:
        return f", may be filed by {say(most, unit)}" if most else ", may not be filed"
    if gap.low > 0:
        return ""
    return f": no lowest gap says how far to file, and {forbidden_words('end_gap', gap.low, unit)}"


def _too_uneven(near: Near, ring: RingOption, unit: Unit) -> str:
    """Return the words for a bore whose spread of local sizes alone exceeds the gap's window."""
    spread = near.option.route.spread
    if spread <= ring.widest_spread:
        return ""
    return f" (local sizes {say(spread, unit)} apart spread the gap further than that)"


def ring_seat_sentence(task: Problem, state: CylinderChoices, near: Near) -> str:
    """Return, groove by groove, how far the nearest choice's rings may be over the bore."""
    unit, low, _ = task.job.unit, *sizes_of(near)
    said = []
    for ring in near.rings:
        over = ring.candidate.part.gauge_diameter - low
        most = ring.candidate.part.seat_over
        window = find_window(state.windows, "ring_seat", ring.groove)
        if window is not None:
            limits = window.limits(ring.ring_class.nominal_bore, kept=ring.candidate.kept)
            edges = [edge for edge in (limits.high, most) if edge is not None]
            asked = asked_words(limits.low, min(edges, default=None), unit)
        else:
            asked = asked_words(None, most, unit)
        number = ring.candidate.part.number
        text = f"{asked} asked; {say(over, unit)} is {number} over a bore of {say(low, unit)}"
        said.append((ring.groove, text))
    return _by_groove(said) or no_ring(near)


def side_clearance_sentence(task: Problem, state: CylinderChoices, near: Near) -> str:
    """Describe the nearest choice's rings; where they go in, the others that do not."""
    failing = [ring for ring in near.rings if _fails(ring, "side_clearance")]
    failing = failing or list(_failing(task, state, near, "side_clearance"))
    told = (
        (ring.candidate.part.number, refusal.sentence)
        for ring in failing
        for refusal in ring.refusals
        if refusal.rule == "side_clearance"
    )
    said = told_alike(told)
    more = [f"{len(said) - TOLD} more that do not go in"] if len(said) > TOLD else []
    return "; ".join([*said[:TOLD], *more]) or no_ring(near)


def _fails(ring: RingOption, rule: RuleId) -> bool:
    return any(refusal.rule == rule for refusal in ring.refusals)


def _failing(
    task: Problem, state: CylinderChoices, near: Near, rule: RuleId
) -> Iterator[RingOption]:
    """Yield the rings offered for the grooves of the nearest piston that a rule refuses there."""
    ring_class = near.option.piston.ring_class
    for groove in ring_class.grooves:
        for candidate in offered(state, task.shelf.rings, groove.number):
            ring = ring_option(state, ring_class, groove, candidate)
            if _fails(ring, rule):
                yield ring


def no_ring(near: Near) -> str:
    """Return that no ring serves the nearest choice, with the empty grooves if there are any."""
    if near.empty:
        return f"there is no ring for groove {', '.join(map(str, near.empty))}"
    return "no ring goes with a piston that would fit"


def sizes_of(near: Near) -> tuple[int, int]:
    """Return the local sizes (ticks) that the nearest choice would have afterwards."""
    low = max(near.option.floor_low, near.option.route.base)
    if not near.option.machined:
        return near.option.route.smallest, near.option.route.largest
    return low, low + near.option.route.spread


def by_maker(
    state: CylinderChoices, fit: FitName, groove: int | None, stated: tuple[str, ...]
) -> str:
    """Return what to say of a window that the maker of the part states."""
    window = find_window(state.windows, fit, groove, stated=stated)
    return f", as its maker states ({window.source})" if window and window.part else ""
