"""`form`: a bore that is left as it is keeps its out-of-round and taper inside their windows."""

from __future__ import annotations

from fitsolver.solving.posting import refuse
from fitsolver.solving.variables import Model


def post(model: Model) -> None:
    """Forbid leaving a bore as it is whose measured form is outside a window."""
    refuse(model, "form")
