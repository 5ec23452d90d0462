"""The smallest change of one figure that alters a pick, in few tries.

Every trial is a whole solve. So trials are placed where the pick is likely to change: where the
slack of a fit is used up. The result does not depend on their placing.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Final

from fitsolver.records.firm import Picked

#: What is picked for every cylinder, in job order; None where nothing fits.
Pick = tuple[Picked, ...] | None

#: By how much steps grow until the pick differs.
_GROWTH: Final = 4


@dataclass(frozen=True, slots=True)
class Change:
    """The smallest change found (ticks) and the pick then; None: none up to the reach."""

    margin: int | None
    pick: Pick


def smallest_change(
    pick_at: Callable[[int], Pick],
    now: Pick,
    reach: int,
    slacks: Collection[int] = (),
    first: int = 1,
    gone: int | None = None,
) -> Change:
    """Return the smallest change up to `reach` (ticks) that is found to alter the pick.

    The first step is `first`; each next one is four times larger, until the pick differs. A step
    that uses up one of the `slacks` (ticks) is followed by one tick more. Bisection follows between
    the last step that kept the pick and the first that did not. So the pick is kept one tick before
    the change returned, and at every smaller change tried.

    At `gone` (ticks; None: nowhere up to the reach) the pick is known to be another one. Where the
    pick is kept one tick before it, and so at the reach where it is not known, that is all.
    """
    found: dict[int, Pick] = {}

    def asked(more: int) -> Pick:
        if more not in found:
            found[more] = pick_at(more)
        return found[more]

    if gone is None and asked(reach) == now:
        return Change(None, now)
    if gone is not None and (gone == 1 or asked(gone - 1) == now):
        return Change(gone, asked(gone))
    return _searched(asked, now, reach, slacks, first)


def _searched(
    pick_at: Callable[[int], Pick], now: Pick, reach: int, slacks: Collection[int], first: int
) -> Change:
    likely = sorted({edge for slack in slacks for edge in (slack, slack + 1)})
    kept, step = 0, max(1, first)
    while kept < reach:
        tried = min(step, reach)
        changed = pick_at(tried)
        if changed != now:
            break
        kept = tried
        step = kept + 1 if kept in slacks else max(_GROWTH * kept, step)
    else:
        return Change(None, now)
    while tried - kept > 1:
        between = [edge for edge in likely if kept < edge < tried]
        middle = between[len(between) // 2] if between else (kept + tried) // 2
        found = pick_at(middle)
        if found == now:
            kept = middle
        else:
            tried, changed = middle, found
    return Change(tried, changed)
