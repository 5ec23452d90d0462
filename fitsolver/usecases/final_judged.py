"""Which fits of a finished cylinder have been judged, and why the others have not.

A fit is asked where it has a window. It has been judged where what it depends on was measured on
the part that is fitted: the skirt for the clearance, the gap for the end gap, two axes at one depth
for the out-of-round, two depths on one axis for the taper, and the gaskets in hand for what the
stack decides. Over the range of a part that was not measured a fit fails where no part of that
range conforms; else it is not judged: that the whole range conforms says something of the
catalogue, not of this engine.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Final, NamedTuple

from fitsolver.choices.demands import DEMANDS
from fitsolver.choices.types import CylinderChoices
from fitsolver.metrology.form import deciding
from fitsolver.records.base import FitName, Range
from fitsolver.records.final import NotJudged
from fitsolver.records.plan import Fit
from fitsolver.records.rules import RULE_OF
from fitsolver.records.windows import FORM_FITS, Window

#: Fits that the gaskets have a part in.
OF_THE_STACK: Final = frozenset(fit for fit, rule in RULE_OF.items() if DEMANDS[rule].stack)


class Fitted(NamedTuple):
    """What is fitted in a cylinder, as far as judging its fits goes.

    `unmeasured` are the catalogue ranges (ticks) of skirt and gaps that were not measured, by fit
    and groove. `no_gaskets` says which are not in hand, `no_stack` what else the squish lacks.
    """

    piston: str
    grooves: frozenset[int]
    unmeasured: Mapping[tuple[FitName, int | None], Range]
    no_gaskets: str = ""
    no_stack: str = ""


def not_judged(
    state: CylinderChoices, fits: Iterable[Fit], fitted: Fitted
) -> tuple[NotJudged, ...]:
    """Return the required fits that cannot be judged, each with the reason."""
    lines = [fit for fit in fits if fit.low is not None or fit.high is not None]
    found = [item for fit in lines if (item := _of_line(state, fit, fitted)) is not None]
    return (*found, *_without_line(state, lines, fitted))


def fails(fit: Fit, unmeasured: Range | None) -> bool:
    """Tell whether a fit fails: of a part that was not measured, over its whole range.

    With `t` how far the part lies from the end of its range that makes the fit least, the fit
    conforms for a `t` of the range where `t >= -slack_low` and `t <= slack_high + range`.
    """
    if fit.holds or unmeasured is None:
        return not fit.holds
    width = unmeasured.high - unmeasured.low
    least = max(0, -fit.slack_low) if fit.slack_low is not None else 0
    most = min(width, fit.slack_high + width) if fit.slack_high is not None else width
    return least > most


def _of_line(state: CylinderChoices, fit: Fit, fitted: Fitted) -> NotJudged | None:
    unmeasured = fitted.unmeasured.get((fit.fit, fit.groove))
    why = ""
    if unmeasured is not None and not fails(fit, unmeasured):
        why = f"{'skirt' if fit.fit == 'clearance' else 'gap'} not measured"
    elif fit.fit in FORM_FITS and fit.holds:
        why = _form(state, fit.fit)
    return NotJudged(fit=fit.fit, groove=fit.groove, port=fit.port, why=why) if why else None


def _form(state: CylinderChoices, fit: FitName) -> str:
    """Return why the readings cannot tell the form; empty where they can."""
    axes, depths = defaultdict(set), defaultdict(set)
    for reading in deciding(state.cylinder):
        axes[reading.depth].add(reading.angle)
        depths[reading.angle].add(reading.depth)
    if fit == "out_of_round":
        enough = any(len(angles) > 1 for angles in axes.values())
        return "" if enough else "no depth was read on two axes"
    enough = any(len(read) > 1 for read in depths.values())
    return "" if enough else "no axis was read at two depths"


def _without_line(
    state: CylinderChoices, lines: Iterable[Fit], fitted: Fitted
) -> Iterator[NotJudged]:
    """Yield the windows that no fit stands against."""
    told = {(fit.fit, fit.groove, fit.port) for fit in lines}
    told |= {(fit.fit, None, "") for fit in lines}
    for window in state.windows:
        key = window.fit, window.groove, window.port or ""
        asks = window.low is not None or window.high is not None
        if asks and key not in told:
            told.add(key)
            why = _missing(window, fitted)
            yield NotJudged(fit=key[0], groove=key[1], port=key[2], why=why)


def _missing(window: Window, fitted: Fitted) -> str:
    if window.fit in OF_THE_STACK:
        return fitted.no_gaskets or fitted.no_stack or "what it is worked out from is not given"
    if window.fit in FORM_FITS:
        return "the bore was not read at places"
    if window.groove is not None and window.groove not in fitted.grooves:
        return f"{fitted.piston} has no groove {window.groove}"
    return f"the catalogue gives {fitted.piston} no ring grooves"
