"""Why a job is left out, and which parts would serve it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from fitsolver.allotment.hand_out import Shelf
from fitsolver.records.allotment import JobLeftOut, Lacking, ShopJob
from fitsolver.records.plan import Answer, Plan
from fitsolver.solving.search import Clock

#: So many parts are tried one by one for a job; the looks of a whole shop end at the second.
_PARTS, _LOOKS = 6, 60


class Reasons:
    """Tells of jobs left out, once all others have theirs; the shortest way once time is over."""

    def __init__(self, shelf: Shelf, clock: Clock) -> None:
        self.shelf, self.clock, self.looks = shelf, clock, 0

    def never(self, entry: ShopJob) -> Answer | None:
        """Return the refusal of a job that has no plan with the whole shelf; else None."""
        answer = self.shelf.decide(entry, self.shelf.stock)
        return answer if answer.plan is None else None

    def left_out(self, entry: ShopJob, most: Mapping[str, int]) -> JobLeftOut:
        """Return why a job that could be served alone is not, and what would serve it."""
        plan = self.shelf.decide(entry, self.shelf.stock).plan
        assert plan is not None
        lacking = tuple(self._lacking(_from_stock(plan)))
        singles = tuple(self._singles(entry, most))
        waits = None
        if entry.job.terms.needed_in_days is not None and self.clock.left != 0:
            late = self.shelf.decide(entry, self.shelf.left, soon=False).plan
            waits = None if late is None else late.days
        serves = singles or ((lacking,) if lacking else ())
        return JobLeftOut(sentence=self._sentence(lacking), serves=serves, waits=waits)

    def _lacking(self, wanted: Mapping[str, int]) -> Iterator[Lacking]:
        for number, count in sorted(wanted.items()):
            left = self.shelf.left[number]
            if count > left:
                yield Lacking(number=number, count=count - left, left=left)

    def _singles(self, entry: ShopJob, most: Mapping[str, int]) -> Iterator[tuple[Lacking, ...]]:
        """Yield the numbers of which some pieces more would do."""
        taken = self.shelf.taken
        short = [
            number
            for number in sorted(most)
            if taken[number] and self.shelf.left[number] < most[number]
        ]
        for number in short[:_PARTS]:
            self.looks += 1
            if self.looks > _LOOKS or self.clock.left == 0:
                return
            counts = self.shelf.left + Counter({number: most[number] - self.shelf.left[number]})
            plan = self.shelf.decide(entry, counts).plan
            if plan is not None:
                yield tuple(self._lacking(_from_stock(plan)))

    def _sentence(self, lacking: tuple[Lacking, ...]) -> str:
        parts = []
        for item in lacking:
            takers = [name for name, taken in self.shelf.takers.items() if taken[item.number]]
            went = f", the others go to {_some(takers)}" if takers else ""
            wanted = item.left + item.count
            parts.append(f"{wanted} of {item.number}, of which {item.left} are left{went}")
        return "its plan would take " + "; ".join(parts)


def _some(names: list[str]) -> str:
    shown = ", ".join(names[:3])
    return shown if len(names) <= 3 else f"{shown} and {len(names) - 3} more"


def _from_stock(plan: Plan) -> Counter[str]:
    found: Counter[str] = Counter()
    for line in plan.order:
        if line.source == "stock":
            found[line.number] += line.count
    return found
