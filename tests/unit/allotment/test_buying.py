"""Purchases with kits against every way to combine them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import product
from random import Random

import pytest

from fitsolver.allotment.buying import Buyer, Purchase
from fitsolver.choices.selection import Bought
from fitsolver.records.catalogue import Catalogue
from tests.bench.allot_instances import OVERSIZES, shop, with_kits


def every(
    catalogue: Catalogue, wanted: Mapping[str, int], stock: Mapping[str, int], latest: int
) -> Iterator[Purchase]:
    """Yield every purchase in which no kit is bought more often than all that is wanted needs."""
    sold = {part.number: part for part in (*catalogue.pistons, *catalogue.rings, *catalogue.kits)}
    useful = {
        kit: max(-(-wanted.get(item.number, 0) // item.count) for item in kit.contents)
        for kit in catalogue.kits
    }
    kits = [kit for kit, most in useful.items() if most]
    for counts in product(*(range(useful[kit] + 1) for kit in kits)):
        need = dict(wanted)
        for kit, pieces in zip(kits, counts, strict=True):
            for item in kit.contents:
                need[item.number] = need.get(item.number, 0) - pieces * item.count
        bought = {kit.number: pieces for kit, pieces in zip(kits, counts, strict=True)}
        told: list[dict[str, Bought]] = [{}, {}]
        price = days = 0
        for pile, some in enumerate((bought, need)):
            for number, count in some.items():
                if count <= 0:
                    continue
                here = min(count, stock.get(number, 0))
                lead = sold[number].lead_days
                if sold[number].price is None or (count > here and (lead is None or lead > latest)):
                    break
                told[pile][number] = Bought(here, count - here)
                price += count * (sold[number].price or 0)
                days = max(days, (lead or 0) if count > here else 0)
            else:
                continue
            break
        else:
            yield Purchase(told[0], told[1], price, days)


def numbers_of(found: Purchase, catalogue: Catalogue) -> list[tuple[int, int]]:
    """What of equally good purchases comes first: by number, kits before parts."""
    kits = sorted(kit.number for kit in catalogue.kits)
    parts = sorted(part.number for part in (*catalogue.pistons, *catalogue.rings))
    each = {**found.kits, **found.singles}
    told = (each.get(number, Bought()) for number in (*kits, *parts))
    return [(one.ordered, one.stock) for one in told]


@pytest.mark.parametrize("seed", range(12))
def test_the_best_of_all_ways(seed: int) -> None:
    dice = Random(seed)
    (catalogue,) = with_kits(shop(1, seed, 1.0), seed).catalogues
    pistons = tuple(
        p.model_copy(update={"price": None}) if dice.random() < 0.2 else p
        for p in catalogue.pistons
    )
    catalogue = catalogue.model_copy(update={"pistons": pistons})
    buyer = Buyer(catalogue)
    for _ in range(8):
        size = dice.choice(OVERSIZES)
        rings = [r for r in catalogue.rings if r.gauge_diameter == 80 * 10**5 + size]
        wanted: dict[str, int] = {}
        for _ in range(dice.choice((1, 2, 3))):
            pair = [dice.choice([r.number for r in rings if g in r.grooves]) for g in (1, 2)]
            piston = dice.choice([p.number for p in catalogue.pistons if p.oversize == size][:2])
            for number in (piston, *pair):
                wanted[number] = wanted.get(number, 0) + 1
        every_part = (*catalogue.pistons, *catalogue.rings, *catalogue.kits)
        stock = {part.number: dice.choice((0, 0, 1, 2)) for part in every_part}
        latest, order = dice.choice((0, 6, 30)), dice.choice((("price", "days"), ("days", "price")))
        kits = [k for k in catalogue.kits if any(i.number in wanted for i in k.contents)][:4]
        few = catalogue.model_copy(update={"kits": tuple(kits)})
        found = Buyer(few).best(wanted, stock, latest, order)
        ways = list(every(few, wanted, stock, latest))
        best = min(
            ways,
            key=lambda w: (
                (w.price, w.days) if order[0] == "price" else (w.days, w.price),
                numbers_of(w, few),
            ),
            default=None,
        )
        assert found == best
        if best is not None:
            assert Buyer(few).best(wanted, stock, latest, order, most=best.price - 1) != best
        assert buyer.best({}, stock, latest, order) == Purchase({}, {}, 0, 0)
