"""Jobs that must be decided together, and the part numbers that they contest."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256

from fitsolver.allotment.prepared import Prepared
from fitsolver.allotment.serving import Served
from fitsolver.records.base import Level


@dataclass(frozen=True, slots=True)
class Component:
    """Jobs in the order of serving, the contested numbers with their counts, and the levels.

    Plain data: it can be sent to another process. `ample` are the numbers whose stock covers the
    demand of the whole shop. `order` has the levels that are summed: those before the part number.
    """

    jobs: tuple[Prepared, ...]
    contested: Mapping[str, int]
    ample: frozenset[str]
    serving: tuple[Served, ...]
    order: tuple[Level, ...]

    @property
    def fingerprint(self) -> str:
        """A fingerprint of everything that determines the result."""
        digest = sha256()
        for job in self.jobs:
            digest.update(job.fingerprint.encode())
        for part in (sorted(self.contested.items()), self.serving, self.order):
            digest.update(repr(part).encode())
        mine = sorted(number for job in self.jobs for number in job.most if number in self.ample)
        digest.update(repr(mine).encode())
        return digest.hexdigest()


def components(
    jobs: Sequence[Prepared],
    stock: Mapping[str, int],
    serving: tuple[Served, ...],
    order: tuple[Level, ...],
) -> list[Component]:
    """Split a shop into components: jobs that contest a scarce part number are in the same one."""
    wanted: dict[str, int] = {}
    for job in jobs:
        for number, most in job.most.items():
            wanted[number] = wanted.get(number, 0) + most
    ample = frozenset(n for n, most in wanted.items() if stock.get(n, 0) >= most)
    scarce = {number for number in wanted if stock.get(number, 0) and number not in ample}
    leader = list(range(len(jobs)))

    def find(index: int) -> int:
        while leader[index] != index:
            leader[index] = leader[leader[index]]
            index = leader[index]
        return index

    first: dict[str, int] = {}
    for index, job in enumerate(jobs):
        for number in job.most:
            if number in scarce:
                one, other = find(first.setdefault(number, index)), find(index)
                leader[max(one, other)] = min(one, other)
    groups: dict[int, list[Prepared]] = {}
    for index, job in enumerate(jobs):
        groups.setdefault(find(index), []).append(job)
    return [
        Component(
            tuple(group),
            {n: stock[n] for n in sorted({n for job in group for n in job.most} & scarce)},
            ample,
            tuple(level for level in serving if any(level.counts(j.entry) for j in group)),
            order,
        )
        for group in groups.values()
    ]
