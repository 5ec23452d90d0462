"""A bore on its way to the finish size: passes at the hone, checks, and what to do next."""

from __future__ import annotations

from typing import Annotated, Final, Literal

from pydantic import Field, model_validator

from fitsolver.records.base import Count, Length, Range, Record
from fitsolver.records.form import BoreForm
from fitsolver.records.heading import BoreDocument
from fitsolver.records.measuring import Temperature
from fitsolver.records.plan import Answer
from fitsolver.records.readings import Reading

HONE_SCHEMA: Final = 1

CountedIn = Literal["strokes", "seconds"]
Advice = Literal["go on", "find the rate", "read again", "stop", "too large"]
Basis = Literal["same stones", "common practice", "what is left"]
NoHoning = Literal[
    "stop",
    "too large",
    "read the whole bore",
    "read one place again",
    "read again",
    "another stage first",
]
Trend = Literal["better", "worse", "no change seen", "not known"]


class HonePass(Record):
    """One entry of the log: strokes (or seconds) taken, and what was read afterwards.

    `stones` may be the name of a stage without honing, a bar's cut or a new sleeve: then
    strokes do not count. `temperature` is that of the bore when it was read; None as in the job.
    Without readings the strokes count towards the next check; without strokes the bore was only
    read again.
    """

    cylinder: str = Field(min_length=1)
    count: int = Field(ge=0)
    counted_in: CountedIn = "strokes"
    stones: str = ""
    temperature: Temperature | None = None
    readings: tuple[Reading, ...] = ()


class HoneCheck(Record):
    """The bore as read after all strokes so far, at 20 °C (ticks). Number 0 is the job's own.

    `correction` is what the warm bore's largest size was corrected by. `cut` names a bar's cut or
    a new sleeve since the check before: such a step tells no rate. A `replaced` check was read
    again, and the later reading outweighs it. `stock_tightest` and
    `stock_worst` are what is left to the lowest permitted local size where the bore is
    smallest and largest; `room` what is left to the highest where it is largest.
    """

    number: Count
    count: Count
    stones: str
    temperature: Temperature
    correction: Length
    cut: str = ""
    replaced: bool = False
    times: Count = 1
    smallest: Length
    largest: Length
    stock_tightest: Length
    stock_worst: Length
    room: Length
    out_of_round: Length
    taper: Length


class RemovalRate(Record):
    """Metal removed on diameter per stroke (or second) by the stones now in use.

    The weighted mean of the paces of the last passes, from so many `checks` that were read apart.
    `uncertainty` is its standard uncertainty with `degrees` degrees of freedom; ticks. `scatter` is
    the standard deviation of the pace of a pass, a share of the rate.
    """

    counted_in: CountedIn
    stones: str
    checks: Count
    rate: float
    uncertainty: float
    scatter: float
    degrees: float


class StatedRisk(Record):
    """What the strokes advised rest on where a rate is known: the `risk` of passing the highest
    size with them, which a pass may have up to `limit`.

    `largest` is the largest local size then, exceeded with a probability of `limit` at most.
    """

    kind: Literal["risk"] = "risk"
    risk: float = Field(ge=0, le=1)
    limit: float = Field(ge=0, le=1)
    largest: Length


class FirstStrokes(Record):
    """What the strokes advised rest on with stones of which no check tells yet.

    Not a computed risk but a condition: as long as each takes no more than `rate` (ticks on
    diameter), the largest local size then is at most `largest`, the gauge's error counted at the
    stated risk. `basis`: a multiple of the fastest pace of the same stones, seen in so many
    `steps` of the log; what is common practice; or what is left to the highest size.
    """

    kind: Literal["condition"] = "condition"
    count: Count
    rate: float = Field(gt=0)
    basis: Basis
    steps: Count = 0
    largest: Length


class NoStrokes(Record):
    """Why not one stroke is advised. `risk_of_one` is that of passing the highest size with one,
    `limit` what it may be, where they are the reason; `again` how many more readings of the whole
    bore would permit one."""

    kind: Literal["no strokes"] = "no strokes"
    why: NoHoning
    risk_of_one: float | None = None
    limit: float | None = None
    again: Count = 0


OnWhat = Annotated[StatedRisk | FirstStrokes | NoStrokes, Field(discriminator="kind")]


class HoneState(Record):
    """Where one cylinder stands and what to do next.

    `stop` is the finish size that `pick` and the machining plan stop at (for the smallest and the
    largest piston of a tolerance), `dial_stop` what the gauge as zeroed reads there at 20 °C.
    `lowest`, `highest` are the permitted finish sizes of the plan, `local_low`, `local_high`
    the single readings that the half-width of its route leaves around them; `dial_low`, `dial_high`
    are what the gauge as zeroed shows there on the bore as warm as at the last check, `dial_cool`
    what on the bore at 20 °C, where it was not. `now` is the bore as it stands: the last check,
    with every reading of it since it was last honed.
    `next_count` is how many strokes may be taken before the next check; there is no advice without
    it, nor without what it is `based_on`: a stated risk, a stated condition, or why it is none.
    `risk_before` is the stated risk of the passes so far together. A `question` that is not empty
    asks for what the log does not say.
    """

    cylinder: str
    stop: Range
    dial_stop: Range | None = None
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
    now: HoneCheck
    form: BoreForm
    trend: Trend
    rate: RemovalRate | None = None
    advice: Advice
    next_count: Count
    based_on: OnWhat
    risk_before: float = Field(ge=0)
    question: str = ""
    sentence: str = Field(min_length=1)
    cautions: tuple[str, ...] = ()

    @model_validator(mode="after")
    def _count_fits_what_it_is_based_on(self) -> HoneState:
        told = self.based_on
        fits = (
            self.next_count == 0
            if isinstance(told, NoStrokes)
            else self.next_count == told.count
            if isinstance(told, FirstStrokes)
            else self.next_count > 0
        )
        if not fits:
            raise ValueError("the strokes advised are not those that the risk was stated for")
        return self

    @property
    def first(self) -> FirstStrokes | None:
        """The condition, where the strokes advised rest on one."""
        return self.based_on if isinstance(self.based_on, FirstStrokes) else None


class HoneAnswer(BoreDocument):
    """What `hone` answers. `risk` is that of passing the highest size, for all passes of a bore
    together. `repick` is what is now possible where a bore came out too large.

    `other_parts` is a plan without the parts that the job pins, where with them nothing fits.
    """

    schema_version: int = HONE_SCHEMA
    log: str
    risk: float
    cylinders: tuple[HoneState, ...]
    repick: Answer | None = None
    other_parts: Answer | None = None
    cautions: tuple[str, ...] = ()
