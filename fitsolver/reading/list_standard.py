"""What the rows of a family say together: its standard bore, its row of oversizes."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Final

from fitsolver.base.lengths import format_length
from fitsolver.reading.list_cells import STEPS
from fitsolver.reading.list_entries import Entry


def own_bores(families: Mapping[str, Sequence[Entry]]) -> bool | None:
    """Tell whether the bores of a list are the oversizes' own (True) or the standard bores.

    All families that can tell must say the same; None where they do not, or none can.
    """
    told = {
        kind for members in families.values() if (kind := bores_are_standard(members)) is not None
    }
    return not told.pop() if len(told) == 1 else None


def bores_are_standard(members: Sequence[Entry]) -> bool | None:
    """Tell whether the bore beside an oversize is the standard bore (True) or the oversize's own.

    One bore for several oversizes is the standard one; bores that grow with the oversize are
    their own. None where the rows of a family cannot tell.
    """
    both = {(e.bore, e.oversize) for e in members if e.bore is not None and e.oversize is not None}
    sizes = {oversize for _, oversize in both}
    if len(sizes) < 2:
        return None
    if len({bore for bore, _ in both}) == 1:
        return True
    if (
        len(
            {
                bore - oversize
                for bore, oversize in both
                if bore is not None and oversize is not None
            }
        )
        == 1
    ):
        return False
    return None


def standard_bore(members: Sequence[Entry], told: int | None, own: bool | None) -> int | None:
    """Return the bore of oversize 0 of a family, None where its rows cannot tell.

    `own`: the bores of the list are the oversizes' own.
    """
    if told is not None:
        return told
    stated = Counter(e.standard for e in members if e.standard is not None)
    for e in members:
        if e.bore is not None and e.oversize is not None and (own is not None or not e.oversize):
            stated[e.bore - e.oversize if own else e.bore] += 1
    ((bore, times), *_) = stated.most_common(1) or [(0, 0)]
    return bore if times and times >= _MOST * stated.total() else None


#: Share of the rows of a family that must agree on its standard bore; the others are named.
_MOST: Final = 0.75


def is_counted(members: Sequence[Entry], standard: int | None) -> bool:
    """Tell whether the first, second, third oversizes of a family rise with their bores."""
    found: dict[int, set[int]] = defaultdict(set)
    for entry in members:
        if entry.nth and entry.bore is not None:
            found[entry.nth].add(entry.bore)
    bores = [bore for nth in sorted(found) for bore in found[nth]]
    rising = all(low < high for low, high in pairwise(bores))
    return rising and len(bores) == len(found) and (standard or 0) < min(bores, default=0)


def spread_of(members: Sequence[Entry]) -> int:
    bores = [e.bore for e in members if e.bore is not None]
    bores += [e.standard for e in members if e.standard is not None]
    return max(bores, default=0) - min(bores, default=0)


def common_of(families: Mapping[str, Sequence[Entry]]) -> frozenset[int]:
    """Return the oversizes that stand in several families: the list's own row of sizes."""
    seen: Counter[int] = Counter()
    for members in families.values():
        seen.update({e.oversize for e in members if e.oversize is not None})
    return frozenset(size for size, times in seen.items() if times > 2)


def beyond_of(members: Sequence[Entry]) -> int:
    """Return the oversize above which those of a family lie far off: slips of the pen."""
    sizes = sorted(
        {e.oversize for e in members if e.oversize is not None and 0 <= e.oversize <= STEPS[1]}
    )
    gaps = [high - low for low, high in pairwise(sizes)]
    for at in range(_GAPS, len(gaps)):
        if gaps[at] > max(_GAP, _FAR * max(gaps[:at])):
            return sizes[at]
    return STEPS[1]


#: Steps between oversizes by which a gap is judged, a gap that is none, and how many times the
#: largest other step one is.
_GAPS: Final = 2
_GAP: Final = 60_000
_FAR: Final = 2.5


#: Steps of standard bores in ticks, the coarsest first; share of the families that keep to one.
_ROUND: Final = (100_000, 50_000, 10_000)
_KEPT: Final = 0.8
_FEW: Final = 3


def roundness_of(families: Mapping[str, Sequence[Entry]]) -> int:
    """Return the step that the smallest bores of nearly all families keep to; 1 where none is.

    A list that has one bore for each engine type has no oversizes. A family whose smallest bore
    does not keep to it may have no part of standard size in the list.
    """
    smallest = [
        min(bores)
        for members in families.values()
        if (bores := [e.bore for e in members if e.bore is not None])
    ]
    several = any(
        len({(e.kind, e.bore) for e in members if e.bore is not None})
        > len({e.kind for e in members if e.bore is not None})
        for members in families.values()
    )
    if len(smallest) < _FEW or not several:
        return 1
    kept = (
        step
        for step in _ROUND
        if sum(bore % step == 0 for bore in smallest) >= _KEPT * len(smallest)
    )
    return next(kept, 1)


#: How far below a half of a millimetre the skirt of a piston of that bore lies, in ticks (common
#: practice, no source).
_HALF: Final = 50_000
_SKIRT: Final = (1_500, 8_500)
_INCH_32: Final = 79_375
_CLOSE: Final = 600


def skirts_of(standards: Sequence[int]) -> tuple[str, ...]:
    """Return standard bores that look like skirt sizes, where more than half of them do."""
    found = [bore for bore in standards if _is_skirt(bore)]
    if not found or 2 * len(found) <= len(standards):
        return ()
    return tuple(format_length(bore, "mm") for bore in found[:3])


def _is_skirt(bore: int) -> bool:
    inch = bore % _INCH_32
    below = -bore % _HALF
    return _SKIRT[0] <= below <= _SKIRT[1] and min(inch, _INCH_32 - inch) > _CLOSE


def grades_apart(members: Sequence[Entry]) -> bool:
    """Tell whether the grades of a family tell articles apart that are else alike."""
    found: dict[tuple[object, ...], set[str]] = defaultdict(set)
    for entry in members:
        found[entry.kind, entry.bore, entry.oversize].add(entry.grade)
    return any(len(grades) > 1 for grades in found.values())
