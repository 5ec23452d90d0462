"""Where a cylinder stands at the hone, and what to do next."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import format_length
from fitsolver.honing.checks import Check, standing, was_restored
from fitsolver.honing.decide import Bore, Next, decide
from fitsolver.honing.noise import ASSUMED, gauge_scatter
from fitsolver.honing.sentences import place_name
from fitsolver.honing.start import Start
from fitsolver.honing.states import states
from fitsolver.metrology.correct import dial_at, dial_cooled
from fitsolver.metrology.form import bore_form, deciding, extremes
from fitsolver.records.base import Range
from fitsolver.records.hone import HoneCheck, HoneState, Trend
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import CylinderPlan

__all__ = ["Next", "Target", "hone_state", "reread", "target_of"]

#: Standard deviations of the gauge by which a form, the difference of two readings, must change
#: between two checks to be more than chance (about 95 %: twice the square root of four).
_CHANGE: Final = 4


@dataclass(frozen=True, slots=True)
class Target:
    """The permitted finish sizes of a cylinder and the local sizes around them (ticks, 20 °C)."""

    lowest: int
    highest: int
    half_width: int
    stop: Range
    dial_stop: Range | None = None
    cautions: tuple[str, ...] = ()
    cut_first: str = ""

    @property
    def low(self) -> int:
        return self.lowest - self.half_width

    @property
    def high(self) -> int:
        return self.highest + self.half_width


def target_of(plan: CylinderPlan, cut_first: str = "") -> Target:
    """Return the honing target of a cylinder by its plan, after a non-honing stage `cut_first`.

    For a piston not measured yet, the top of its tolerance sets the target. Raises InputError for a
    cylinder that is left as it is, or has no highest size.
    """
    place = f"cylinder {plan.cylinder}"
    if not plan.machined or plan.lowest is None:
        raise InputError("the plan leaves this cylinder as it is: nothing to hone", row=place)
    if plan.highest is None:
        raise InputError(
            "no window sets a highest finish size, so nothing tells when to stop",
            row=place,
            field="window",
            allowed="a window with a highest value, as for the clearance",
        )
    cautions: tuple[str, ...] = ()
    if plan.finish_small != plan.finish_large:
        cautions = (
            f"Cylinder {plan.cylinder}: piston {plan.piston.number} is not measured yet. The sizes "
            "are those for the largest of its tolerance: measure it first, and put its size in "
            "the job.",
        )
    stop = Range(low=plan.finish_small, high=plan.finish_large)
    return Target(
        plan.lowest, plan.highest, plan.half_width, stop, plan.dial_stop, cautions, cut_first
    )


def hone_state(
    job: Job, cylinder: Cylinder, target: Target, checks: list[Check], since: int, ahead: Next
) -> HoneState:
    """Return where a cylinder of a job (as read, not corrected) stands after its checks.

    `since` are the strokes taken after the last one. No strokes are advised while a stage other
    than honing comes first.
    """
    bores = states(checks)
    now = bores[-1]
    unread = len(set(checks[0].places) - set(now.places))
    bar = target.cut_first if len(checks) == 1 else ""
    told = decide(Bore(job, bores, target.low, target.high, bar, unread), ahead)
    return HoneState(
        cylinder=cylinder.name,
        stop=target.stop,
        dial_stop=target.dial_stop,
        lowest=target.lowest,
        highest=target.highest,
        local_low=target.low,
        local_high=target.high,
        dial_low=dial_at(job, now.read, target.low),
        dial_high=dial_at(job, now.read, target.high),
        dial_cool=dial_cooled(job, now.read, target.low, target.high),
        counted_in=now.counted_in,
        since_check=since,
        checks=tuple(_records(checks, target)),
        now=_record(now, target).model_copy(update={"cut": now.cut, "times": now.times}),
        form=bore_form(now.bore, "by axis"),
        trend=_trend(job, bores),
        rate=told.rate,
        advice=told.advice,
        next_count=told.count,
        based_on=told.based_on,
        risk_before=told.spent.stated,
        question=told.question,
        sentence=told.sentence,
        cautions=(
            *_cautions(job, cylinder, target, checks, unread, since),
            *(f"Cylinder {cylinder.name}: {text}" for text in told.cautions),
        ),
    )


def _records(checks: list[Check], target: Target) -> Iterator[HoneCheck]:
    kept = {check.number for check in standing(checks)}
    for check in checks:
        record = _record(check, target)
        yield record.model_copy(update={"cut": check.cut, "replaced": check.number not in kept})


def _record(check: Check, target: Target) -> HoneCheck:
    smallest, largest = extremes(check.bore)
    form = bore_form(check.bore, "by axis")
    read = max(reading.size for reading in deciding(check.read))
    return HoneCheck(
        number=check.number,
        count=check.count,
        stones=check.stones if check.stones is not None else "several",
        temperature=check.temperature,
        correction=form.largest - read,
        smallest=smallest,
        largest=largest,
        stock_tightest=target.low - smallest,
        stock_worst=target.low - largest,
        room=target.high - largest,
        out_of_round=form.out_of_round,
        taper=form.taper,
    )


def _trend(job: Job, bores: list[Check]) -> Trend:
    """Compare the spread of the places read in both of the last two states of the bore."""
    if len(bores) < 2:
        return "not known"
    before, after = (check.places for check in bores[-2:])
    both = set(before) & set(after)
    if len(both) < 2:
        return "not known"
    spreads = [max(p[k] for k in both) - min(p[k] for k in both) for p in (before, after)]
    change = spreads[1] - spreads[0]
    if abs(change) <= _CHANGE * (gauge_scatter(job) or ASSUMED):
        return "no change seen"
    return "better" if change < 0 else "worse"


def _cautions(
    job: Job, cylinder: Cylinder, target: Target, checks: list[Check], unread: int, since: int
) -> Iterator[str]:
    name, now = f"Cylinder {cylinder.name}", states(checks)[-1]
    yield from target.cautions
    if gauge_scatter(job) is None:
        shown = format_length(round(ASSUMED), "um", symbol=True)
        yield (
            f"{name}: the job does not say how well its bore gauge repeats; a standard deviation "
            f"of {shown} is taken (common practice, no source)."
        )
    if unread:
        yield (
            f"{name}: {unread} places that decide in the job were not read at the last check; the "
            "bore may be smaller or larger there."
        )
    if since:
        yield f"{name}: {since} {now.counted_in} were taken since the last check."
    for check in checks:
        for place in sorted(check.left_out):
            yield (
                f"{name}: check {check.number} read too much at {place_name(place, job.unit)}, as "
                "what was read there since shows. It is left out."
            )
    if not now.cool:
        yield (
            f"{name}: the bore was read at {now.temperature / 1000:g} °C. Sizes are corrected to "
            "20 °C; let it cool and read it once more before the last pass."
        )
    if _spread_too_wide(now, target):
        yield (
            f"{name}: largest and smallest local size differ by more than the permitted sizes do: "
            "even strokes cannot bring all of it inside. Take the strokes advised where it is "
            "small."
        )


def _spread_too_wide(now: Check, target: Target) -> bool:
    """Tell whether the bore's form leaves no room between lowest and highest local size."""
    smallest, largest = extremes(now.bore)
    return largest - smallest > target.high - target.low and smallest < target.low


def reread(cylinder: Cylinder, checks: list[Check], start: Start) -> Cylinder:
    """Return the cylinder of a job as it is now: with its last readings and the rest of its deepest
    scratch (each unit off the diameter removes half a unit of depth; a new sleeve has none)."""
    first, now = checks[0].places, states(checks)[-1]
    last, read = now.places, now.read
    removed = min((last[place] - first[place] for place in first.keys() & last.keys()), default=0)
    left = max(0, cylinder.scratch - max(0, removed) // 2)
    changed = {"readings": read.readings, "temperatures": read.temperatures, "scratch": left}
    if was_restored(checks, start):
        changed |= {"scratch": 0, "unworn": None}
    return cylinder.model_copy(update=changed)
