"""Allotments with many ties, printed: whatever solver is installed, the same bytes come out.

    python -m tests.bench.same_allotments

The check of the lowest versions compares what it prints with what the newest print.
"""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver import allot_shop
from fitsolver.records.allotment import AllotmentAnswer, Shop
from fitsolver.reporting.schema import to_json
from fitsolver.usecases.tables import allot
from tests.bench.allot_instances import families, shop, with_kits
from tests.bench.stopped_shops import DEMO


def drawn() -> Iterator[Shop]:
    """Yield shops with plenty of parts of one size, and some with kits."""
    for jobs, seed, plenty in ((4, 4, 1.5), (5, 5, 2.0), (6, 1, 0.8), (12, 3, 1.2), (20, 4, 1.5)):
        yield shop(jobs, seed, plenty)
    yield with_kits(shop(6, 2, 1.2), 2)
    yield families(2, 5, seed=3, plenty=1.5)


def main() -> None:
    """Print them."""
    answers: list[AllotmentAnswer] = [allot(DEMO, workers=1)]
    answers += [allot_shop(one, workers=1) for one in drawn()]
    for answer in answers:
        assert answer.status == "proven best", answer.shop
        print(to_json(answer))


if __name__ == "__main__":
    main()
