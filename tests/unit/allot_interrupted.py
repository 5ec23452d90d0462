"""Allots a shop of three families in two processes and tells what was done: for Ctrl-C."""

from __future__ import annotations

from fitsolver import allot_shop
from fitsolver.records.allotment import Shop
from tests.bench.allot_instances import families


def shop_of_three() -> Shop:
    """Return two small families and one that takes long."""
    small, large = families(2, 2, plenty=0.9), families(3, 60, seed=5, plenty=0.9)
    last = [entry for entry in large.jobs if entry.catalogue == 2]
    return Shop(
        name="three families",
        jobs=(*small.jobs, *last),
        catalogues=(*small.catalogues, large.catalogues[2]),
        shelf=(
            *(small.shelf or ()),
            *(line for line in large.shelf or () if line.number.startswith("F2")),
        ),
    )


def tell(what: str, _gone: float) -> None:
    if what.endswith("components"):
        print(what, flush=True)


if __name__ == "__main__":
    answer = allot_shop(shop_of_three(), workers=2, progress=tell)
    print(f"{answer.status}, {len(answer.components)} components proven")
