"""Every fit of a cylinder against its window, with slack on both sides."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.choices.selection import CylinderSelection
from fitsolver.choices.types import NO_BOUND, CylinderChoices, RingOption
from fitsolver.fits import (
    clearance,
    compression,
    end_gap,
    port_timing,
    ring_seat,
    side_clearance,
    squish,
)
from fitsolver.planning.stack import thickness
from fitsolver.records.base import FitName, Range
from fitsolver.records.catalogue import Gasket, Groove
from fitsolver.records.plan import Fit
from fitsolver.records.windows import HALF_TURN, OPEN, Window, find_window


def fit_lines(
    state: CylinderChoices, chosen: CylinderSelection, gaskets: dict[str, Gasket]
) -> tuple[Fit, ...]:
    """Return all fits of one cylinder in a fixed order: skirt, rings by groove, stack, form."""
    lines = _Lines(state, chosen, gaskets)
    found = [lines.clearance()]
    for groove in chosen.option.piston.candidate.part.grooves:
        ring = chosen.rings[groove.number]
        found += [lines.end_gap(ring), *lines.ring_seat(ring), lines.side_clearance(ring, groove)]
    found += [*lines.squish(), *lines.port_timing(), *lines.compression()]
    return (*found, *lines.form())


class _Lines:
    def __init__(
        self, state: CylinderChoices, chosen: CylinderSelection, gaskets: dict[str, Gasket]
    ) -> None:
        self.state, self.chosen, self.gaskets = state, chosen, gaskets
        self.candidate = chosen.option.piston.candidate
        self.nominal = self.candidate.part.nominal_bore

    def clearance(self) -> Fit:
        skirt, chosen = self.candidate.skirt, self.chosen
        value = clearance.clearance(chosen.low, chosen.high, skirt)
        if chosen.option.follows:  # each piston has a finish size of its own
            spread = chosen.option.route.spread
            of_small, of_large = chosen.low - skirt.low, chosen.high - spread - skirt.high
            value = Range(low=min(of_small, of_large), high=max(of_small, of_large) + spread)
        stated = self.candidate.part.stated
        window = find_window(self.state.windows, "clearance", stated=stated)
        return self._against(
            "clearance", value, window, kept=self.candidate.kept, part=self.candidate.part.number
        )

    def end_gap(self, ring: RingOption) -> Fit:
        candidate, chosen = ring.candidate, self.chosen
        value = end_gap.gap_in_bore(
            candidate.gap, candidate.gauge_diameter, chosen.low, chosen.high
        )
        filed = ring.filing(chosen.low)
        if filed and ring.bottom is not None:
            # The tightest supplied ring is filed to the window's edge where the bore is smallest.
            # So its gap is larger where the bore is largest.
            widest = end_gap.filed_gap(ring.bottom, chosen.option.route.spread)
            value = Range(low=value.low + filed, high=max(value.high, widest))
        stated = candidate.part.stated
        window = find_window(self.state.windows, "end_gap", ring.groove, stated=stated)
        return self._against(
            "end_gap",
            value,
            window,
            kept=candidate.kept,
            part=candidate.part.number,
            groove=ring.groove,
            filed=filed,
        )

    def ring_seat(self, ring: RingOption) -> Iterator[Fit]:
        candidate, chosen = ring.candidate, self.chosen
        window = find_window(self.state.windows, "ring_seat", ring.groove)
        most = candidate.part.seat_over
        if window is None and most is None:
            return
        value = ring_seat.over_bore(candidate.part.gauge_diameter, chosen.low, chosen.high)
        line = self._against(
            "ring_seat",
            value,
            window,
            kept=candidate.kept,
            part=candidate.part.number,
            groove=ring.groove,
        )
        permitted = None if line.high is None else line.high - line.guard
        if most is not None and (permitted is None or most < permitted):
            line = line.model_copy(
                update={
                    "high": most + line.guard,
                    "slack_high": most - value.high,
                    "source": "ring's own limit",
                    "owner": "",
                }
            )
        yield line

    def side_clearance(self, ring: RingOption, groove: Groove) -> Fit:
        part = ring.candidate.part
        value = side_clearance.side_clearance(groove.width, part.width)
        window = find_window(self.state.windows, "side_clearance", groove.number)
        kept = ring.candidate.kept or self.candidate.kept
        line = self._against(
            "side_clearance", value, window, kept=kept, part=part.number, groove=groove.number
        )
        if line.low is not None:
            return line
        source = line.source or "the ring must go in"
        return line.model_copy(
            update={"low": -line.guard, "slack_low": value.low, "source": source}
        )

    def squish(self) -> Iterator[Fit]:
        base, height = self.state.cylinder.squish, self.candidate.part.compression_height
        if base is None or height is None:
            return
        value = squish.squish(base, height, thickness(self.chosen, self.gaskets))
        window = find_window(self.state.windows, "squish")
        yield self._against("squish", value, window, kept=False)

    def port_timing(self) -> Iterator[Fit]:
        """Yield every port under a window; a port whose edge the crown never reaches misses it."""
        base, height = self.state.cylinder.squish, self.candidate.part.compression_height
        if base is None or height is None:
            return
        under = thickness(self.chosen, self.gaskets, port_timing.UNDER_THE_CYLINDER)
        crown = port_timing.deck(base, height, under)
        for port in self.state.timed:
            value = port_timing.opening(port.travel.top, crown, port.stroke, port.rod)
            low, high = port.window.low, port.window.high
            between = {
                "low": 0 if low is None else low,
                "high": HALF_TURN if high is None else high,
            }
            window = port.window.model_copy(update=between)
            line = self._against("port_timing", value, window, kept=False)
            yield line.model_copy(update={"port": port.name})

    def compression(self) -> Iterator[Fit]:
        """Yield the ratio where it has a window; without a volume left it misses."""
        window, bare = self.state.ratio, self.chosen.option.piston.stack.growth
        if window is None or bare is None:
            return
        stack, bore = thickness(self.chosen, self.gaskets), self.chosen
        growth = Range(low=bare.low + stack.low, high=bare.high + stack.high)
        found = compression.ratio(
            window.stroke, window.chamber, Range(low=bore.low, high=bore.high), growth
        )
        low, high = found or (0, NO_BOUND)
        value = Range(low=low, high=high)
        yield self._against("compression", value, window.window, kept=False)

    def form(self) -> Iterator[Fit]:
        measured = self.state.form
        if self.chosen.option.machined or measured is None:
            return
        values: tuple[tuple[FitName, int], ...] = (
            ("out_of_round", measured.out_of_round),
            ("taper", abs(measured.taper)),
        )
        for fit, value in values:
            window = find_window(self.state.windows, fit)
            yield self._against(fit, Range(low=value, high=value), window, kept=False)

    def _against(
        self,
        fit: FitName,
        value: Range,
        window: Window | None,
        *,
        kept: bool,
        part: str = "",
        groove: int | None = None,
        filed: int = 0,
    ) -> Fit:
        low, high = (None, None) if window is None else window.stated(self.nominal, kept=kept)
        as_is = fit == "clearance" and not self.chosen.option.machined
        guard = 0 if window is None else window.guard_for(as_is=as_is)
        held = OPEN
        if window is not None:
            held = window.limits(self.nominal, kept=kept, as_is=as_is, aimed=False)
        return Fit(
            fit=fit,
            part=part,
            groove=groove,
            low=low,
            high=high,
            guard=guard,
            least=value.low,
            most=value.high,
            slack_low=None if held.low is None else value.low - held.low,
            slack_high=None if held.high is None else held.high - value.high,
            filed=filed,
            service=kept,
            source="" if window is None else window.source,
            owner="" if window is None else window.owner,
        )
