"""The shelf handed out: every served job gets its own best plan with what is left for it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from fitsolver.allotment.prepare import in_shop
from fitsolver.allotment.supply import with_stock
from fitsolver.deciding import decide
from fitsolver.errors import CheckError
from fitsolver.records.allotment import ShopJob
from fitsolver.records.base import Level
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.plan import Answer


@dataclass(slots=True)
class Shelf:
    """What is left on the shelf, less what is kept for jobs that still come; who took what."""

    stock: Mapping[str, int]
    catalogues: tuple[Catalogue, ...]
    order: tuple[Level, ...]
    left: Counter[str] = field(init=False)
    takers: dict[str, Counter[str]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.left = Counter(self.stock)

    def keep(self, shares: Iterable[Mapping[str, int]]) -> None:
        """Set pieces aside."""
        for share in shares:
            self.left.subtract(share)

    def give(self, entry: ShopJob, share: Mapping[str, int]) -> Answer:
        """Return the job's answer with its share and all that is left; take what its plan takes."""
        self.left.update(share)
        answer = self.decide(entry, self.left)
        if answer.plan is not None:
            taken = self.takers.setdefault(entry.job.name, Counter())
            for line in answer.plan.order:
                if line.source == "stock":
                    taken[line.number] += line.count
            self.left.subtract(taken)
        if any(count < 0 for count in self.left.values()):
            raise CheckError("a part was handed out beyond its quantity")
        return answer

    def decide(self, entry: ShopJob, counts: Mapping[str, int], *, soon: bool = True) -> Answer:
        """Return what `pick` answers with these counts in stock; `soon` False: whenever due."""
        catalogue = with_stock(self.catalogues[entry.catalogue], counts)
        job = in_shop(entry.job, self.order)
        if not soon:
            terms = job.terms.model_copy(update={"needed_in_days": None, "needed_by": None})
            job = job.model_copy(update={"terms": terms})
        try:
            return decide(job, catalogue, rows_back=False)
        except KeyboardInterrupt:  # it was meant for the search; the plans are a matter of moments
            return decide(job, catalogue, rows_back=False)

    @property
    def taken(self) -> Counter[str]:
        """How many pieces of each number jobs took."""
        found: Counter[str] = Counter()
        for taken in self.takers.values():
            found.update(taken)
        return found
