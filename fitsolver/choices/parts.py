"""The pistons and rings that a job may choose from: catalogue parts and pieces in hand."""

from __future__ import annotations

from dataclasses import dataclass

from fitsolver.records.base import Range
from fitsolver.records.catalogue import Gasket, Groove, Piston, Ring

Article = Piston | Ring | Gasket


@dataclass(frozen=True, slots=True, eq=False)
class RingClass:
    """The nominal bore and grooves of pistons: they alone decide which rings go with them.

    Pistons equal in both share one object, so classes compare with `is`.
    """

    nominal_bore: int
    kept: bool
    grooves: tuple[Groove, ...]


class _Piece:
    """A part that may be chosen, or a piece of it."""

    __slots__ = ()
    part: Piston | Ring
    piece: str

    @property
    def key(self) -> tuple[str, str]:
        return self.part.number, self.piece

    @property
    def named(self) -> str:
        """The part number, with the piece where it is one in hand."""
        return self.part.number + (f" ({self.piece})" if self.piece else "")


@dataclass(frozen=True, slots=True)
class PistonCandidate(_Piece):
    """A piston that may be chosen; `piece` names a measured or kept piece in hand.

    `skirt` in ticks, `mass` (least, most) in mg; `only_in` reserves it for one cylinder.
    """

    part: Piston
    skirt: Range
    mass: tuple[int, int] | None
    ring_class: RingClass
    piece: str = ""
    kept: bool = False
    only_in: str | None = None


@dataclass(frozen=True, slots=True)
class RingCandidate(_Piece):
    """A ring that may be chosen; `gap` (ticks) is its gap in a bore of `gauge_diameter`."""

    part: Ring
    gap: Range
    gauge_diameter: int
    piece: str = ""
    kept: bool = False
    only_in: str | None = None

    @property
    def gap_measured(self) -> bool:
        """Tell whether the gap was measured on this piece, not taken from its maker's range."""
        own = self.gap, self.gauge_diameter
        return bool(self.piece) and own != (self.part.gap, self.part.gauge_diameter)

    @property
    def figures(self) -> tuple[int | str | None, ...]:
        """The figures that decide the ring's fits; rings equal in all of them fit equally."""
        part = self.part
        return (
            self.gauge_diameter,
            self.gap.low,
            self.gap.high,
            self.kept,
            part.gauge_diameter,
            part.width.low,
            part.width.high,
            part.radial_depth,
            part.file_most,
            part.seat_over,
            *part.stated,
        )


Candidate = PistonCandidate | RingCandidate


@dataclass(frozen=True, slots=True)
class Shelf:
    """The candidates of a job, and its unmeasured pieces in hand.

    `loose` counts unreserved pieces by number, `reserved` counts by (cylinder, number).
    """

    pistons: tuple[PistonCandidate, ...]
    rings: tuple[RingCandidate, ...]
    loose: dict[str, int]
    reserved: dict[tuple[str, str], int]
