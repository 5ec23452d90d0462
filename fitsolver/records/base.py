"""The frozen base of every record, and the names of levels (rules and fits: `records.rules`)."""

from __future__ import annotations

from typing import Annotated, Final, Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, PlainSerializer, WithJsonSchema

from fitsolver.records.rules import FITS, RULES, THOUSANDTHS, FitName, RuleId

__all__ = [
    "FITS",
    "LEVELS",
    "LEVEL_NAMES",
    "RECORD_FORMAT",
    "RULES",
    "THOUSANDTHS",
    "Count",
    "Days",
    "FitName",
    "Length",
    "Level",
    "Mass",
    "Money",
    "Range",
    "Record",
    "RuleId",
    "Volume",
]

RECORD_FORMAT: Final = 1

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

#: Who states a figure: the job, the maker of the part, the sheet of its family of engines, or the
#: shop; empty where none of them does. The order is that of precedence.
Owner = Literal["", "job", "part", "family sheet", "shop"]

#: A length or diameter in ticks of 10 nm (100 000 ticks = 1 mm).
Length = Annotated[int, Field(description="ticks of 10 nm; 100000 = 1 mm")]
#: A volume in cubic ticks (10**15 make 1 mm3). Documents write it as text: JavaScript, and many
#: readers of JSON, hold whole numbers exactly up to 2**53 only. Read as a number or as text.
_CUBIC: Final = "cubic ticks (1 mm3 = 10**15)"
Volume = Annotated[
    int,
    Field(description=_CUBIC),
    PlainSerializer(str, return_type=str, when_used="json"),
    WithJsonSchema(
        {
            "anyOf": [{"type": "integer"}, {"type": "string", "pattern": "^[0-9]{1,40}$"}],
            "description": _CUBIC,
        },
        mode="validation",
    ),
]
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
