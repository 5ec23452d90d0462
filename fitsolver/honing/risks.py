"""The risk of a whole bore: the share spent by the passes so far, and that of the next one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from fitsolver.honing.advice import Noise, ahead_of
from fitsolver.honing.checks import Check
from fitsolver.honing.first import Paces
from fitsolver.honing.noise import check_noise
from fitsolver.honing.states import as_numbers, under_present_stones
from fitsolver.records.job import Job
from fitsolver.records.measuring import REFERENCE

#: The largest share of the bore's remaining risk for one pass (own choice). So any number of passes
#: keeps within the whole (Boole's inequality).
SHARE: Final = 0.5


class Spent(NamedTuple):
    """The total risk of the passes so far, and the part that counts: a pass beyond the advice
    counts with its permitted risk at most."""

    stated: float
    counted: float


def limit_of_pass(limit: float, spent: float) -> float:
    """Return the permitted risk of the next pass, after passes that spent `spent` of `limit`."""
    return SHARE * max(0.0, limit - spent)


def noise_of(job: Job, kept: Sequence[Check], places: int) -> Noise:
    """Return the noise of states of a bore: of the last one's extreme, and of the means."""
    now = kept[-1]
    warm = [check.temperature != REFERENCE for check in kept]
    last = check_noise(job, now.bore, places, warm=warm[-1])
    means = check_noise(job, now.bore, places, warm=any(warm))
    return Noise(last.extreme, means.mean, last.common, means.common)


def spent_of(job: Job, states: list[Check], high: float, limit: float, seen: Paces) -> Spent:
    """Return the risk of the passes between states of a bore, each from the checks before it.

    Passes with stones without a check had a condition instead and do not count. `seen` are the
    paces of the same stones in other cylinders.
    """
    stated = counted = 0.0
    for place, done in enumerate(states[1:], start=1):
        before = states[:place]
        count = done.count - before[-1].count
        if done.cut or count <= 0 or done.stones != before[-1].stones:
            continue
        kept, places = under_present_stones(before)
        noise = noise_of(job, kept, len(places))
        ahead = ahead_of(as_numbers(kept, places), noise, fastest_of(seen, done))
        if ahead is None:
            continue
        risk = ahead.risk(count, high)
        stated += risk
        counted += min(risk, limit_of_pass(limit, counted))
    return Spent(stated, counted)


def fastest_of(seen: Paces, check: Check) -> float:
    """Return the fastest known pace of the stones of a check, 0 if unknown."""
    pace = seen.get((check.stones or "", check.counted_in))
    return 0.0 if pace is None else pace.fastest
