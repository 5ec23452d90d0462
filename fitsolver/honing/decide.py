"""The next step of a bore: strokes with a risk or a condition, or none with the reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import floor

from fitsolver.base.lengths import Unit
from fitsolver.honing import sentences
from fitsolver.honing.advice import Ahead, Checks, Noise, ahead_of, next_step, passes_of
from fitsolver.honing.checks import Check, Place
from fitsolver.honing.first import Paces, first_strokes, lightest
from fitsolver.honing.pace import dulled
from fitsolver.honing.risks import Spent, fastest_of, limit_of_pass, noise_of, spent_of
from fitsolver.honing.states import as_numbers, under_present_stones
from fitsolver.metrology.form import extremes
from fitsolver.records.hone import Advice, NoHoning, NoStrokes, OnWhat, RemovalRate, StatedRisk
from fitsolver.records.job import Job


@dataclass(frozen=True, slots=True)
class Next:
    """The setting of the next strokes. `risk`: of passing the highest size, over all passes of a
    bore. `stones`: those to be used, where they differ from the last check. `paces`: paces of
    stones in the log; `seen`: those in the other cylinders."""

    risk: float
    stones: str | None = None
    paces: Paces = field(default_factory=dict)
    seen: Paces = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Told:
    """An advice: strokes, their basis, and the sentence."""

    advice: Advice
    count: int
    based_on: OnWhat
    sentence: str


@dataclass(frozen=True, slots=True)
class Decision:
    """An advice, the risk spent so far, the known pace, and question and note on the stones."""

    advice: Advice
    count: int
    based_on: OnWhat
    sentence: str
    spent: Spent
    rate: RemovalRate | None = None
    question: str = ""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Bore:
    """A bore before its next pass: its states, oldest first, and the permitted local sizes
    (ticks); `bar` is a stage that comes first, `unread` the places that are still to be read."""

    job: Job
    states: list[Check]
    low: int
    high: int
    bar: str = ""
    unread: int = 0

    @property
    def now(self) -> Check:
        return self.states[-1]

    @property
    def unit(self) -> Unit:
        return self.job.unit


def decide(bore: Bore, ahead: Next) -> Decision:
    """Return the next step. Every advice has a count and its basis."""
    spent = spent_of(bore.job, bore.states, bore.high, ahead.risk, ahead.seen)
    kept, places = under_present_stones(bore.states)
    if ahead.stones not in (None, bore.now.stones):
        kept, places = [bore.now], sorted(bore.now.places)
    numbers, noise = as_numbers(kept, places), noise_of(bore.job, kept, len(places))
    coming = ahead_of(numbers, noise, fastest_of(ahead.seen, bore.now))
    limit = limit_of_pass(ahead.risk, spent.counted)
    told = _no_honing(bore) or _strokes(bore, ahead, numbers, noise, limit, spent)
    cautions = [sentences.dulling(dulled(passes_of(numbers, noise)), bore.now, bore.unit)]
    if isinstance(told.based_on, StatedRisk):
        cautions.append(sentences.NAMED_ANEW)
    return Decision(
        told.advice,
        told.count,
        told.based_on,
        told.sentence,
        spent,
        None if coming is None else _rate(kept, coming),
        sentences.question_of(coming, bore.now, bore.unit),
        tuple(text for text in cautions if text),
    )


def _no_honing(bore: Bore) -> _Told | None:
    """Return why the bore is not honed now, where it is not."""

    def told(advice: Advice, why: NoHoning, sentence: str) -> _Told:
        return _Told(advice, 0, NoStrokes(why=why), sentence)

    smallest, largest = extremes(bore.now.bore)
    if largest > bore.high:
        place = _alone(bore)
        if place is None:
            return told("too large", "too large", sentences.TOO_LARGE)
        sentence = sentences.of_one_place(place, largest - bore.high, bore.unit)
        return told("read again", "read one place again", sentence)
    if smallest >= bore.low:
        if bore.unread:
            return told("read again", "read the whole bore", sentences.WHOLE_BORE)
        return told("stop", "stop", sentences.STOP)
    if bore.bar:
        return told("find the rate", "another stage first", sentences.of_bar(bore.bar))
    return None


def _alone(bore: Bore) -> Place | None:
    """Return the one place above the highest size, where it was read only once."""
    now = bore.now
    most = bore.high - now.bore.form_allowance
    over = [place for place, size in now.places.items() if size > most]
    if len(over) != 1 or now.often.get(over[0], 1) > 1 or not now.learned:
        return None
    return over[0]


def _strokes(
    bore: Bore, ahead: Next, numbers: Checks, noise: Noise, limit: float, spent: Spent
) -> _Told:
    unit, now = bore.now.counted_in, bore.now
    step = next_step(numbers, bore.low, bore.high, noise, limit, fastest_of(ahead.seen, now))
    smallest, largest = extremes(now.bore)
    if step is None:
        pace = ahead.paces.get((ahead.stones or now.stones or "", unit))
        sizes = smallest, largest, bore.low, bore.high
        first = first_strokes(*sizes, noise.extreme, limit, pace)
        sentence = sentences.of_first(first, unit, bore.unit, passes=len(numbers.counts) - 1)
        return _Told("find the rate", first.count, first, sentence)
    if step.count:
        told = StatedRisk(risk=step.risk, limit=limit, largest=floor(step.upper))
        sentence = sentences.of_step(step, unit, spent.stated, ahead.risk)
        return _Told("go on", step.count, told, sentence)
    light = lightest(largest, bore.high, noise.extreme, limit)
    if light is not None and not step.again:
        return _Told("go on", 1, light, sentences.of_first(light, unit, bore.unit, passes=0))
    none = NoStrokes(why="read again", risk_of_one=step.risk, limit=limit, again=step.again)
    return _Told("read again", 0, none, sentences.of_no_step(step, unit))


def _rate(kept: Sequence[Check], ahead: Ahead) -> RemovalRate:
    """Return the pace of the stones now in use."""
    pace = ahead.pace
    return RemovalRate(
        counted_in=kept[-1].counted_in,
        stones=kept[-1].stones or "",
        checks=ahead.passes + 1,
        rate=pace.rate,
        uncertainty=pace.rate * pace.unsure,
        scatter=pace.scatter,
        degrees=pace.degrees,
    )
