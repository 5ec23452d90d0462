"""Check of `mass_match`."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.checking.view import CylinderView, PlanView
from fitsolver.records.catalogue import Piston


def violations(view: PlanView) -> Iterator[str]:
    """Yield every set whose pistons may differ in mass by more than the limit."""
    for rule in view.job.mass_match:
        masses = [item.piston.mass for item in view.named(rule.cylinders)]
        known = [mass for mass in masses if mass is not None]
        if len(known) < len(masses):
            yield f"cylinders {', '.join(rule.cylinders)}: a piston of unknown mass"
        elif known:
            spread = max(most for _, most in known) - min(least for least, _ in known)
            if spread > rule.limit:
                yield f"cylinders {', '.join(rule.cylinders)}: masses differ too much"


def refuses(item: CylinderView, piston: Piston) -> bool:
    """Tell whether the mass of a piston is wanted and not known."""
    weighed = any(item.name in match.cylinders for match in item.job.mass_match)
    return weighed and piston.mass is None
