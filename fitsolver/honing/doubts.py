"""Checks that contradict the log: every doubted reading, with the expected size and the reason."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby
from math import ceil, floor, hypot, pi, sqrt
from statistics import median
from typing import Final

from fitsolver.base.lengths import exact_text, format_length, small_length
from fitsolver.honing.bounds import (
    DULLED,
    LEAST_PACE,
    QUICKER,
    UNKNOWN_PACE,
    Base,
    Found,
    Limits,
    above_and_below,
    after_a_cut,
    alone,
    by_itself,
    contradicts,
    out_of_line,
)
from fitsolver.honing.checks import Check, Place, Places, read_checks
from fitsolver.honing.log import Entry
from fitsolver.honing.noise import ASSUMED, SIGMAS, THERMOMETER, gauge_scatter
from fitsolver.honing.start import Start
from fitsolver.metrology.temperature import bore_expansion, temperatures_of
from fitsolver.records.doubts import Doubt
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.measuring import REFERENCE
from fitsolver.records.readings import PIN, THRUST

#: Implausible excess below the lowest, and above the highest, bore temperature in the log
#: (thousandths of 1 °C; own choice).
_COLDER: Final = 5_000
_WARMER: Final = 25_000
#: Standard deviation of a median against that of a mean of normal readings, sqrt(pi / 2).
_MEDIAN: Final = sqrt(pi / 2)
#: From this many places on, equal doubts become one doubt of the whole pass.
_WHOLE: Final = 3
_WHY: Final = {
    "shrunk": "a hone takes metal away: look at the gauge's zero and the temperature",
    "beyond": "the bar leaves metal for the hone",
    "cut": "a bar cuts to one size at every depth",
    "high": "it would stand out of its neighbours further than before, and a hone cuts what "
    "stands in",
    "alone": "it alone would make the bore larger than the highest permitted size, and one reading "
    "orders no new parts: read it again",
    "low": "it would lag behind its neighbours further than before, and a hone cuts what stands in",
}


def judged(
    job: Job,
    cylinder: Cylinder,
    entries: Sequence[Entry],
    file: str,
    start: Start,
    accepted: frozenset[str],
) -> tuple[list[Check], list[Doubt]]:
    """Return the checks of a cylinder, and their doubts not yet accepted.

    A step with doubted and accepted readings gives no rate.
    """
    checks = read_checks(job, cylinder, entries, file, start)
    judge = _Judge(job, cylinder, file, start, accepted)
    judge.begin(checks[0])
    for group in _grouped(checks[1:]):
        judge.look(group)
    taken = {check.number for check in judge.accepted_checks}
    found = []
    for check in checks:
        out = frozenset(place for number, place in judge.overruled if number == check.number)
        learned = check.learned and check.number not in taken
        found.append(replace(check, learned=learned, left_out=out))
    return found, judge.doubts


def _grouped(checks: list[Check]) -> Iterator[list[Check]]:
    """Yield checks with the re-readings that replace them."""
    group: list[Check] = []
    for check in checks:
        if group and not check.replaces:
            yield group
            group = []
        group.append(check)
    if group:
        yield group


def _but(sizes: Places, found: Sequence[Found]) -> Places:
    """Return the places that nothing was found of."""
    named = {item.place for item in found}
    return {place: size for place, size in sizes.items() if place not in named}


@dataclass
class _Judge:
    """One cylinder's checks, judged in order; a doubted reading is no base for the next."""

    job: Job
    cylinder: Cylinder
    file: str
    start: Start
    accepted: frozenset[str]
    doubts: list[Doubt] = field(default_factory=list)
    accepted_checks: list[Check] = field(default_factory=list)
    base: dict[Place, Base] = field(default_factory=dict)
    before: dict[Place, Base] = field(default_factory=dict)
    overruled: set[tuple[int, Place]] = field(default_factory=set)
    paces: dict[str, tuple[float, float]] = field(default_factory=dict)
    growth: float = 0.0
    cuts: int = 0
    last: Check | None = None
    temperatures: list[int] = field(default_factory=list)

    def begin(self, first: Check) -> None:
        read = {**first.places, **first.aside}
        self.base = {place: Base(size, 0, 0.0, 0) for place, size in read.items()}
        self.temperatures = [temperatures_of(self.job, self.cylinder).bore]
        self.last = first

    def look(self, group: list[Check]) -> None:
        """Judge one check as its re-readings leave it."""
        now, before = group[-1], self.last
        assert before is not None
        read_in = {place: check for check in group for place in check.own}
        sizes = {place: size for place, size in now.places.items() if place in read_in}
        read_aside = {place: check for check in group for place in check.aside}
        aside = {place: check.aside[place] for place, check in read_aside.items()}
        strokes = now.count - before.count
        if now.cut:
            self.cuts += 1
            if self.start.is_restored(now.cut) and self.start.restored_bore is None:
                self.base = {}  # nothing of the old bore is left to compare with
        self.growth += strokes * self._pace(now)
        limits = self._limits(now, sizes, strokes)
        if not now.cut:
            self._overrule(sizes, limits)
        found = self._found(now, sizes, limits)
        beside = [] if now.cut else self._aside(aside, _but(sizes, found), limits)
        new = [
            *self._placed(found, sizes, read_in),
            *(
                (self._doubt(f, aside[f.place], read_aside[f.place]), frozenset({f.place}))
                for f in sorted(beside)
            ),
            *self._of_pass(now, sizes, limits),
        ]
        refused = self._sort(new, now)
        for place, size in {**sizes, **aside}.items():
            if place not in refused:
                self.before.pop(place, None)
                if place in self.base:
                    self.before[place] = self.base[place]
                self.base[place] = Base(size, now.number, self.growth, self.cuts)
        if not new and not now.cut and strokes:
            self._learn(now, before, strokes, limits.middle / 2)
        self.last = now
        self.temperatures.append(now.temperature)

    def _overrule(self, sizes: Places, limits: Limits) -> None:
        """Drop the last readings that these contradict, where earlier readings and neighbours show
        that the last ones were off."""
        for place in sizes:
            last = self.base.get(place)
            if last and contradicts(place, sizes, self.base, self.before, limits):
                self.overruled.add((last.number, place))
                self.base[place] = self.before[place]

    def _pace(self, now: Check) -> float:
        """Return the largest removal a stroke at one place under the stones of a step."""
        known = self.paces.get(now.stones) if now.stones is not None else None
        return UNKNOWN_PACE if known is None else max(LEAST_PACE, QUICKER * known[0])

    def _limits(self, now: Check, sizes: Places, strokes: int) -> Limits:
        one = gauge_scatter(self.job) or ASSUMED
        at = temperatures_of(self.job, self.cylinder)
        warm = [t for t in (now.temperature, self.temperatures[-1]) if t != REFERENCE]
        kelvin = at.uncertainty or (THERMOMETER if warm else 0)
        size = next(iter(sizes.values()), 0)
        growth = bore_expansion(self.job, self.cylinder) * 1e-9 if kelvin else 0.0
        common = size * growth * kelvin / 1_000 / sqrt(3)
        middle = _MEDIAN * one / sqrt(max(1, len(sizes)))
        return Limits(
            one=one,
            repeat=SIGMAS * sqrt(2) * one,
            shift=SIGMAS * sqrt(2) * hypot(one, common),
            middle=SIGMAS * sqrt(2) * hypot(middle, common),
            growth=self.growth,
            cut=self.cuts,
            removed=self._mean_change(sizes) if strokes else 0.0,
            high=self.start.high,
        )

    def _mean_change(self, sizes: Places) -> float:
        changes = [
            size - self.base[place].size
            for place, size in sizes.items()
            if place in self.base and self.base[place].cut == self.cuts
        ]
        return float(median(changes)) if changes else 0.0

    def _found(self, now: Check, sizes: Places, limits: Limits) -> list[Found]:
        found = by_itself(sizes, self.base, limits)
        if now.cut:
            return [*found, *after_a_cut(sizes, self.base, limits)]
        rest = _but(sizes, found)
        found += out_of_line(rest, self.base, limits)
        rest = _but(sizes, found)
        found += above_and_below(rest, rest, self.base, limits)
        return [*found, *alone(_but(sizes, found), self.base, limits)]

    def _aside(self, aside: Places, sizes: Places, limits: Limits) -> list[Found]:
        """Return the doubted readings at places that do not decide.

        Large growth alone is no doubt there: even slow stones may cut a rim that stands in. A
        reading that shrank, or grew beyond its neighbours, is doubted.
        """
        found = [f for f in by_itself(aside, self.base, limits) if f.why == "shrunk"]
        rest = _but(aside, found)
        return [*found, *above_and_below(rest, sizes | rest, self.base, limits)]

    def _placed(
        self, found: list[Found], sizes: Places, read_in: dict[Place, Check]
    ) -> Iterator[tuple[Doubt, frozenset[Place]]]:
        """Yield a doubt for each place, or one for the pass where all are doubted alike."""
        for _, same in groupby(sorted(found, key=lambda item: item.why), lambda item: item.why):
            items = list(same)
            checks = {read_in[item.place].number for item in items}
            if len(items) >= _WHOLE and len(items) == len(sizes) and len(checks) == 1:
                yield self._doubt_of_all(items, sizes, read_in[items[0].place])
                continue
            for item in sorted(items):
                check = read_in[item.place]
                yield self._doubt(item, sizes[item.place], check), frozenset({item.place})

    def _doubt(self, item: Found, size: int, check: Check) -> Doubt:
        depth, angle = item.place
        axis = {THRUST: "thrust", PIN: "pin"}.get(angle, str(angle))
        place = f"{exact_text(depth, self.job.unit)}/{axis}"
        return self._of_check(
            check,
            place,
            "readings",
            f"{self._both(item.place, size, check)}{self._change(item.place, size)}; "
            f"{self._expected(item, check)}",
        )

    def _of_check(self, check: Check, what: str, field_name: str, sentence: str) -> Doubt:
        """Return a doubt at the line of a check; an unwritten check has no line."""
        return Doubt(
            id=f"{self._pass(check)}/{what}",
            file=self.file if check.line else "",
            row=f"line {check.line}" if check.line else "",
            field=field_name,
            sentence=sentence,
        )

    def _doubt_of_all(
        self, items: list[Found], sizes: Places, check: Check
    ) -> tuple[Doubt, frozenset[Place]]:
        worst = max(items, key=lambda item: abs(sizes[item.place] - item.bound))
        doubt = self._doubt(worst, sizes[worst.place], check)
        depth, axis = doubt.id.split("/")[-2:]
        text = f"all {len(items)} places alike; at depth {depth}, {axis}: {doubt.sentence}"
        whole = doubt.model_copy(update={"id": self._pass(check), "sentence": text})
        return whole, frozenset(item.place for item in items)

    def _of_pass(
        self, now: Check, sizes: Places, limits: Limits
    ) -> Iterator[tuple[Doubt, frozenset[Place]]]:
        """Yield the doubts of a pass's strokes and of its temperature."""
        assert self.last is not None
        strokes, known = now.count - self.last.count, self.paces.get(now.stones or "")
        if known is not None and not now.cut and len(sizes) >= _WHOLE:
            least = strokes * known[1] / DULLED
            if limits.removed < least - limits.middle:
                yield self._strokes(now, strokes, limits.removed, known[1]), frozenset()
        coldest, warmest = min(self.temperatures), max(self.temperatures)
        if not coldest - _COLDER <= now.temperature <= warmest + _WARMER:
            yield self._temperature(now, coldest, warmest), frozenset()

    def _strokes(self, now: Check, strokes: int, took: float, pace: float) -> Doubt:
        return self._of_check(
            now,
            now.counted_in,
            "strokes",
            f"{strokes} {now.counted_in} took {self._small(took)}; at "
            f"{self._small(pace)} each, as these stones took before, at least "
            f"{self._small(strokes * pace / DULLED)} was expected, for stones do not dull to less "
            "than a quarter between two checks: look at the number, the gauge's zero and the "
            "temperature",
        )

    def _temperature(self, now: Check, coldest: int, warmest: int) -> Doubt:
        low, high = (coldest - _COLDER) / 1_000, (warmest + _WARMER) / 1_000
        return self._of_check(
            now,
            "temperature",
            "temperature",
            f"the bore at {now.temperature / 1_000:g} °C; {low:g} to {high:g} °C was "
            f"expected, for it was {coldest / 1_000:g} to {warmest / 1_000:g} °C before",
        )

    def _sort(
        self,
        new: list[tuple[Doubt, frozenset[Place]]],
        now: Check,
    ) -> set[Place]:
        """Keep what is not accepted, and return the places of it."""
        refused: set[Place] = set()
        for doubt, places in new:
            if doubt.id in self.accepted:
                self.accepted_checks.append(now)
            else:
                self.doubts.append(doubt)
                refused |= places
        return refused

    def _learn(self, now: Check, before: Check, strokes: int, error: float) -> None:
        """Keep the pace of the stones: at the fastest place ever, and the certain median of this
        step (less the gauge's error)."""
        was, is_now = before.places, now.places
        took = sorted(is_now[place] - was[place] for place in was.keys() & is_now.keys())
        if not took or not now.stones:
            return
        fastest = max(took[-1] / strokes, self.paces.get(now.stones, (0.0, 0.0))[0])
        self.paces[now.stones] = fastest, max(0.0, (median(took) - error) / strokes)

    def _pass(self, check: Check) -> str:
        return f"pass {check.number}/{self.cylinder.name}"

    def _both(self, place: Place, size: int, check: Check) -> str:
        """Return a reading as it was typed and, where that is another figure, its size at 20 °C."""
        read, at_20 = self._read(place, check), self._length(size)
        return read if read == at_20 else f"{read} is {at_20} at 20 °C"

    def _read(self, place: Place, check: Check) -> str:
        """Return a reading as it was typed."""
        read = next(r for r in check.read.readings if (r.depth, r.angle) == place)
        if read.dial is None:
            return self._length(read.size)
        return f"{'+' if read.dial >= 0 else ''}{self._length(read.dial)}"

    def _change(self, place: Place, size: int) -> str:
        last = self.base.get(place)
        if last is None:
            return ""
        change = size - last.size
        return (
            f", {self._small(abs(change))} {'more' if change >= 0 else 'less'} than at check "
            f"{last.number} ({self._length(last.size)})"
        )

    def _expected(self, item: Found, check: Check) -> str:
        upwards = item.why in ("quick", "high", "beyond", "alone")
        bound = floor(item.bound) if upwards else ceil(item.bound)
        most = f"at {'most' if upwards else 'least'} {self._length(bound)} was expected"
        if item.why == "cut":
            return f"about {self._length(round(item.bound))} was expected: {_WHY['cut']}"
        if item.why != "quick":
            return f"{most}: {_WHY[item.why]}"
        return f"{most}: {self._quick(check)}"

    def _quick(self, check: Check) -> str:
        last = self.last
        assert last is not None
        strokes, pace = check.count - last.count, self._pace(check)
        one = check.counted_in.removesuffix("s")
        if not strokes:
            return "nothing was honed since"
        known = self.paces.get(check.stones or "")
        basis = (
            f"no {one} of a hone takes more (common practice, no source)"
            if known is None
            else f"{QUICKER} times the {self._small(known[0])} these stones took before"
            if QUICKER * known[0] >= LEAST_PACE
            else "more than these stones ever took"
        )
        return (
            f"{strokes} {check.counted_in} at {self._small(pace)} each at most, {basis}. If the "
            "stones were dressed, name them anew. If a bar cut it, enter 'bore' as its stones"
        )

    def _length(self, ticks: int) -> str:
        return format_length(ticks, self.job.unit, symbol=True)

    def _small(self, ticks: float) -> str:
        return small_length(ticks, self.job.unit)
