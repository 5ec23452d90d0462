"""Windows: the lowest and highest permitted value of a fit, and who says so."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from fractions import Fraction
from typing import Final, NamedTuple

from pydantic import Field, model_validator

from fitsolver.base.lengths import RATIO, ceil, floor
from fitsolver.records.base import THOUSANDTHS, FitName, Length, Owner, Record
from fitsolver.records.rules import REGISTRY

#: A port opens between top and bottom dead centre (thousandths of a degree).
HALF_TURN: Final = 180_000
#: A compression ratio is above one (in thousandths).
NO_COMPRESSION: Final = 1_000


#: Fits of a bore that is left as it is, and those of a ring in its groove.
FORM_FITS: Final = REGISTRY["form"].fits
GROOVE_FITS: Final[tuple[FitName, ...]] = ("end_gap", "ring_seat", "side_clearance")
#: The sheet on which the figures of a fit usually stand (common practice, no source).
SHEETS: Final[dict[str, str]] = {
    "clearance": "the engine's workshop manual, or the sheet that comes with the piston",
    "end_gap": "the leaflet in the ring maker's box, or the workshop manual",
    "squish": "the engine builder's or tuner's sheet, or the workshop manual",
    "out_of_round": "the wear limits of the workshop manual",
    "taper": "the wear limits of the workshop manual",
}


class Limits(NamedTuple):
    """A window's edges as lengths, guard already taken off; None = no limit on that side."""

    low: int | None
    high: int | None


class Window(Record):
    """One window of a job or a cylinder.

    `low`, `high` and the service limits are ticks, or parts in 10**9 of the bore when
    `per_bore` is set. `guard` (ticks) is given up on each side. A service limit holds for
    parts that are kept; where it is None the build limit holds for them too. For `port_timing`
    the edges are thousandths of a degree of crank (`port` names the port, None: every one), for
    `compression` thousandths of the ratio; both have build limits only. `guard_as_is` is the guard
    in a bore that is left as it is, where it is another than that of a machined one: filled in
    where a job is made ready to be decided, never part of a job's file or document. `aim` (ticks)
    is how far above the lowest clearance a bore is aimed that is machined: a choice, not a limit
    that a finished bore is held to. `owner` says who states the window and, where that is not the
    job, `stands` in which file and section: both are filled in where a job is read, never part of
    a job's file or document. `part` names a window that the maker of
    parts states for these (owner `part`; empty: it holds for every part), filled in where a job
    meets its catalogue. One that `yields` holds for the parts whose maker states none: every window
    of a sheet, and those of a job that say so.
    """

    fit: FitName
    low: int | None = None
    high: int | None = None
    service_low: int | None = None
    service_high: int | None = None
    per_bore: bool = False
    groove: int | None = None
    port: str | None = None
    guard: Length = 0
    aim: Length = 0
    guard_as_is: Length | None = Field(default=None, exclude=True)
    source: str = ""
    yields: bool = False
    owner: Owner = Field(default="job", exclude=True)
    stands: str = Field(default="", exclude=True)
    part: str = Field(default="", exclude=True)

    @model_validator(mode="after")
    def _ordered(self) -> Window:
        low, high = self._edges(kept=False)
        if low is None and high is None and self.service_low is None and self.service_high is None:
            raise ValueError("a window needs a lowest or a highest value")
        for kept in (False, True):
            low, high = self._edges(kept)
            if low is not None and high is not None and low > high:
                raise ValueError("the window's lowest value is above its highest")
        if self.per_bore and self.fit in FORM_FITS:
            raise ValueError(f"a window for {self.fit} is a length, not per unit of bore")
        if self.guard < 0 or self.aim < 0:
            raise ValueError("a measuring allowance cannot be negative, nor an aim")
        if self.aim and (self.fit != "clearance" or self.low is None):
            raise ValueError("an aim is counted from the lowest value of a clearance")
        if self.port is not None and self.fit != "port_timing":
            raise ValueError(f"a window for {self.fit} has no port")
        if self.fit in THOUSANDTHS:
            self._plain()
        return self

    def _plain(self) -> None:
        """Refuse fields that only a window on a length can have."""
        if (self.service_low, self.service_high, self.groove) != (None, None, None):
            raise ValueError(f"a window for {self.fit} has low and high only")
        if self.per_bore or self.guard:
            raise ValueError(f"a window for {self.fit} is no length")
        for edge in (self.low, self.high):
            if edge is None:
                continue
            if self.fit == "port_timing" and not 0 <= edge <= HALF_TURN:
                raise ValueError("a port opens 0 to 180 degrees after top dead centre")
            if self.fit == "compression" and edge <= NO_COMPRESSION:
                raise ValueError("a compression ratio is above 1")

    def _edges(self, kept: bool) -> tuple[int | None, int | None]:
        if not kept:
            return self.low, self.high
        low = self.low if self.service_low is None else self.service_low
        high = self.high if self.service_high is None else self.service_high
        return low, high

    def guard_for(self, *, as_is: bool) -> int:
        """Return the guard in a bore that is left as it is, or in one that is machined."""
        return self.guard_as_is if as_is and self.guard_as_is is not None else self.guard

    def limits(
        self, nominal_bore: int, *, kept: bool = False, as_is: bool = False, aimed: bool = True
    ) -> Limits:
        """Return the edges in ticks for a nominal bore (ticks), narrowed by guard and aim.

        A bore that is left as it is has no aim; without `aimed` none has.

        A window per unit of bore is taken at the nominal bore of the piston in question
        and rounded once, inwards.
        """
        low, high = self.stated(nominal_bore, kept=kept)
        guard = self.guard_for(as_is=as_is)
        inside = max(guard, self.aim) if aimed and not as_is else guard
        return Limits(
            low=None if low is None else low + (0 if is_floor(self.fit, low) else inside),
            high=None if high is None else high - guard,
        )

    def stated(self, nominal_bore: int, *, kept: bool = False) -> tuple[int | None, int | None]:
        """Return the edges in ticks before the guard is taken off."""
        low, high = self._edges(kept)
        if not self.per_bore:
            return low, high
        return (
            None if low is None else ceil(Fraction(low * nominal_bore, RATIO)),
            None if high is None else floor(Fraction(high * nominal_bore, RATIO)),
        )


def is_floor(fit: FitName, low: int | None) -> bool:
    """Tell whether a lower edge binds nothing: out-of-round and taper are never below 0."""
    return fit in FORM_FITS and low is not None and low <= 0


#: Fits whose words are not those of their key.
_NAMED: Final = {"out_of_round": "out-of-round", "ring_seat": "ring over bore"}


def place_words(fit: str, groove: int | None = None) -> str:
    """Return a fit, in a groove where it is a ring's, as messages call it: `end gap 1`."""
    words = _NAMED.get(fit) or fit.replace("_", " ")
    return words if groove is None else f"{words} {groove}"


class OpenFit(Record):
    """A fit that a job leaves open by name; `groove` None: in every groove."""

    fit: FitName
    groove: int | None = None

    def covers(self, fit: FitName, groove: int | None = None) -> bool:
        """Tell whether a fit (in a groove) is left open."""
        return self.fit == fit and self.groove in (None, groove)

    @property
    def text(self) -> str:
        """The name as a job file says it."""
        return self.fit if self.groove is None else f"{self.fit} {self.groove}"


def holding(of_job: Iterable[Window], own: tuple[Window, ...]) -> tuple[Window, ...]:
    """Return the windows that hold for a cylinder, its own first.

    An own window for all grooves (or ports) replaces every window of the job for that fit; one that
    yields leaves those that makers state for their parts.
    """
    every = [w for w in own if w.groove is None and w.port is None and not w.part]
    replaced, firm = {w.fit for w in every}, {w.fit for w in every if not w.yields}
    known = {w.part for w in own if w.part}
    return own + tuple(
        w
        for w in of_job
        if w.fit not in (firm if w.part else replaced) and (not w.part or w.part not in known)
    )


OPEN = Limits(low=None, high=None)


def find_window(
    windows: Iterable[Window],
    fit: FitName,
    groove: int | None = None,
    port: str | None = None,
    stated: Collection[str] = (),
) -> Window | None:
    """Return the window of a fit of a part: the job's own, else what the part's maker states,
    else one that yields to it; of each, one for that groove (or port) before one for all of them.

    `windows` come most specific first (cylinder, then job); `stated` are those of the part's
    maker, by name.
    """
    found, least = None, 6
    for window in windows:
        if window.fit != fit or (window.part and window.part not in stated):
            continue
        exact = (window.groove, window.port) == (groove, port)
        if not exact and (window.groove is not None or window.port is not None):
            continue
        rank = (2 if window.part else 4 * window.yields) + (not exact)
        if rank < least:
            found, least = window, rank
    return found
