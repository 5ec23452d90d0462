"""Rings in contradiction with their sisters or with the bores of the pistons.

All bounds without a source are common practice (docs/doubts.md lists them).
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Final

from fitsolver.doubts.finding import Finding, Show, shower
from fitsolver.doubts.rows_pistons import DEPTH, DEPTH_NEAR, PRICE_KIND, WIDTH_MOST, alike, outside
from fitsolver.doubts.rows_prices import of_one_kind
from fitsolver.doubts.sisters import FEWEST, Column, Odd, kinds, odd_rows
from fitsolver.records.catalogue import Catalogue, Ring

#: An end gap above bore / 50, or, where the ring must not be filed, below bore / 500.
GAP_MOST: Final = 50
GAP_LEAST: Final = 500
#: Lowest and highest gap apart by more than bore / 200, with rails (third groove on) bore / 60.
GAP_APART: Final = 200
RAIL_APART: Final = 60
#: A ring may be over its bore by at most bore / 100.
SEAT: Final = (None, Fraction(1, 100))
#: Filing by more than bore / 50 is implausible.
FILE_MOST: Final = 50
#: Parts in 1000 by which a gap may lie outside those of its sister rows.
GAP_NEAR: Final = 150
#: A ring larger than the largest piston's bore by more than 5 % belongs elsewhere.
BEYOND_MOST: Final = 20


def rings(catalogue: Catalogue) -> Iterator[Finding]:
    """Yield what is out of line in the rows of the rings' table."""
    parts, show = catalogue.rings, shower(catalogue.unit)
    for part in parts:
        yield from _by_itself(part, show)
    yield from _in_the_grooves(catalogue, show)
    columns = _columns(parts)
    yield from _marked(parts, columns)
    for odd in odd_rows(columns):
        if not _of_another_kind(parts, odd):
            value = odd.column.values[odd.row]
            assert isinstance(value, int)
            text = f"{show(value)}; {show(odd.usual)} is expected, as in {len(odd.sisters)} "
            yield _found(parts[odd.row], odd.column.field, text + "sister rows")
    of_kind: dict[int, list[Ring]] = defaultdict(list)
    for part, kind in zip(parts, kinds(columns), strict=True):
        of_kind[kind].append(part)
    for sisters in of_kind.values():
        yield from _gaps(sisters, show)
        yield from of_one_kind("rings", sisters)
    yield from _sizes(catalogue, list(of_kind.values()), show)


def _found(part: Ring, field: str, sentence: str) -> Finding:
    return Finding("rings", part.number, field, sentence)


def _columns(parts: Sequence[Ring]) -> list[Column]:
    """The figures that rings of one kind share in every size."""
    return [
        Column("grooves", [part.grooves for part in parts], tested=False),
        Column("width_low", [part.width.low for part in parts]),
        Column("width_high", [part.width.high for part in parts]),
        Column("radial_depth", [part.radial_depth for part in parts], DEPTH_NEAR),
        Column("file_most", [part.file_most for part in parts]),
        Column("seat_over", [part.seat_over for part in parts]),
        Column("alloy", [part.alloy for part in parts], tested=False),
    ]


def _of_another_kind(parts: Sequence[Ring], odd: Odd) -> bool:
    """Tell whether the price also distinguishes a ring from the sisters that it differs from."""
    own = parts[odd.row]
    like = [parts[at].price for at in odd.sisters if parts[at].grooves == own.grooves]
    return bool(like) and not any(alike(own.price, price, PRICE_KIND) for price in like)


def _by_itself(part: Ring, show: Show) -> Iterator[Finding]:
    bore, gap = part.gauge_diameter, part.gap
    said = f"{show(gap.low)} to {show(gap.high)} in a bore of {show(bore)}"
    apart = RAIL_APART if min(part.grooves) > 2 else GAP_APART
    if gap.high * GAP_MOST > bore:
        yield _found(part, "gap", f"{said}; at most bore / {GAP_MOST} is expected")
    elif gap.low * GAP_LEAST < bore and not part.file_most:
        text = f"{said}; at least bore / {GAP_LEAST} is expected of a ring that must not be filed"
        yield _found(part, "gap", text)
    elif (gap.high - gap.low) * apart > bore:
        yield _found(part, "gap", f"{said}; a tolerance of at most bore / {apart} is expected")
    for field, value, (least, most) in (
        ("radial_depth", part.radial_depth, DEPTH),
        ("seat_over", part.seat_over, SEAT),
    ):
        yield from (_found(part, field, said) for said in outside(value, bore, least, most, show))
    if part.file_most * FILE_MOST > bore:
        text = f"{show(part.file_most)} in a bore of {show(bore)}; at most bore / "
        yield _found(part, "file_most", f"{text}{FILE_MOST} is expected")
    width = part.width
    if (width.high - width.low) * WIDTH_MOST > width.high:
        text = f"from {show(width.low)} to {show(width.high)}; a tolerance of at most width "
        yield _found(part, "width", f"{text}/ {WIDTH_MOST} is expected")


def _in_the_grooves(catalogue: Catalogue, show: Show) -> Iterator[Finding]:
    """Rings for grooves that no piston has, and rings deeper than every groove they are for.

    A ring too wide for all its grooves is no doubt: both figures agree on that, and it can never be
    chosen.
    """
    depths: dict[int, list[int]] = defaultdict(list)
    for groove in {groove for part in catalogue.pistons for groove in part.grooves}:
        depths[groove.number] += [] if groove.depth is None else [groove.depth]
    if not depths:
        return
    for part in catalogue.rings:
        if not set(part.grooves) & depths.keys():
            text = f"{' '.join(map(str, part.grooves))}; the pistons have {len(depths)}"
            yield _found(part, "grooves", text)
        deepest = max((d for number in part.grooves for d in depths.get(number, ())), default=None)
        if deepest is not None and part.radial_depth is not None and part.radial_depth >= deepest:
            text = f"{show(part.radial_depth)}; less than {show(deepest)} is expected, the depth "
            yield _found(part, "radial_depth", text + "of its deepest groove")


def _marked(parts: Sequence[Ring], columns: Sequence[Column]) -> Iterator[Finding]:
    """Rings marked for another groove than otherwise equal rings.

    Such a ring has at least two sisters, gap included, among the rings of the other groove. It has
    none in its own groove.
    """
    alike: dict[tuple[object, ...], Counter[tuple[int, ...]]] = defaultdict(Counter)
    figures = []
    for at, part in enumerate(parts):
        others = [column.values[at] for column in columns if column.field != "grooves"]
        figures.append((*others, part.gap.low, part.gap.high))
        alike[figures[at]][part.grooves] += 1
    of_groove = Counter(part.grooves for part in parts)
    for at, part in enumerate(parts):
        marks = alike[figures[at]]
        usual, most = marks.most_common(1)[0]
        alone = marks[part.grooves] == 1 and of_groove[part.grooves] > FEWEST
        if usual != part.grooves and most >= FEWEST and alone:
            text = f"{' '.join(map(str, part.grooves))}; {' '.join(map(str, usual))} is expected, "
            yield _found(part, "grooves", f"{text}as with {most} rings like it")


def _gaps(sisters: Sequence[Ring], show: Show) -> Iterator[Finding]:
    """Gaps outside those of the other rings of their kind."""
    if len(sisters) <= FEWEST:
        return
    for field in ("low", "high"):
        gaps = sorted(getattr(part.gap, field) for part in sisters)
        for part in sisters:
            own = getattr(part.gap, field)
            least = gaps[1] if own == gaps[0] else gaps[0]
            most = gaps[-2] if own == gaps[-1] else gaps[-1]
            if own * 1000 < least * (1000 - GAP_NEAR) or own * 1000 > most * (1000 + GAP_NEAR):
                text = f"{show(own)} in a bore of {show(part.gauge_diameter)}; {show(least)} "
                text += f"to {show(most)} is expected, as in its sister rows"
                yield _found(part, f"gap_{field}", text)


def _sizes(
    catalogue: Catalogue, by_kind: Sequence[Sequence[Ring]], show: Show
) -> Iterator[Finding]:
    """Gauge diameters that match neither the bores of the pistons nor other rings."""
    bores = sorted({part.nominal_bore for part in catalogue.pistons})
    if not bores:
        return
    step = _regular_step([*bores]) if len(bores) > 1 else None
    over = Counter(_over(part, bores) for part in catalogue.rings)
    for part in catalogue.rings:
        gauge, above = part.gauge_diameter, _over(part, bores)
        said = f"{show(gauge)}; the pistons are made for bores of "
        said += show(bores[0]) + (f" to {show(bores[-1])}" if len(bores) > 1 else "")
        if gauge < bores[0] or (gauge - bores[-1]) * BEYOND_MOST > bores[-1]:
            yield _found(part, "gauge_diameter", said)
        elif above and over[above] == 1 and (step is None or (gauge - bores[0]) % step):
            within = part.seat_over is not None and above <= part.seat_over
            if len(catalogue.rings) > FEWEST or not within:
                text = f"{said}, and no other ring is {show(above)} over one of them"
                yield _found(part, "gauge_diameter", text)
    for sisters in by_kind:
        yield from _twice(sisters, bores, show)


def _over(part: Ring, bores: Sequence[int]) -> int:
    """The excess of a ring over the largest bore not above it."""
    return part.gauge_diameter - bores[max(bisect_right(bores, part.gauge_diameter) - 1, 0)]


def _regular_step(bores: Sequence[int]) -> int | None:
    """The least step of the ladder, where all steps are whole multiples of it."""
    steps = {high - low for low, high in pairwise(bores)}
    least = min(steps)
    return least if all(step % least == 0 for step in steps) else None


def _twice(sisters: Sequence[Ring], bores: Sequence[int], show: Show) -> Iterator[Finding]:
    """A duplicate size, or one past the last bore, while another size is missing."""
    counts = Counter(part.gauge_diameter for part in sisters)
    missing = [bore for bore in bores if not counts[bore]]
    once = [size for size in counts if counts[size] == 1 and size in bores]
    if len(missing) != 1 or len(once) < FEWEST:
        return
    twice = [part for part in sisters if counts[part.gauge_diameter] == 2]
    surplus = twice or [part for part in sisters if part.gauge_diameter > bores[-1]]
    if len(surplus) > 2:
        return
    in_order = [part for part in surplus if _restores_order(sisters, part, missing[0])]
    for part in in_order if len(in_order) == 1 else surplus:
        text = f"{show(part.gauge_diameter)}, where the ring for a bore of "
        yield _found(part, "gauge_diameter", f"{text}{show(missing[0])} is missing among its kind")


def _restores_order(sisters: Sequence[Ring], part: Ring, size: int) -> bool:
    """Tell whether the table would be strictly increasing with the ring at that size."""
    sizes = [size if other is part else other.gauge_diameter for other in sisters]
    return all(low < high for low, high in pairwise(sizes))
