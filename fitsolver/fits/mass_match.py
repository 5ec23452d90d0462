"""Rule `mass_match`: pistons of a set differ in mass by no more than a limit."""

from __future__ import annotations

from collections.abc import Iterable

from fitsolver.records.catalogue import Piston


def mass_range(piston: Piston, measured: int | None) -> tuple[int, int] | None:
    """Return least and most mass (mg): as measured, else with its tolerance; None if unknown."""
    if measured is not None:
        return measured, measured
    if piston.mass is None:
        return None
    return piston.mass - piston.mass_tolerance, piston.mass + piston.mass_tolerance


def spread(masses: Iterable[tuple[int, int]]) -> int:
    """Return the largest difference (mg) that the masses' ranges allow."""
    ranges = list(masses)
    return max(high for _, high in ranges) - min(low for low, _ in ranges)
