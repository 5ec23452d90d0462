"""Why a job is left out, and which parts would serve it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from fitsolver.allotment.combinations import separable
from fitsolver.allotment.prepared import Prepared
from fitsolver.allotment.shortage import simple_shortage, soonest, whole_shortage
from fitsolver.base.deadline import Clock
from fitsolver.choices.words import some_of
from fitsolver.records.allotment import JobLeftOut, Lacking
from fitsolver.records.base import Level
from fitsolver.records.words import some
from fitsolver.solving.shortage import Shortage

#: Most parts named that would each serve a job by themselves.
_PARTS: Final = 6
#: Most numbers tried as the only one of which more is needed.
_LOOKS: Final = 40
_ENDED: Final = "the time ended before it was served; nothing is proven of it"


class Reasons:
    """Explains the jobs left out, after all others have their plans. `takers`: the pieces of each
    job.
    """

    def __init__(
        self,
        order: tuple[Level, ...],
        stock: Mapping[str, int],
        left: Mapping[str, int],
        takers: Mapping[str, Mapping[str, int]],
        clock: Clock,
    ) -> None:
        self.order, self.stock, self.left = order, stock, left
        self.takers, self.clock = takers, clock

    def never(self, job: Prepared) -> bool:
        """Tell whether it is certain that a job has no plan with the whole shelf."""
        clock = self.clock
        return (
            clock.left != 0
            and self._shortage(job, self.stock).least((), clock) is None
            and (clock.left != 0)
        )

    def left_out(self, job: Prepared) -> JobLeftOut:
        """Return why a job that could be served alone is left out, and the parts it needs."""
        if self.clock.left == 0:
            return JobLeftOut(sentence=_ENDED)
        told = self._shortage(job, self.left)
        least = told.least(told.numbers, self.clock)
        if not least:
            return JobLeftOut(sentence=_ENDED if self.clock.left == 0 else _WHOLLY)
        found = [least, *(one for one in self._singles(told) if one != least)]
        serves = tuple(tuple(self._lacking(each)) for each in found[:_PARTS])
        waits = None
        if job.task.job.terms.needed_in_days is not None and self.clock.left != 0:
            waits = soonest(job, self.order, self.left, self.clock, simple=self._simple(job))
        return JobLeftOut(sentence=self._sentence(serves[0]), serves=serves, waits=waits)

    def _simple(self, job: Prepared) -> bool:
        return "part_number" not in self.order and separable(job, self.order)

    def _shortage(self, job: Prepared, left: Mapping[str, int]) -> Shortage:
        if self._simple(job):
            return simple_shortage(job, self.order, left)
        return whole_shortage(job, left)

    def _singles(self, told: Shortage) -> list[dict[str, int]]:
        """Return the numbers that alone would suffice, with the extra pieces, fewest first."""
        found = []
        for number in told.numbers[:_LOOKS]:
            one = told.least((number,), self.clock)
            if one:
                found.append(one)
        return sorted(found, key=lambda one: (sum(one.values()), sorted(one)))

    def _lacking(self, wanted: Mapping[str, int]) -> Iterator[Lacking]:
        for number, count in sorted(wanted.items()):
            yield Lacking(number=number, count=count, left=self.left.get(number, 0))

    def _sentence(self, lacking: Sequence[Lacking]) -> str:
        alike: dict[tuple[int, str], list[str]] = {}
        for item in lacking:
            takers = [name for name, taken in self.takers.items() if taken.get(item.number)]
            used = f" (used by {some(takers, 3)})" if takers else ""
            there = f"{item.left or 'none'} left{used}"
            alike.setdefault((item.left + item.count, there), []).append(item.number)
        return "; ".join(
            f"{count} {_of(numbers)} needed, {there}" for (count, there), numbers in alike.items()
        )


_WHOLLY: Final = "what is left would serve it; the time ended before it was looked at"


def _of(numbers: Sequence[str]) -> str:
    return f"each of {some_of(numbers)}" if len(numbers) > 1 else f"x {numbers[0]}"
