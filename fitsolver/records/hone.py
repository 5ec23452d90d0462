"""A bore on its way to the finish size: passes at the hone, checks, and what to do next."""

from __future__ import annotations

from typing import Final, Literal

from pydantic import Field

from fitsolver.lengths import Unit
from fitsolver.records.base import Count, Length, Range, Record
from fitsolver.records.form import BoreForm
from fitsolver.records.measuring import Temperature
from fitsolver.records.plan import Answer
from fitsolver.records.readings import Reading

HONE_SCHEMA: Final = 2

CountedIn = Literal["strokes", "seconds"]
Advice = Literal["go on", "find the rate", "read again", "stop", "too large"]
Trend = Literal["better", "worse", "no change seen", "not known"]


class HonePass(Record):
    """One entry of the log: so many strokes (or seconds), and what was read afterwards.

    `temperature` is that of the bore when it was read; None as in the job. Without readings
    the strokes count towards the next check; without strokes the bore was only read again.
    """

    cylinder: str = Field(min_length=1)
    count: int = Field(ge=0)
    counted_in: CountedIn = "strokes"
    stones: str = ""
    temperature: Temperature | None = None
    readings: tuple[Reading, ...] = ()


class HoneCheck(Record):
    """The bore as read after so many strokes in all, at 20 °C (ticks). Number 0 is the job's own.

    `correction` is what the warm bore's largest size was corrected by. `stock_tightest` and
    `stock_worst` are what is left to the lowest permitted local size where the bore is
    smallest and largest; `room` what is left to the highest where it is largest.
    """

    number: Count
    count: Count
    stones: str
    temperature: Temperature
    correction: Length
    smallest: Length
    largest: Length
    stock_tightest: Length
    stock_worst: Length
    room: Length
    out_of_round: Length
    taper: Length


class RemovalRate(Record):
    """Metal removed on diameter per stroke (or second) by the stones now in use.

    Slope of the least-squares line of metal removed against strokes. `uncertainty` is its
    standard uncertainty with `degrees` degrees of freedom, `scatter` the standard deviation
    of a check about the line; all in ticks.
    """

    counted_in: CountedIn
    stones: str
    checks: Count
    rate: float
    uncertainty: float
    scatter: float
    degrees: float


class FirstStrokes(Record):
    """How many strokes (or seconds) to take with stones of which no check tells yet, and why.

    Not a computed risk but a condition: as long as each takes no more than `rate` (ticks on
    diameter), the largest local size then is at most `largest`, the gauge's error counted at the
    stated risk. `basis`: a multiple of the fastest pace of the same stones, seen in so many
    `steps` of the log; or what is common practice.
    """

    count: Count
    rate: float
    basis: Literal["same stones", "common practice"]
    steps: Count = 0
    largest: Length


class HoneState(Record):
    """Where one cylinder stands and what to do next.

    `lowest`, `highest` are the permitted finish sizes of the plan, `local_low`, `local_high`
    the local sizes that half the form of its route leaves around them; `dial_low`, `dial_high`
    are what the gauge as zeroed shows there on the bore as warm as at the last check, `dial_cool`
    what on the bore at 20 °C, where it was not.
    `next_count` is how many strokes may be taken before the next check, `expected_largest` the
    largest local size then, which is exceeded with at most the stated risk (None where no
    rate is known; `first` tells then what the count rests on).
    """

    cylinder: str
    lowest: Length
    highest: Length
    local_low: Length
    local_high: Length
    dial_low: Length | None = None
    dial_high: Length | None = None
    dial_cool: Range | None = None
    counted_in: CountedIn
    since_check: Count
    checks: tuple[HoneCheck, ...]
    form: BoreForm
    trend: Trend
    rate: RemovalRate | None = None
    advice: Advice
    next_count: int | None = None
    expected_largest: Length | None = None
    first: FirstStrokes | None = None
    sentence: str
    cautions: tuple[str, ...] = ()


class HoneAnswer(Record):
    """What `hone` answers. `repick` is what is now possible where a bore came out too large.

    `other_parts` is a plan without the parts that the job pins, where with them nothing fits.
    """

    schema_version: int = HONE_SCHEMA
    program_version: str
    job: str
    unit: Unit
    log: str
    risk: float
    cylinders: tuple[HoneState, ...]
    repick: Answer | None = None
    other_parts: Answer | None = None
    cautions: tuple[str, ...] = ()
