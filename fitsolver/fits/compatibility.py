"""Rule `compatibility`: parts that must go together do.

The piston takes the engine's gudgeon pin; the ring is not deeper than its groove.
"""

from __future__ import annotations

from fitsolver.records.catalogue import Groove, Piston, Ring


def pin_fits(piston: Piston, pin_diameter: int | None) -> bool:
    """Tell whether piston and engine have one pin diameter (unknown on either side: yes)."""
    if piston.pin_diameter is None or pin_diameter is None:
        return True
    return piston.pin_diameter == pin_diameter


def ring_fits_groove(ring: Ring, groove: Groove) -> bool:
    """Tell whether the ring is made for the groove and not deeper than it."""
    if groove.number not in ring.grooves:
        return False
    if ring.radial_depth is None or groove.depth is None:
        return True
    return ring.radial_depth <= groove.depth
