"""Doubtful pistons and rings: what no doubt about a row tells."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Final

from fitsolver.metrology.materials import MATERIALS, is_known
from fitsolver.records.catalogue import Piston, Ring
from fitsolver.records.review import Doubt, Table
from fitsolver.usecases.catalogue_review.look import GAP_MOST, Look, Part, Place, doubt, serves

#: An end gap below bore / 500 is implausible (common practice, no source; from memory of ring
#: makers' leaflets the least gap is about bore / 285).
GAP_LEAST: Final = 500


def pistons(look: Look) -> Iterator[Doubt]:
    """Skirts against their bores, grooves without a ring, blanks that a rule asks for."""
    for part in look.catalogue.pistons:
        yield from _skirt(look, part)
        yield from _grooves(look, part)
        yield from _alloy("pistons", part, part.alloy)
    yield from _against_the_others(look)


def _against_the_others(look: Look) -> Iterator[Doubt]:
    """Blanks and gudgeon pins that set a piston apart from the other pistons."""
    everyone = look.catalogue.pistons
    for name in ("mass", "compression_height", "pin_diameter"):
        lacking = [part.number for part in everyone if getattr(part, name) is None]
        if len(lacking) < len(everyone):
            for number in lacking:
                yield doubt("pistons", number, name, "blank, but given for other pistons", "note")
    pins = Counter(part.pin_diameter for part in everyone if part.pin_diameter is not None)
    for usual, count in pins.most_common(1):
        if 2 * count > pins.total():
            for part in everyone:
                if part.pin_diameter is not None and part.pin_diameter != usual:
                    text = f"pin {look.show(part.pin_diameter)}, most pistons: {look.show(usual)}"
                    yield doubt("pistons", part.number, "pin_diameter", text, "note")


def _skirt(look: Look, part: Piston) -> Iterator[Doubt]:
    bore = part.nominal_bore
    if part.skirt.high > bore:
        text = f"skirt up to {look.show(part.skirt.high)} in a bore of {look.show(bore)}: only "
        yield doubt("pistons", part.number, "skirt", text + "some coated pistons are larger")


def _grooves(look: Look, part: Piston) -> Iterator[Doubt]:
    if not part.grooves:
        yield doubt("pistons", part.number, "grooves", "no grooves given: no ring is chosen")
    for groove in part.grooves:
        place = (part.nominal_bore, groove)
        if not look.served(place):
            text = f"no ring serves groove {groove.number} in a bore of "
            text += look.show(part.nominal_bore)
            yield doubt("pistons", part.number, f"groove{groove.number}", text, "serious")


def rings(look: Look) -> Iterator[Doubt]:
    """Rings too wide for every groove, of no use to any piston, with an odd gap."""
    places = look.places
    nominal = {part.nominal_bore for part in look.catalogue.pistons}
    for part in look.catalogue.rings:
        yield from _ring_use(look, part, places)
        if places and part.gauge_diameter not in nominal:
            text = f"no piston is made for a bore of {look.show(part.gauge_diameter)}"
            yield doubt("rings", part.number, "gauge_diameter", text, "note")
        bore = part.gauge_diameter
        if part.gap.low * GAP_LEAST < bore or part.gap.high * GAP_MOST > bore:
            text = f"end gap {look.show(part.gap.low)} to {look.show(part.gap.high)} in a bore of "
            text += f"{look.show(bore)}: usual is bore / {GAP_LEAST} to bore / {GAP_MOST}"
            yield doubt("rings", part.number, "gap", text)
        yield from _alloy("rings", part, part.alloy)


def _ring_use(look: Look, part: Ring, places: frozenset[Place]) -> Iterator[Doubt]:
    widths = [groove.width.high for _, groove in places if groove.number in part.grooves]
    if widths and part.width.low > max(widths):
        text = f"width {look.show(part.width.low)}, but the widest groove it is marked for is "
        yield doubt("rings", part.number, "width", text + look.show(max(widths)), "serious")
    elif places and not any(serves(part, *place) for place in places):
        yield doubt("rings", part.number, "", "serves no piston of the catalogue")


def _alloy(table: Table, part: Part, alloy: str) -> Iterator[Doubt]:
    if alloy and not is_known(alloy):
        text = f"no expansion is known for '{alloy}', so no hot fit can be given; known: "
        yield doubt(table, part.number, "alloy", text + ", ".join(MATERIALS))
