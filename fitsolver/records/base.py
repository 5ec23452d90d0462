"""The frozen base of every record, and the words that name rules, fits and levels."""

from __future__ import annotations

from typing import Annotated, Final, Literal, get_args

from pydantic import BaseModel, ConfigDict, Field

RECORD_FORMAT: Final = 1

RuleId = Literal[
    "clean_up",
    "route_cut",
    "clearance",
    "end_gap",
    "ring_seat",
    "side_clearance",
    "squish",
    "port_timing",
    "compression",
    "form",
    "bore_limit",
    "displacement",
    "compatibility",
    "same_size",
    "mass_match",
    "availability",
]
RULES: Final[tuple[RuleId, ...]] = get_args(RuleId)

FitName = Literal[
    "clearance",
    "end_gap",
    "ring_seat",
    "side_clearance",
    "squish",
    "port_timing",
    "compression",
    "out_of_round",
    "taper",
]
FITS: Final[tuple[FitName, ...]] = get_args(FitName)
#: Fits that are no lengths: thousandths of a degree of crank, and of a ratio.
THOUSANDTHS: Final[tuple[FitName, ...]] = ("port_timing", "compression")

Level = Literal[
    "restored",
    "largest_removal",
    "total_removal",
    "filing",
    "price",
    "days",
    "part_number",
    "rebuilds_left",
]
#: Every level that a job may name.
LEVEL_NAMES: Final[tuple[Level, ...]] = get_args(Level)
#: The levels of every job, in the order that holds where it names none.
LEVELS: Final[tuple[Level, ...]] = tuple(name for name in LEVEL_NAMES if name != "rebuilds_left")

#: Who states a figure: the job, the sheet of its family of engines, or the shop; empty where none
#: of them does.
Owner = Literal["", "job", "family sheet", "shop"]

#: A length or diameter in ticks of 10 nm (100 000 ticks = 1 mm).
Length = Annotated[int, Field(description="ticks of 10 nm; 100000 = 1 mm")]
#: Money in hundredths of the catalogue's currency.
Money = Annotated[int, Field(ge=0, description="hundredths of the currency")]
#: Mass in milligrams.
Mass = Annotated[int, Field(ge=0, description="milligrams")]
Days = Annotated[int, Field(ge=0, description="days")]
Count = Annotated[int, Field(ge=0)]


class Record(BaseModel):
    """A frozen record: unknown fields are refused, equal contents are equal."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Range(Record):
    """Lowest and highest value of one quantity; equal when it is known."""

    low: Length
    high: Length

    @property
    def known(self) -> bool:
        return self.low == self.high
