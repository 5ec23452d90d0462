"""The check of every rule: on a plan, and on a piston for a later rebuild."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final, NamedTuple

from fitsolver.checking import (
    availability,
    bore_limit,
    clean_up,
    clearance,
    compatibility,
    compression,
    displacement,
    end_gap,
    form,
    mass_match,
    port_timing,
    ring_seat,
    route_cut,
    same_size,
    side_clearance,
    squish,
)
from fitsolver.checking.view import CylinderView, PlanView
from fitsolver.records.base import RuleId
from fitsolver.records.catalogue import Piston


class Check(NamedTuple):
    """Sentences on every violation in a plan; whether a piston is refused in every bore."""

    violations: Callable[[PlanView], Iterator[str]]
    refuses: Callable[[CylinderView, Piston], bool] | None = None


CHECKS: Final[dict[RuleId, Check]] = {
    "clean_up": Check(clean_up.violations),
    "route_cut": Check(route_cut.violations),
    "clearance": Check(clearance.violations),
    "end_gap": Check(end_gap.violations),
    "ring_seat": Check(ring_seat.violations),
    "side_clearance": Check(side_clearance.violations),
    "squish": Check(squish.violations, squish.refuses),
    "port_timing": Check(port_timing.violations, port_timing.refuses),
    "compression": Check(compression.violations, compression.refuses),
    "form": Check(form.violations),
    "bore_limit": Check(bore_limit.violations),
    "displacement": Check(displacement.violations),
    "compatibility": Check(compatibility.violations, compatibility.refuses),
    "same_size": Check(same_size.violations),
    "mass_match": Check(mass_match.violations, mass_match.refuses),
    "availability": Check(availability.violations),
}


def may_serve(item: CylinderView, piston: Piston) -> bool:
    """Tell whether no rule refuses a piston in every bore."""
    return not any(check.refuses and check.refuses(item, piston) for check in CHECKS.values())
