"""The shape of a bore, named from its profile along one axis (own definitions).

See docs/form.md. The profile is the sizes from top to bottom on the axis with the largest
spread S (largest minus smallest). A difference of up to S/4 counts as none.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from typing import Final, Literal

from fitsolver.records.form import ShapeName

#: A spread up to this many ticks is straight: 0.0002 in (5.08 µm), two divisions of a
#: 0.0001 in dial; less than that a bore gauge cannot be trusted with (common practice,
#: no source).
STRAIGHT_WITHIN: Final = 508

End = Literal["top", "bottom", ""]
Profile = Sequence[tuple[int, int]]


def name_shape(profile: Profile) -> tuple[ShapeName, End]:
    """Return the shape of a profile of (depth, size) from top to bottom, in ticks.

    The second value is the wide end of a tapered or bell-mouthed bore, else empty.
    """
    sizes = [size for _, size in profile]
    spread = max(sizes) - min(sizes)
    if spread <= STRAIGHT_WITHIN:
        return "straight", ""
    if _bulges(sizes, spread):
        return "barrel", ""
    if _bulges([-size for size in sizes], spread):
        return "waisted", ""
    wide: End = "top" if sizes[0] > sizes[-1] else "bottom"
    from_wide = sizes if wide == "top" else sizes[::-1]
    if not _falls(from_wide, spread):
        return "irregular", ""
    return ("bell-mouthed" if _sags(profile, spread) else "tapered"), wide


def _falls(sizes: Sequence[int], spread: int) -> bool:
    """Tell whether sizes fall all along, but for rises of at most a quarter of the spread."""
    lowest = accumulate(sizes, min)
    return all(4 * (size - low) <= spread for size, low in zip(sizes, lowest, strict=True))


def _bulges(sizes: Sequence[int], spread: int) -> bool:
    """Tell whether sizes rise to a peak clear of both ends and fall again."""
    peak = sizes.index(max(sizes))
    clear = 4 * (sizes[peak] - max(sizes[0], sizes[-1])) > spread
    return clear and _falls(sizes[peak:], spread) and _falls(sizes[peak::-1], spread)


def _sags(profile: Profile, spread: int) -> bool:
    """Tell whether a size lies below the straight line between the ends by over S/4."""
    (top, first), (bottom, last) = profile[0], profile[-1]
    length = bottom - top
    return any(
        4 * (first * (bottom - depth) + last * (depth - top) - size * length) > spread * length
        for depth, size in profile
    )
