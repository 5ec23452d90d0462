"""The pistons, routes and rings that a cylinder may take, as integers with their bounds.

A choice is bounded through two numbers: `L`, the smallest, and `H`, the largest local size
after the work (see docs/decision.md). Each rule is either a bound on L or H, carried here
with its name, or a refusal in words.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Final, NamedTuple

from fitsolver.base.lengths import LONGEST
from fitsolver.choices.parts import PistonCandidate, RingCandidate, RingClass
from fitsolver.fits import compression, end_gap
from fitsolver.fits.port_timing import Timed
from fitsolver.records.base import FitName, Range, RuleId
from fitsolver.records.catalogue import Route
from fitsolver.records.form import BoreForm
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.rules import LIMITS, RULES
from fitsolver.records.windows import OPEN, Limits, Window, find_window

ALL_RULES: frozenset[RuleId] = frozenset(RULES)


NO_BOUND = (
    10**9
)  # ten metres in ticks, the longest length: stands for "no bound" where an integer is needed


#: Longer than any length.
_NO_BORE: Final = LONGEST + 1


class TimedPort(NamedTuple):
    """A port under a window, with the engine's stroke and rod length (ticks)."""

    name: str
    window: Window
    travel: Timed
    stroke: int
    rod: int


class RatioWindow(NamedTuple):
    """A window on the compression ratio, with the data of the ratio.

    `stroke` and the squish `before` in ticks, `chamber` in cubic ticks.
    """

    window: Window
    stroke: int
    chamber: int
    before: int

    def smallest_bore(self, growth: int) -> int | None:
        """Return the least L (ticks) at a growth; above every bore where no L suffices."""
        if self.window.low is None:
            return None
        least = compression.smallest_bore(self.stroke, self.chamber, growth, self.window.low)
        return _NO_BORE if least is None else least

    def largest_bore(self, growth: int) -> int | None:
        """Return the most H (ticks) at a growth; None = any."""
        return compression.largest_bore(self.stroke, self.chamber, growth, self.window.high)

    def growth(self, squish: Range) -> Range:
        """Return how far the piston-to-head distance grows with a squish (ticks)."""
        return Range(low=squish.low - self.before, high=squish.high - self.before)


class Bound(NamedTuple):
    """A rule's bound (ticks) on L or H."""

    rule: RuleId
    value: int


class Refusal(NamedTuple):
    """A rule that refuses a choice whatever its size."""

    rule: RuleId
    sentence: str


class StackBounds(NamedTuple):
    """Bounds on the compressed thickness of the gaskets with a piston (ticks); None = no bound.

    `low`, `high` of all of them, for the squish; `base_low`, `base_high` of those under the
    cylinder, for the port timing. `growth` is the increase of the piston-to-head distance without
    any gasket, where the compression ratio has a window.
    """

    low: int | None = None
    high: int | None = None
    base_low: int | None = None
    base_high: int | None = None
    growth: Range | None = None


class PistonChoice(NamedTuple):
    """A piston in one cylinder: clearance window and stack bounds at its nominal bore.

    The window's lowest value is never below the physical limit. `as_is` is the window in a bore
    left as it is, where its guard differs. `least` and `most` are bounds on L and H from rules
    other than clearance.
    """

    candidate: PistonCandidate
    clearance: Limits
    stack: StackBounds
    refusals: tuple[Refusal, ...]
    as_is: Limits | None = None
    least: tuple[Bound, ...] = ()
    most: tuple[Bound, ...] = ()

    def window(self, *, machined: bool) -> Limits:
        """Return the clearance window in a bore that is machined, or left as it is."""
        return self.clearance if machined or self.as_is is None else self.as_is

    @property
    def ring_class(self) -> RingClass:
        return self.candidate.ring_class


class RouteChoice(NamedTuple):
    """A route in one cylinder. `spread` is H - L when one finish size serves (ticks).

    `least` are lower bounds on L, `most` upper bounds on H. Left as it is, L and H are `smallest`
    and `largest`. `size_offset` is H less the size that counts for displacement.
    """

    route: Route
    smallest: int
    largest: int
    base: int
    spread: int
    size_offset: int
    least: tuple[Bound, ...]
    most: tuple[Bound, ...]
    refusals: tuple[Refusal, ...]

    @property
    def removal_offset(self) -> int:
        """Removal is H minus this (ticks): half-width and base when machined, else H itself."""
        return self.route.half_width + self.base if self.route.machined else self.largest


class Option(NamedTuple):
    """A piston with a route, each rule's bounds on L and H, and the ranges they leave.

    `floor_low <= L <= ceiling_low` and `floor_high <= H <= ceiling_high` sum up the bounds.
    `follows`: L and H are the least that all lower bounds permit (the bore waits for the piston);
    otherwise `H = L + spread`. A bore left as it is has the measured L and H.
    """

    piston: PistonChoice
    route: RouteChoice
    follows: bool
    least_low: tuple[Bound, ...]
    most_low: tuple[Bound, ...]
    least_high: tuple[Bound, ...]
    most_high: tuple[Bound, ...]
    floor_low: int
    ceiling_low: int
    floor_high: int
    ceiling_high: int

    @property
    def key(self) -> tuple[str, str, str]:
        return *self.piston.candidate.key, self.route.route.name

    @property
    def machined(self) -> bool:
        return self.route.route.machined

    @property
    def refusals(self) -> tuple[Refusal, ...]:
        return (*self.piston.refusals, *self.route.refusals)

    @property
    def has_size(self) -> bool:
        return self.floor_low <= self.ceiling_low and self.floor_high <= self.ceiling_high

    @property
    def removal_offset(self) -> int:
        """Removal is H minus this (ticks)."""
        return self.route.removal_offset

    @property
    def least_removal(self) -> int:
        """The least removal (ticks) this option can come to."""
        return self.floor_high - self.removal_offset

    @property
    def size_offset(self) -> int:
        """The size that counts for displacement is H minus this (ticks)."""
        return self.route.size_offset


class RingOption(NamedTuple):
    """A ring in one groove of the pistons of one class.

    `least` are lower bounds on L, `most` upper bounds on H (ticks); `bottom` is the lower
    edge of the gap window, above zero, to which a tighter ring is filed (None: nothing is filed);
    `widest_spread` is how far apart the local sizes of one bore may lie.
    """

    candidate: RingCandidate
    groove: int
    ring_class: RingClass
    bottom: int | None
    widest_spread: int
    least: tuple[Bound, ...]
    most: tuple[Bound, ...]
    refusals: tuple[Refusal, ...]

    @property
    def floor_low(self) -> int:
        return max((bound.value for bound in self.least), default=0)

    @property
    def ceiling_high(self) -> int:
        return min((bound.value for bound in self.most), default=NO_BOUND)

    @property
    def reach_low(self) -> int:
        """No local size below this: the gap's arithmetic is exact so near the gauge diameter."""
        return self.candidate.gauge_diameter - end_gap.FARTHEST

    @property
    def reach_high(self) -> int:
        """No local size above this; see `reach_low`."""
        return self.candidate.gauge_diameter + end_gap.FARTHEST

    def filing(self, bore_low: int) -> int:
        """Return the most to be filed (ticks) when the smallest local size is `bore_low`."""
        candidate = self.candidate
        return end_gap.filing(self.bottom, candidate.gap.low, candidate.gauge_diameter, bore_low)


@dataclass(frozen=True)
class CylinderChoices:
    """All choices of one cylinder, before any are combined.

    `timed` are the ports whose timing has a window, `ratio` is the window on the compression ratio.
    """

    job: Job
    cylinder: Cylinder
    form: BoreForm | None
    smallest: int
    largest: int
    pistons: tuple[PistonChoice, ...] = field(repr=False)
    routes: tuple[RouteChoice, ...] = field(repr=False)
    timed: tuple[TimedPort, ...] = field(default=(), repr=False)
    ratio: RatioWindow | None = field(default=None, repr=False)

    @property
    def name(self) -> str:
        return self.cylinder.name

    @cached_property
    def windows(self) -> tuple[Window, ...]:
        return self.job.windows_for(self.cylinder)

    @cached_property
    def windows_key(self) -> str:
        """Cache key: equal for cylinders with the same windows, engine and limits of their own."""
        limits = [self.job.limit_for(limit, self.cylinder) for limit in LIMITS]
        return repr((self.windows, self.job.engine, limits))

    @cached_property
    def matched(self) -> bool:
        """Whether the mass of its piston is matched with others."""
        return any(self.name in match.cylinders for match in self.job.mass_match)

    def limits(
        self,
        fit: FitName,
        nominal: int,
        groove: int | None,
        *,
        kept: bool,
        as_is: bool = False,
        stated: tuple[str, ...] = (),
    ) -> Limits:
        """Return the guarded window of a fit at a nominal bore (open when there is none).

        `stated` are the windows that the maker of the part states, by name.
        """
        window = find_window(self.windows, fit, groove, stated=stated)
        return OPEN if window is None else window.limits(nominal, kept=kept, as_is=as_is)
