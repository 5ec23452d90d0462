"""Pistons in contradiction with their sisters or their own bore.

All bounds without a source are common practice (docs/doubts.md lists them).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Final

from fitsolver.base.lengths import TICKS_PER, ceil, floor
from fitsolver.doubts.finding import Finding, Show, grams, shower
from fitsolver.doubts.rows_prices import of_one_kind
from fitsolver.doubts.sisters import FEWEST, Column, Odd, kinds, odd_rows, off_the_trend
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Piston

_UM: Final = TICKS_PER["um"]
#: A clearance as made above bore / 250, a skirt over its bore by more than bore / 1000 and a
#: skirt tolerance above bore / 1000 are implausible.
CLEARANCE_MOST: Final = 250
OVER_MOST: Final = 1000
SKIRT_MOST: Final = 1000
#: A width's tolerance above 1/20 of the width is implausible.
WIDTH_MOST: Final = 20
#: Least and most of other figures, in parts of the bore.
PIN: Final = (Fraction(1, 8), Fraction(1, 2))
HEIGHT: Final = (Fraction(1, 5), Fraction(1))
HEIGHT_TOLERANCE: Final = (None, Fraction(1, 300))
DEPTH: Final = (Fraction(1, 50), Fraction(1, 10))
#: The largest spread of as-made clearances within a kind: bore / 5000, or two tolerances.
APART_MOST: Final = 5000
#: Parts in 1000 by which depths of grooves may differ from those of sister rows.
DEPTH_NEAR: Final = 50
#: A mass may lie off its neighbours by 0.4 %; a sister in kind lies within 1.2 % ...
MASS_NEAR, MASS_KIND = 4, 12
#: ... and its price within 20 %.
PRICE_KIND: Final = 200


def pistons(catalogue: Catalogue) -> Iterator[Finding]:
    """Yield what is out of line in the rows of the pistons' table."""
    parts, show = catalogue.pistons, shower(catalogue.unit)
    for part in parts:
        yield from _by_itself(part, catalogue.standard_bore, show)
    columns = _columns(parts)
    for odd in odd_rows(columns):
        if not _of_another_kind(parts, odd):
            part, value = parts[odd.row], odd.column.values[odd.row]
            assert isinstance(value, int)
            yield _found(part, odd.column.field, _sentence(odd, value, show))
    of_kind: dict[object, list[Piston]] = defaultdict(list)
    for part, kind in zip(parts, kinds(columns), strict=True):
        of_kind[kind, _own_clearance(part, catalogue)].append(part)
    for sisters in of_kind.values():
        yield from _skirts(sisters, show)
        yield from _grades(sisters, show)
        yield from _masses(sisters)
        yield from of_one_kind("pistons", sisters)


def _own_clearance(part: Piston, catalogue: Catalogue) -> frozenset[tuple[object, ...]]:
    """Return the maker's stated clearances: forged and cast pistons are not sisters."""
    if not part.stated:
        return frozenset()
    return frozenset(
        (one.use, one.window.low, one.window.high, one.window.per_bore)
        for one in catalogue.windows
        if one.window.fit == "clearance" and one.window.part in part.stated
    )


def _found(part: Piston, field: str, sentence: str) -> Finding:
    return Finding("pistons", part.number, field, sentence)


def _by_itself(part: Piston, standard: int, show: Show) -> Iterator[Finding]:
    bore = part.nominal_bore
    if bore != standard + part.oversize:
        text = f"made for a bore of {show(bore)}, but standard bore and oversize make "
        text += show(standard + part.oversize)
        yield Finding("pistons", part.number, "oversize", text, serious=True)
    least, most = bore - part.skirt.high, bore - part.skirt.low
    if most * CLEARANCE_MOST > bore:
        text = f"clearance up to {show(most)} in a bore of {show(bore)}; at most "
        yield _found(part, "skirt", text + f"bore / {CLEARANCE_MOST} is expected")
    elif least * OVER_MOST < -bore:
        text = f"up to {show(-least)} larger than its bore of {show(bore)}; even coated "
        yield _found(part, "skirt", text + f"skirts are at most bore / {OVER_MOST} larger")
    elif _width(part.skirt) * SKIRT_MOST > bore:
        text = f"from {show(part.skirt.low)} to {show(part.skirt.high)}; a tolerance of at "
        yield _found(part, "skirt", text + f"most bore / {SKIRT_MOST} is expected")
    for field, value, (low, high) in (
        ("pin_diameter", part.pin_diameter, PIN),
        ("compression_height", _half(part.compression_height, 1), HEIGHT),
        ("compression_height_tolerance", _half(part.compression_height, -1), HEIGHT_TOLERANCE),
        *((f"groove{groove.number}_depth", groove.depth, DEPTH) for groove in part.grooves),
    ):
        yield from (_found(part, field, said) for said in outside(value, bore, low, high, show))
    for groove in part.grooves:
        if _width(groove.width) * WIDTH_MOST > groove.width.high:
            text = f"from {show(groove.width.low)} to {show(groove.width.high)}; a tolerance "
            text += f"of at most width / {WIDTH_MOST} is expected"
            yield _found(part, f"groove{groove.number}", text)


def outside(
    value: int | None, bore: int, least: Fraction | None, most: Fraction, show: Show
) -> Iterator[str]:
    """Yield the doubt of a figure (ticks) outside its usual share of the bore."""
    if value is None:
        return
    low = None if least is None else ceil(least * bore)
    high = floor(most * bore)
    if value > high or (low is not None and value < low):
        at_most = show(high // _UM * _UM)  # in figures that a shop reads
        span = f"at most {at_most}" if low is None else f"{show(-(-low // _UM) * _UM)} to {at_most}"
        yield f"{show(value)}; {span} is expected with a bore of {show(bore)}"


def _width(span: Range) -> int:
    return span.high - span.low


def _columns(parts: Sequence[Piston]) -> list[Column]:
    """The figures that pistons of one kind share in every size."""
    heights = [part.compression_height for part in parts]
    found = [
        Column("pin_diameter", [part.pin_diameter for part in parts]),
        Column("compression_height", [_half(h, 1) for h in heights]),
        Column("compression_height_tolerance", [_half(h, -1) for h in heights]),
        Column("gauge_height", [part.gauge_height for part in parts]),
        Column("mass_tolerance_g", [part.mass_tolerance for part in parts]),
        Column("alloy", [part.alloy for part in parts], tested=False),
    ]
    for at in range(max((len(part.grooves) for part in parts), default=0)):
        grooves = [part.grooves[at] if at < len(part.grooves) else None for part in parts]
        name = f"groove{at + 1}"
        found += [
            Column(f"{name}_low", [g.width.low if g else None for g in grooves]),
            Column(f"{name}_high", [g.width.high if g else None for g in grooves]),
            Column(f"{name}_depth", [g.depth if g else None for g in grooves], DEPTH_NEAR),
        ]
    return found


def _half(height: Range | None, sign: int) -> int | None:
    """The height in the middle of its range (sign 1), or its tolerance (-1)."""
    return None if height is None else (height.high + sign * height.low) // 2


def _of_another_kind(parts: Sequence[Piston], odd: Odd) -> bool:
    """Tell whether mass or price also distinguish a row from the sisters that it differs from."""
    own = parts[odd.row]
    sisters = [parts[at] for at in odd.sisters]
    below = max((p.oversize for p in sisters if p.oversize < own.oversize), default=None)
    above = min((p.oversize for p in sisters if p.oversize > own.oversize), default=None)
    near = [part for part in sisters if part.oversize in (below, own.oversize, above)]
    return not any(
        alike(own.mass, part.mass, MASS_KIND) and alike(own.price, part.price, PRICE_KIND)
        for part in near
    )


def alike(own: int | None, other: int | None, per_mille: int) -> bool:
    """Tell whether two figures lie within `per_mille` of the other, or one is unknown."""
    return own is None or other is None or abs(own - other) * 1000 <= per_mille * other


def _sentence(odd: Odd, value: int, show: Show) -> str:
    told = grams if odd.column.field.endswith("_g") else show
    count = len(odd.sisters)
    return f"{told(value)}; {told(odd.usual)} is expected, as in {count} sister rows"


def _skirts(sisters: Sequence[Piston], show: Show) -> Iterator[Finding]:
    """Skirts with another clearance to their bores than skirts of the same kind."""
    if len(sisters) <= FEWEST:
        return
    widths = sorted(_width(part.skirt) for part in sisters)
    middles = sorted((_middle(part), part.number) for part in sisters)
    at = {number: rank for rank, (_, number) in enumerate(middles)}
    for part in sisters:
        own, bore = _width(part.skirt), part.nominal_bore
        usual = widths[-2] if own == widths[-1] else widths[-1]
        others = [middles[rank][0] for rank in _around(at[part.number], len(middles))]
        distance = min(abs(_middle(part) - other) for other in others)
        apart = max(bore // APART_MOST, 2 * usual)
        if own > 2 * usual:
            text = f"from {show(part.skirt.low)} to {show(part.skirt.high)}, {show(own)} "
            yield _found(part, "skirt", text + f"apart; at most {show(usual)} in its sister rows")
        elif distance > 2 * apart and _together(others, 2 * apart):
            near = min(others, key=lambda other: abs(_middle(part) - other))
            text = f"its middle {_beside(_middle(part), show)} its bore of {show(bore)}; about "
            text += f"{_beside(near, show)} is expected, as in its sister rows"
            yield _found(part, "skirt", text)


def _middle(part: Piston) -> int:
    """Twice the middle of the clearance as made."""
    return 2 * part.nominal_bore - part.skirt.low - part.skirt.high


def _beside(middle: int, show: Show) -> str:
    return f"{show(abs(middle) // 2)} {'below' if middle >= 0 else 'above'}"


def _around(rank: int, count: int) -> Iterator[int]:
    """Yield the ranks of the two next on each side."""
    return (at for at in range(max(rank - 2, 0), min(rank + 3, count)) if at != rank)


def _together(values: Sequence[int], apart: int) -> bool:
    """Tell whether two of the sorted values lie close together."""
    return any(high - low <= apart for low, high in pairwise(values))


def _grades(sisters: Sequence[Piston], show: Show) -> Iterator[Finding]:
    """The one grade of an oversize that breaks the order of the others."""
    sizes: dict[int, list[Piston]] = defaultdict(list)
    for part in sisters:
        if part.grade:
            sizes[part.oversize].append(part)
    for graded in sizes.values():
        graded.sort(key=lambda part: part.grade)
        if len({part.grade for part in graded}) < len(graded) or len(graded) <= FEWEST + 1:
            continue
        if _in_order(graded):
            continue
        breaking = [part for part in graded if _in_order([p for p in graded if p is not part])]
        for part in breaking:
            text = f"{show(part.skirt.low)} to {show(part.skirt.high)} breaks the order of "
            yield _found(part, "skirt", text + "the grades of its oversize")


def _in_order(graded: Sequence[Piston]) -> bool:
    rising = {low.skirt.low < high.skirt.low for low, high in pairwise(graded)}
    return len(rising) == 1 and all(
        low.skirt.low != high.skirt.low for low, high in pairwise(graded)
    )


def _masses(sisters: Sequence[Piston]) -> Iterator[Finding]:
    """Masses that do not follow those of the next sizes."""
    weighed = [part for part in sisters if part.mass is not None]
    masses = [part.mass or 0 for part in weighed]
    usual_step = _usual_step(masses)

    def allowed(position: int, expected: int) -> int:
        least = min(weighed[position].mass_tolerance, expected * MASS_KIND // 1000)
        return max(least, expected * MASS_NEAR // 1000, usual_step)

    sizes = [part.oversize for part in weighed]
    for position, low, high in off_the_trend(sizes, masses, allowed):
        part = weighed[position]
        text = f"{grams(masses[position])}; {grams(low)} to {grams(high)} is expected, as in its "
        yield _found(part, "mass_g", text + "sister rows of this and the next sizes")


def _usual_step(masses: Sequence[int]) -> int:
    """The median difference between adjacent masses in the table."""
    steps = sorted(abs(after - before) for before, after in pairwise(masses))
    return steps[len(steps) // 2] if steps else 0
