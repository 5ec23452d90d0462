"""Purchases: parts without a source, kits that cost more than their parts or do not match."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from fitsolver.fits.availability import can_order, from_stock
from fitsolver.records.catalogue import Kit, Piston, Ring, Sold
from fitsolver.records.review import Doubt, Table
from fitsolver.usecases.catalogue_review.look import Look, Part, doubt, serves


def kits(look: Look) -> Iterator[Doubt]:
    """Kits with unknown parts, dearer than their parts, or with mismatched parts."""
    catalogue = look.catalogue
    articles: tuple[Part, ...] = (*catalogue.pistons, *catalogue.rings, *catalogue.gaskets)
    parts = {part.number: part for part in articles}
    for kit in catalogue.kits:
        for item in kit.contents:
            if item.number not in parts:
                text = f"holds {item.number}, which the catalogue does not have"
                yield doubt("kits", kit.number, "contents", text, "serious")
        yield from _kit_price(kit, parts)
        yield from _kit_rings(kit, parts)


def _kit_price(kit: Kit, parts: Mapping[str, Part]) -> Iterator[Doubt]:
    singly = 0
    for item in kit.contents:
        price = parts[item.number].price if item.number in parts else None
        if price is None:
            return
        singly += price * item.count
    if kit.price is not None and kit.price > singly:
        text = f"costs {kit.price / 100:.2f}, its parts bought singly {singly / 100:.2f}"
        yield doubt("kits", kit.number, "price", text)


def _kit_rings(kit: Kit, parts: Mapping[str, Part]) -> Iterator[Doubt]:
    held = [parts[item.number] for item in kit.contents if item.number in parts]
    pistons = [part for part in held if isinstance(part, Piston)]
    places = [(part.nominal_bore, groove) for part in pistons for groove in part.grooves]
    for ring in held:
        if isinstance(ring, Ring) and places and not any(serves(ring, *at) for at in places):
            text = f"ring {ring.number} does not serve the piston of the same kit"
            yield doubt("kits", kit.number, "contents", text)


def sourcing(look: Look) -> Iterator[Doubt]:
    """Parts and kits that cannot be bought at all, or not now."""
    catalogue = look.catalogue
    in_kits = {item.number for kit in catalogue.kits for item in kit.contents}
    tables: tuple[tuple[Table, tuple[Sold, ...]], ...] = (
        ("pistons", catalogue.pistons),
        ("rings", catalogue.rings),
        ("gaskets", catalogue.gaskets),
        ("kits", catalogue.kits),
    )
    for table, articles in tables:
        for article in articles:
            if article.price is None and article.number not in in_kits:
                text = "has no price" if table == "kits" else "has no price and is in no kit"
                text += ": it cannot be bought"
                yield doubt(table, article.number, "price", text)
            elif article.price is not None and not _to_be_had(article):
                text = "none on the shelf and no lead time: it cannot be had"
                text += " singly" if article.number in in_kits else ""
                yield doubt(table, article.number, "lead_days", text, "note")
            if article.price == 0:
                yield doubt(table, article.number, "price", "costs nothing")


def _to_be_had(article: Sold) -> bool:
    return from_stock(article) > 0 or can_order(article)


def cautions(look: Look) -> Iterator[str]:
    """What is true of the catalogue as a whole."""
    catalogue = look.catalogue
    for name, articles in (("pistons", catalogue.pistons), ("rings", catalogue.rings)):
        if not articles:
            yield f"The catalogue has no {name}."
    have = [kit for kit in catalogue.kits if _to_be_had(kit)]
    in_kits = {item.number for kit in have for item in kit.contents}
    singles: tuple[Sold, ...] = (*catalogue.pistons, *catalogue.rings, *catalogue.gaskets)
    if singles and not in_kits and not any(_to_be_had(article) for article in singles):
        yield "Nothing in the catalogue can be had: nothing is on the shelf or can be ordered."
    elif catalogue.pistons and not any(
        _to_be_had(part) or part.number in in_kits for part in catalogue.pistons
    ):
        yield "No piston of the catalogue can be had."
