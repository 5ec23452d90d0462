"""The shelf of a shop: its counts, and a catalogue with these counts as stock."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from fitsolver.base.errors import InputError
from fitsolver.records.allotment import Shop
from fitsolver.records.catalogue import Catalogue, Sold

_KINDS = ("pistons", "rings", "gaskets", "kits")


def sold(catalogue: Catalogue) -> Iterator[Sold]:
    """Yield everything a catalogue sells."""
    for kind in _KINDS:
        yield from getattr(catalogue, kind)


def stock_of(shop: Shop) -> dict[str, int]:
    """Return the pieces on the shelf by number; numbers with 0 pieces are left out.

    So are numbers that no catalogue of the jobs has. Raises InputError, without a shelf, for
    catalogues that count one number differently.
    """
    if shop.shelf is not None:
        known = _numbers(shop)
        counted = (line for line in shop.shelf if line.number in known)
        return {line.number: line.count for line in counted if line.count}
    counts: dict[str, int] = {}
    for catalogue in shop.catalogues:
        for item in sold(catalogue):
            if counts.setdefault(item.number, item.stock) != item.stock:
                raise InputError(
                    "two catalogues count one part differently",
                    file=shop.name,
                    field="stock",
                    found=item.number,
                    allowed="one count, or a shelf of the shop's own",
                )
    return {number: count for number, count in counts.items() if count}


def strangers(shop: Shop) -> list[str]:
    """Return the numbers on the shelf that no catalogue of the jobs knows."""
    known = _numbers(shop)
    return sorted({line.number for line in shop.shelf or ()} - known)


def _numbers(shop: Shop) -> set[str]:
    known = {item.number for catalogue in shop.catalogues for item in sold(catalogue)}
    return known | {row.number for catalogue in shop.catalogues for row in catalogue.set_aside}


def with_stock(catalogue: Catalogue, counts: Mapping[str, int]) -> Catalogue:
    """Return the catalogue with exactly these pieces in stock; the same object if it has them."""
    changed = {}
    for kind in _KINDS:
        rows = getattr(catalogue, kind)
        if any(item.stock != counts.get(item.number, 0) for item in rows):
            changed[kind] = tuple(_counted(item, counts.get(item.number, 0)) for item in rows)
    return catalogue.model_copy(update=changed) if changed else catalogue


def _counted(item: Sold, count: int) -> Sold:
    return item if item.stock == count else item.model_copy(update={"stock": count})
