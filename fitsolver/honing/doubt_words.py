"""The doubts of a log of passes in words: what was read, what was expected, and why."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor
from typing import Final, NamedTuple

from fitsolver.base.lengths import exact_text, format_length, small_length
from fitsolver.honing.bounds import DULLED, LEAST_PACE, QUICKER, Base, Found
from fitsolver.honing.checks import Check, Place
from fitsolver.records.doubts import Doubt
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.readings import PIN, THRUST

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


class Step(NamedTuple):
    """The strokes since the check before, the most a stroke may take (ticks), and the pace known
    of these stones: the fastest place, and the certain median."""

    strokes: int
    pace: float
    known: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class Wording:
    """The words for one cylinder's checks."""

    job: Job
    cylinder: Cylinder
    file: str

    def reading(self, item: Found, size: int, check: Check, last: Base | None, step: Step) -> Doubt:
        """Return the doubt of a reading; `last` is the one before at its place."""
        depth, angle = item.place
        axis = {THRUST: "thrust", PIN: "pin"}.get(angle, str(angle))
        return self._of_check(
            check,
            f"{exact_text(depth, self.job.unit)}/{axis}",
            "readings",
            f"{self._both(item.place, size, check)}{self._change(last, size)}; "
            f"{self._expected(item, check, step)}",
        )

    def all_places(self, worst: Doubt, places: int, check: Check) -> Doubt:
        """Return the doubt of a whole pass; `worst` is that of its worst place."""
        depth, axis = worst.id.split("/")[-2:]
        text = f"all {places} places alike; at depth {depth}, {axis}: {worst.sentence}"
        return worst.model_copy(update={"id": self._pass(check), "sentence": text})

    def strokes(self, now: Check, strokes: int, took: float, pace: float) -> Doubt:
        """Return the doubt of a pass that took less (ticks) than these stones at their `pace`."""
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

    def temperature(self, now: Check, plausible: tuple[int, int], before: tuple[int, int]) -> Doubt:
        """Return the doubt of a bore's temperature (thousandths of 1 °C) beyond the plausible."""
        low, high, coldest, warmest = (each / 1_000 for each in (*plausible, *before))
        return self._of_check(
            now,
            "temperature",
            "temperature",
            f"the bore at {now.temperature / 1_000:g} °C; {low:g} to {high:g} °C was "
            f"expected, for it was {coldest:g} to {warmest:g} °C before",
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

    def _change(self, last: Base | None, size: int) -> str:
        if last is None:
            return ""
        change = size - last.size
        return (
            f", {self._small(abs(change))} {'more' if change >= 0 else 'less'} than at check "
            f"{last.number} ({self._length(last.size)})"
        )

    def _expected(self, item: Found, check: Check, step: Step) -> str:
        upwards = item.why in ("quick", "high", "beyond", "alone")
        bound = floor(item.bound) if upwards else ceil(item.bound)
        most = f"at {'most' if upwards else 'least'} {self._length(bound)} was expected"
        if item.why == "cut":
            return f"about {self._length(round(item.bound))} was expected: {_WHY['cut']}"
        if item.why != "quick":
            return f"{most}: {_WHY[item.why]}"
        return f"{most}: {self._quick(check, step)}"

    def _quick(self, check: Check, step: Step) -> str:
        if not step.strokes:
            return "nothing was honed since"
        basis = (
            f"no {check.counted_in.removesuffix('s')} of a hone takes more (common practice, no "
            "source)"
            if step.known is None
            else f"{QUICKER} times the {self._small(step.known[0])} these stones took before"
            if QUICKER * step.known[0] >= LEAST_PACE
            else "more than these stones ever took"
        )
        return (
            f"{step.strokes} {check.counted_in} at {self._small(step.pace)} each at most, {basis}. "
            "If the stones were dressed, name them anew. If a bar cut it, enter 'bore' as its "
            "stones"
        )

    def _length(self, ticks: int) -> str:
        return format_length(ticks, self.job.unit, symbol=True)

    def _small(self, ticks: float) -> str:
        return small_length(ticks, self.job.unit)
