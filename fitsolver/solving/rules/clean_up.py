"""`clean_up`: `L >= largest local size + max(min_cut, 2 scratch)` for every machined option."""

from __future__ import annotations

from fitsolver.solving.posting import refuse, sizes_at_least
from fitsolver.solving.variables import Model


def post(model: Model) -> None:
    """Post the rule; a bore that is left as it is must have no scratch."""
    sizes_at_least(model, "clean_up")
    refuse(model, "clean_up")
