"""Where a cylinder stands at the hone, and what to do next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import ceil
from typing import Final

from fitsolver.at_hone.advice import Step, next_step, pooled
from fitsolver.at_hone.checks import Check, as_numbers, standing, under_present_stones, was_restored
from fitsolver.at_hone.first import SHARPER, Paces, first_strokes
from fitsolver.at_hone.line import fit_line
from fitsolver.at_hone.noise import ASSUMED, check_noise, gauge_scatter
from fitsolver.at_hone.start import Start
from fitsolver.errors import InputError
from fitsolver.lengths import Unit, format_length
from fitsolver.metrology.correct import dial_at, dial_cooled
from fitsolver.metrology.form import bore_form, deciding, extremes
from fitsolver.records.base import Range
from fitsolver.records.hone import Advice, FirstStrokes, HoneCheck, HoneState, RemovalRate, Trend
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.measuring import REFERENCE
from fitsolver.records.plan import CylinderPlan

#: Standard deviations of the gauge by which a form, the difference of two readings, must change
#: between two checks to be more than chance (about 95 %: twice the square root of four).
_CHANGE: Final = 4
#: A bore this much warmer than 20 °C (thousandths) should cool before the last reading (common
#: practice, no source).
_WARM: Final = 5_000


_STOPS: Final[dict[Advice, str]] = {
    "too large": "Stop: the bore is larger than the highest permitted size.",
    "stop": "Stop: everywhere it was read the bore is clean and has reached the lowest permitted "
    "size. More metal off is life lost.",
}


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
    """Return what a cylinder is honed to by its plan, after a stage `cut_first` that is no honing.

    Where the piston is not measured yet it is what the largest of its tolerance asks for. Raises
    InputError for a cylinder that is left as it is, or has no highest size.
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


@dataclass(frozen=True, slots=True)
class Next:
    """What the next strokes are for: the `risk` of passing the highest size by the next check, at
    most (one-sided), the `stones` to be used, where other ones are named than those of the last
    check, and the `paces` of stones seen in the log."""

    risk: float
    stones: str | None = None
    paces: Paces = field(default_factory=dict)


def hone_state(
    job: Job, cylinder: Cylinder, target: Target, checks: list[Check], since: int, ahead: Next
) -> HoneState:
    """Return where a cylinder of a job (as read, not corrected) stands after its checks.

    `since` are the strokes taken after the last one. No strokes are advised while a stage that is
    no honing comes first.
    """
    now, risk = checks[-1], ahead.risk
    kept, places = under_present_stones(checks)
    if ahead.stones not in (None, now.stones):
        kept, places = [now], sorted(now.places)
    numbers = as_numbers(kept, places)
    noise = check_noise(job, now.bore, len(places))
    smallest, largest = extremes(now.bore)
    unread = len(set(checks[0].places) - set(now.places))
    advice: Advice
    step: Step | None = None
    if largest > target.high:
        advice = "too large"
    elif smallest >= target.low and not unread:
        advice = "stop"
    elif smallest >= target.low:
        advice = "read again"
    else:
        step = next_step(numbers, target.low, target.high, noise, risk)
        advice = "find the rate" if step is None else "go on" if step.count else "read again"
    first: FirstStrokes | None = None
    bar = target.cut_first if len(checks) == 1 else ""
    if advice == "find the rate" and len(set(numbers.counts)) == 1 and not bar:
        pace = ahead.paces.get((ahead.stones or now.stones or "", now.counted_in))
        sizes = smallest, largest, target.low, target.high
        first = first_strokes(*sizes, noise.extreme, risk, pace)
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
        form=bore_form(now.bore, "by axis"),
        trend=_trend(job, checks),
        rate=_rate(kept, numbers.counts, numbers.mean, noise.mean),
        advice=advice,
        next_count=first.count if first else None if step is None else step.count,
        expected_largest=None if step is None or not step.count else ceil(step.upper),
        first=first,
        sentence=_first_sentence(first, now, job.unit)
        if first
        else _sentence(advice, now, step, risk, bar),
        cautions=tuple(_cautions(job, cylinder, target, now, unread, since)),
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


def _rate(
    kept: list[Check], counts: Sequence[int], mean: Sequence[float], known: float
) -> RemovalRate | None:
    """Return the removal rate: the line through the mean size of the places read every time."""
    if len(set(counts)) < 2:
        return None
    line = fit_line(counts, mean)
    scatter, degrees = pooled(line, known)
    return RemovalRate(
        counted_in=kept[-1].counted_in,
        stones=kept[-1].stones or "",
        checks=line.points,
        rate=line.slope,
        uncertainty=scatter * line.slope_factor(),
        scatter=scatter,
        degrees=degrees,
    )


def _trend(job: Job, checks: list[Check]) -> Trend:
    """Compare the spread of the places read at both of the last two checks."""
    if len(standing(checks)) < 2:
        return "not known"
    before, after = (check.places for check in standing(checks)[-2:])
    both = set(before) & set(after)
    if len(both) < 2:
        return "not known"
    spreads = [max(p[k] for k in both) - min(p[k] for k in both) for p in (before, after)]
    change = spreads[1] - spreads[0]
    if abs(change) <= _CHANGE * (gauge_scatter(job) or ASSUMED):
        return "no change seen"
    return "better" if change < 0 else "worse"


def _first_sentence(first: FirstStrokes, now: Check, unit: Unit) -> str:
    one = now.counted_in.removesuffix("s")
    most = format_length(ceil(first.rate), "thou" if unit in ("in", "thou") else "um", symbol=True)
    basis = (
        f"{SHARPER} times the fastest pace of these stones in the log"
        if first.basis == "same stones"
        else "common practice, no source"
    )
    if not first.count:
        return (
            f"No rate is known for these stones yet, and one {one} that takes {most} ({basis}) "
            "could pass the highest size: take finer stones, or the lightest touch, and read."
        )
    return (
        f"No rate is known for these stones yet: {first.count} {now.counted_in}, then check. No "
        f"risk can be computed; the highest is not passed as long as a {one} takes {most} at most "
        f"({basis})."
    )


def _sentence(advice: Advice, now: Check, step: Step | None, risk: float, bar: str) -> str:
    unit = now.counted_in
    if bar and advice == "find the rate":
        return (
            f"First the plan's stage '{bar}', which is no honing: enter the check after it with "
            f"'{bar}' as its stones. Strokes are advised from there."
        )
    if advice in _STOPS:
        return _STOPS[advice]
    if advice == "find the rate":
        return "The gauge sees no metal going: look at the stones, take a few more and check."
    if step is None:
        return "What was read has reached the lowest permitted size: read the whole bore."
    if step.count == 0:
        return (
            f"Not even one of the {unit} keeps the risk of passing the highest size to {risk:.1%}: "
            "read again without honing, which makes the line firmer, or go to finer stones."
        )
    half = "" if step.whole else " (half of what is left at most: the line is still short)"
    return (
        f"{step.count} {unit}, then check{half}. Risk of passing the highest: {risk:.1%} at most."
    )


def _cautions(
    job: Job, cylinder: Cylinder, target: Target, now: Check, unread: int, since: int
) -> Iterator[str]:
    name = f"Cylinder {cylinder.name}"
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
    warm = now.temperature
    if abs(warm - REFERENCE) > _WARM:
        yield (
            f"{name}: the bore was read at {warm / 1000:g} °C. Sizes are corrected to 20 °C; let "
            "it cool and read it once more before the last pass."
        )
    if _spread_too_wide(now, target):
        yield (
            f"{name}: largest and smallest local size differ by more than the permitted sizes do: "
            "even strokes cannot bring all of it inside. Dwell where it is small."
        )


def _spread_too_wide(now: Check, target: Target) -> bool:
    """Tell whether the bore's form leaves no room between lowest and highest local size."""
    smallest, largest = extremes(now.bore)
    return largest - smallest > target.high - target.low and smallest < target.low


def reread(cylinder: Cylinder, checks: list[Check], start: Start) -> Cylinder:
    """Return the cylinder of a job as it is now: with its last readings, and what is left of
    its deepest scratch (each unit of metal off the diameter takes half of it; a new sleeve has
    none)."""
    first, last = checks[0].places, checks[-1].places
    removed = min((last[place] - first[place] for place in first.keys() & last.keys()), default=0)
    left = max(0, cylinder.scratch - max(0, removed) // 2)
    read = checks[-1].read
    changed = {"readings": read.readings, "temperatures": read.temperatures, "scratch": left}
    if was_restored(checks, start):
        changed |= {"scratch": 0, "unworn": None}
    return cylinder.model_copy(update=changed)
