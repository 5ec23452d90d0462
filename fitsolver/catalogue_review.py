"""A look through a catalogue: its sizes, the gaps between them, and doubtful entries.

Nothing here refuses a catalogue; reading it does that. A review points at what a careful
person would look up again. The bounds of what is plausible are common practice, no source.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from fitsolver.fits import compatibility, side_clearance
from fitsolver.fits.availability import can_order, from_stock
from fitsolver.fits.end_gap import gap_in_bore, within_reach
from fitsolver.lengths import TICKS_PER, format_length
from fitsolver.metrology.materials import is_known
from fitsolver.records.catalogue import Catalogue, Groove, Kit, Piston, Ring, Route
from fitsolver.records.review import CatalogueReview, Counts, Doubt, Seriousness, SizeStep, Table
from fitsolver.records.windows import OPEN

CLEARANCE_MOST: Final = 100  # a skirt clearance above bore / 100 is implausible
GAP_LEAST: Final = 500  # so is an end gap below bore / 500
GAP_MOST: Final = 50  # or above bore / 50

_ORDER: Final[dict[Seriousness, int]] = {"serious": 0, "doubtful": 1, "note": 2}


def review(catalogue: Catalogue, version: str = "") -> CatalogueReview:
    """Return the catalogue's sizes and doubtful entries, most serious first.

    `version` is the program's, for the record. Lengths are ticks; sentences give figures in
    the catalogue's unit.
    """
    look = _Look(catalogue)
    finders = (_pistons, _grades, _rings, _names, _gaskets, _kits, _sourcing, _routes, _restoring)
    doubts = [doubt for find in finders for doubt in find(look)]
    return CatalogueReview(
        program_version=version,
        catalogue=catalogue.name,
        family=catalogue.family,
        fingerprint=catalogue.fingerprint,
        unit=catalogue.unit,
        counts=Counts(
            pistons=len(catalogue.pistons),
            rings=len(catalogue.rings),
            gaskets=len(catalogue.gaskets),
            kits=len(catalogue.kits),
            routes=len(catalogue.routes),
        ),
        sizes=size_steps(catalogue),
        doubtful=tuple(sorted(doubts, key=lambda doubt: _ORDER[doubt.seriousness])),
        cautions=tuple(_cautions(look)),
    )


def size_steps(catalogue: Catalogue) -> tuple[SizeStep, ...]:
    """Return the oversizes in order, with those that the regular step would put between.

    The regular step is the difference between neighbours that occurs most often: twice at
    least, and more often than any other. Where it is doubled, tripled and so on, sizes are
    skipped.
    """
    pistons = Counter(part.oversize for part in catalogue.pistons)
    bores = {part.oversize: part.nominal_bore for part in catalogue.pistons}
    rings = Counter(part.gauge_diameter for part in catalogue.rings)
    sizes = sorted(pistons)
    regular = _regular_step(sizes)
    steps, before = [], None
    for size in sizes:
        step = None if before is None else size - before
        whole = regular is not None and step is not None and step % regular == 0
        skipped = range(before + regular, size, regular) if whole and before is not None else ()
        steps.append(
            SizeStep(
                oversize=size,
                nominal_bore=bores[size],
                pistons=pistons[size],
                rings=rings[bores[size]],
                step=step,
                skipped=tuple(skipped),
            )
        )
        before = size
    return tuple(steps)


def _regular_step(sizes: list[int]) -> int | None:
    common = Counter(high - low for low, high in pairwise(sizes)).most_common(2)
    if not common or common[0][1] < 2 or common[0][1] == common[-1][1] != len(sizes) - 1:
        return None
    return common[0][0]


@dataclass
class _Look:
    """The catalogue under review, and what has been worked out about it."""

    catalogue: Catalogue
    serving: dict[tuple[int, Groove], bool] = field(default_factory=dict)

    def show(self, ticks: int) -> str:
        return format_length(ticks, self.catalogue.unit, symbol=True)

    def has_ring(self, piston: Piston, groove: Groove) -> bool:
        """Tell whether some ring serves the groove (looked up once per bore and groove)."""
        key = (piston.nominal_bore, groove)
        if key not in self.serving:
            self.serving[key] = any(
                serves(ring, piston.nominal_bore, groove) for ring in self.catalogue.rings
            )
        return self.serving[key]

    def in_kits(self) -> set[str]:
        return {item.number for kit in self.catalogue.kits for item in kit.contents}


def serves(ring: Ring, bore: int, groove: Groove) -> bool:
    """Tell whether the ring goes into the groove and, in a bore of that size, has a gap.

    It must not be over the bore by more than `seat_over`, filing to its limit must open the
    gap, and the gap must not be above bore / 50.
    """
    if not compatibility.ring_fits_groove(ring, groove):
        return False
    if not side_clearance.holds(groove.width, ring.width, OPEN):
        return False
    if not within_reach(ring.gauge_diameter, bore):
        return False
    if ring.seat_over is not None and ring.gauge_diameter - bore > ring.seat_over:
        return False
    gap = gap_in_bore(ring.gap, ring.gauge_diameter, bore, bore)
    return gap.low + ring.file_most > 0 and gap.high * GAP_MOST <= bore


def _pistons(look: _Look) -> Iterator[Doubt]:
    standard = look.catalogue.standard_bore
    for part in look.catalogue.pistons:
        bore, show = part.nominal_bore, look.show
        if bore != standard + part.oversize:
            text = f"made for {show(bore)}, but standard bore and oversize make "
            yield _doubt("pistons", part.number, "oversize", text + show(standard + part.oversize))
        if part.skirt.high > bore:
            text = f"skirt up to {show(part.skirt.high)}, larger than its bore of {show(bore)}"
            yield _doubt("pistons", part.number, "skirt", text + ": only some coated pistons are")
        if (bore - part.skirt.low) * CLEARANCE_MOST > bore:
            text = f"clearance {show(bore - part.skirt.low)} in its bore of {show(bore)}"
            yield _doubt("pistons", part.number, "skirt", text + " is over 1 %")
        if not part.grooves:
            text = "no grooves are given, so no rings can be chosen for it"
            yield _doubt("pistons", part.number, "grooves", text)
        for groove in part.grooves:
            if not look.has_ring(part, groove):
                text = f"no ring of the catalogue serves groove {groove.number} at {show(bore)}"
                yield _doubt("pistons", part.number, "grooves", text, "serious")
        if part.alloy and not is_known(part.alloy):
            yield _unknown_alloy("pistons", part.number, part.alloy)
    yield from _blanks(look)


def _blanks(look: _Look) -> Iterator[Doubt]:
    """Facts that some pistons have and others lack: those fail a rule that asks for them."""
    pistons = look.catalogue.pistons
    for name in ("mass", "compression_height", "pin_diameter"):
        lacking = [part.number for part in pistons if getattr(part, name) is None]
        if 0 < len(lacking) < len(pistons):
            for number in lacking:
                text = "blank here, but given for other pistons"
                yield _doubt("pistons", number, name, text, "note")


def _grades(look: _Look) -> Iterator[Doubt]:
    """Skirt sizes between two grades of one oversize that no grade covers."""
    by_size: dict[int, list[Piston]] = defaultdict(list)
    for part in look.catalogue.pistons:
        by_size[part.oversize].append(part)
    for parts in by_size.values():
        parts.sort(key=lambda part: (part.skirt.low, part.skirt.high))
        reached = parts[0].skirt.high
        for part in parts:
            if part.grade and part.skirt.low > reached:
                text = f"no grade between {look.show(reached)} and {look.show(part.skirt.low)}"
                yield _doubt("pistons", part.number, "skirt", text, "note")
            reached = max(reached, part.skirt.high)


def _rings(look: _Look) -> Iterator[Doubt]:
    targets = {(part.nominal_bore, groove) for part in look.catalogue.pistons
               for groove in part.grooves}  # fmt: skip
    for part in look.catalogue.rings:
        bore = part.gauge_diameter
        marked = [groove for _, groove in targets if groove.number in part.grooves]
        if marked and part.width.low > max(groove.width.high for groove in marked):
            text = f"width {look.show(part.width.low)} is more than any groove it is marked for"
            yield _doubt("rings", part.number, "width", text, "serious")
        elif not any(serves(part, size, groove) for size, groove in targets):
            yield _doubt("rings", part.number, "", "fits no piston of the catalogue")
        if part.gap.low * GAP_LEAST < bore or part.gap.high * GAP_MOST > bore:
            gap = f"{look.show(part.gap.low)} to {look.show(part.gap.high)}"
            text = f"end gap {gap} in a bore of {look.show(bore)} is outside bore / 500 to bore / 50"
            yield _doubt("rings", part.number, "gap", text)
        if part.alloy and not is_known(part.alloy):
            yield _unknown_alloy("rings", part.number, part.alloy)


def _names(look: _Look) -> Iterator[Doubt]:
    """Part numbers that name a size of the catalogue other than their own.

    A size is written as the oversize in hundredths of a millimetre or thousandths of an
    inch, three digits. It counts only where most numbers of the table are formed so.
    """
    catalogue = look.catalogue
    per = TICKS_PER["mm"] // 100 if catalogue.unit in ("mm", "um") else TICKS_PER["thou"]
    sizes = {part.oversize: f"{part.oversize // per:03d}" for part in catalogue.pistons}
    tables: tuple[tuple[Table, str, list[tuple[str, int]]], ...] = (
        ("pistons", "oversize", [(p.number, p.oversize) for p in catalogue.pistons]),
        ("rings", "gauge_diameter",
         [(r.number, r.gauge_diameter - catalogue.standard_bore) for r in catalogue.rings]),
    )  # fmt: skip
    for table, name, entries in tables:
        known = [(number, size) for number, size in entries if size in sizes]
        named = {number: set(re.findall(r"\d{3}", number)) for number, _ in known}
        right = {number for number, size in known if sizes[size] in named[number]}
        if 2 * len(right) <= len(known):
            continue
        for number, size in known:
            other = named[number] & set(sizes.values())
            if number not in right and other:
                text = f"the number names {min(other)}, the entry is for {look.show(size)} oversize"
                yield _doubt(table, number, name, text)


def _gaskets(look: _Look) -> Iterator[Doubt]:
    for part in look.catalogue.gaskets:
        if part.compressed.low <= 0:
            text = f"crush leaves {look.show(part.compressed.low)} of {look.show(part.thickness)}"
            yield _doubt("gaskets", part.number, "crush", text, "serious")


def _kits(look: _Look) -> Iterator[Doubt]:
    catalogue = look.catalogue
    parts = {p.number: p for p in (*catalogue.pistons, *catalogue.rings, *catalogue.gaskets)}
    for kit in catalogue.kits:
        unknown = [item.number for item in kit.contents if item.number not in parts]
        for number in unknown:
            text = f"holds {number}, which the catalogue does not have"
            yield _doubt("kits", kit.number, "contents", text, "serious")
        if kit.price is None:
            yield _doubt("kits", kit.number, "price", "has no price: it cannot be bought", "serious")
        elif not unknown:
            prices = [(parts[item.number].price, item.count) for item in kit.contents]
            total = sum(price * count for price, count in prices if price is not None)
            if all(price is not None for price, _ in prices) and total < kit.price:
                text = f"costs {kit.price / 100:.2f}, its parts singly {total / 100:.2f}"
                yield _doubt("kits", kit.number, "price", text)
        yield from _kit_sizes(kit, parts)


def _kit_sizes(kit: Kit, parts: dict[str, object]) -> Iterator[Doubt]:
    held = [parts.get(item.number) for item in kit.contents]
    pistons = [part for part in held if isinstance(part, Piston)]
    for ring in (part for part in held if isinstance(part, Ring)):
        if pistons and not any(
            serves(ring, piston.nominal_bore, groove)
            for piston in pistons
            for groove in piston.grooves
        ):
            text = f"ring {ring.number} does not serve the piston in the same kit"
            yield _doubt("kits", kit.number, "contents", text)


def _sourcing(look: _Look) -> Iterator[Doubt]:
    """Parts and kits that cannot be bought, or not now."""
    catalogue, in_kits = look.catalogue, look.in_kits()
    tables: tuple[tuple[Table, tuple[Piston | Ring | Gasket | Kit, ...]], ...] = (
        ("pistons", catalogue.pistons),
        ("rings", catalogue.rings),
        ("gaskets", catalogue.gaskets),
        ("kits", catalogue.kits),
    )
