"""A form drawn from one job and put into another, as the page does."""

from __future__ import annotations

from collections.abc import Mapping

from fitsolver.page import entered
from fitsolver.page.content import Content


def put(base: Mapping[str, object], now: Content, fields: Mapping[str, str]) -> Content:
    """Return the job `now` with the fields that differ from those of the job `base`."""
    return entered.put(entered.entries(base), entered.entries(now), now, fields)
