"""The answer: a proven plan, or why nothing fits."""

from __future__ import annotations

from typing import Final, Literal

from pydantic import Field

from fitsolver.base.lengths import Unit
from fitsolver.records.base import (
    Count,
    FitName,
    Length,
    Level,
    Mass,
    Money,
    Owner,
    Range,
    Record,
    RuleId,
    Volume,
)
from fitsolver.records.budget import Correction
from fitsolver.records.floors import floor_of
from fitsolver.records.form import BoreForm, NextReading
from fitsolver.records.heading import JobDocument
from fitsolver.records.job import Finishing
from fitsolver.records.measuring import Decision, Temperature

ANSWER_SCHEMA: Final = 1

Status = Literal["proven best", "best found", "nothing fits", "undecided"]
Source = Literal["in hand", "stock", "order"]
#: What stated odds hold of: the whole bore, or only the places where it was read.
OddsOf = Literal["whole bore", "places read"]


class Fit(Record):
    """One fit against its window (ticks).

    `low`, `high` are the window's stated edges, `guard` is given up on each side; `least`
    and `most` are the lowest and highest value to expect. A slack is how far the expected
    value stays inside the guarded edge; None where the window has no edge on that side.
    `filed` is how much the tightest supplied ring is opened by filing. Where the job states
    its instruments, `uncertainty` is the standard uncertainty (ticks) and `probability` that
    of the true value lying inside the stated window, at the ends of the expected range; of a
    bore that is left as it is, how far the true least and most are expected to lie beyond what
    was read is `beyond_low` and `beyond_high` (ticks, negative = below it), which `least` and
    `most` leave out. `source` is the sheet that the window names; `owner` says who states the
    window, the job, its family sheet or the shop, and is empty where none of them does.
    For `port_timing` (of `port`) and `compression` all figures are thousandths of a degree of
    crank and of the ratio, the least rounded down and the most up.
    """

    fit: FitName
    part: str = ""
    groove: int | None = None
    port: str = ""
    low: Length | None
    high: Length | None
    guard: Length = 0
    least: Length
    most: Length
    slack_low: Length | None
    slack_high: Length | None
    filed: Length = 0
    uncertainty: float | None = None
    beyond_low: float | None = None
    beyond_high: float | None = None
    probability: float | None = None
    service: bool = False
    source: str = ""
    owner: Owner = ""

    @property
    def said_by(self) -> str:
        """Who says the window, for notes: the sheet named, and whose figure it is but the job's."""
        of = "" if self.owner == "job" else self.owner
        return ": ".join(filter(None, (of, self.source)))

    @property
    def short_of_floor(self) -> int:
        """By how much (ticks) the least value is below what physics permits; 0 where it is not."""
        floor = floor_of(self.fit, self.low)
        return 0 if floor is None else max(0, floor - self.least)

    @property
    def in_window(self) -> bool:
        return all(slack is None or slack >= 0 for slack in (self.slack_low, self.slack_high))

    @property
    def holds(self) -> bool:
        """Whether it keeps its window, and what physics permits with a window or without."""
        return self.in_window and not self.short_of_floor


class HotFit(Record):
    """A running fit, reported and warned about when not positive; never a rule."""

    what: Literal["clearance", "end_gap"]
    groove: int | None = None
    least: Length


class Aim(Record):
    """A finish above the plan's (ticks on diameter), and how likely all fits conform there.

    `more` is the metal that it takes besides; `aim`, in the clearance window, plans it so.
    """

    more: Length
    aim: Length
    probability: float


class ChosenPart(Record):
    """One part in its place. `piece` tells a measured piece in hand from the catalogue part."""

    number: str
    piece: str = ""
    kept: bool = False

    @property
    def named(self) -> str:
        """The number, with the piece where it is one in hand."""
        return self.number + (f" ({self.piece})" if self.piece else "")

    @property
    def marked(self) -> str:
        """The same, and whether the piece is kept."""
        marks = [mark for mark in (self.piece, "kept" if self.kept else "") if mark]
        return f"{self.number} ({', '.join(marks)})" if marks else self.number


class ChosenRing(ChosenPart):
    groove: int
    filing: Length = Field(description="most to be filed from the tightest supplied ring, in ticks")


class ChosenGasket(Record):
    number: str
    place: str
    count: int = Field(ge=1)


class LargerSize(Record):
    """A larger size of the catalogue and how far its nominal bore lies above the finish.

    `usable`: a later rebuild can use it (docs/decision.md, 'Larger sizes left').
    """

    oversize: Length
    nominal_bore: Length
    metal_to_it: Length
    within_limit: bool
    usable: bool = True


class PortOpening(Record):
    """When the crown uncovers a port's upper edge (thousandths of a degree after top dead centre).

    `before` is with the old parts, and the shift is what is added to it; None = not known.
    """

    port: str
    least: int
    most: int
    before: int | None
    shift_least: int | None
    shift_most: int | None


class CompressionRatio(Record):
    """Compression ratio with the chosen parts and before, in thousandths."""

    least: int
    most: int
    least_before: int
    most_before: int


class StackEffect(Record):
    """What gaskets and compression height do besides the squish; reported, never a rule.

    `deck` is how far the crown lies below the cylinder's top face at top dead centre (negative:
    above it), `deck_before` the same with the old parts.
    """

    deck: Range
    deck_before: Length | None
    ports: tuple[PortOpening, ...]
    ratio: CompressionRatio | None


class WarmDial(Record):
    """The gauge, as zeroed, on a bore as warm as it was measured.

    Temperatures of the bore and of what the gauge was set in; their expansions in 10**-9 per
    kelvin. `stop` is what it reads at the finish size for the smallest and the largest piston.
    """

    bore: Temperature
    standard: Temperature
    bore_expansion: Count
    standard_expansion: Count
    stop: Range


class CylinderPlan(Record):
    """What is done to one cylinder.

    `finish_small`/`finish_large` are the finish sizes for the smallest and the largest
    piston of the tolerance (equal when one size serves); left as it is they are the
    smallest and largest measured local size. `bore_low`/`bore_high` bound the local sizes
    afterwards. `lowest`/`highest` are the permitted finish sizes for the largest piston
    (for every piston when the bore is finished to a set size), `highest_small` the highest
    for the smallest one; all are None when nothing is machined. Under a displacement limit the
    highest hold with all other cylinders finished as planned. `gauge_height` is where the
    piston's skirt is measured (None where the catalogue does not say).
    `dial_stop` is what the gauge as zeroed reads at the finish size at 20 °C, `warm_dial` what on
    the warm bore, where the job states temperatures; `dial_on_piston` what
    it reads when zeroed on the new piston (least, most).
    """

    cylinder: str
    piston: ChosenPart
    skirt: Range
    gauge_height: Length | None = None
    oversize: Length
    nominal_bore: Length
    rings: tuple[ChosenRing, ...]
    gaskets: tuple[ChosenGasket, ...]
    route: str
    machined: bool
    restored: bool
    half_width: Length
    finish_small: Length
    finish_large: Length
    lowest: Length | None
    highest: Length | None
    highest_small: Length | None = None
    bore_low: Length
    bore_high: Length
    removal: Length
    stock_worst: Length | None
    stock_tightest: Length | None
    dial_zero: Length | None
    dial_zero_on_piston: bool = False
    dial_stop: Range | None
    warm_dial: WarmDial | None = None
    dial_on_piston: Range
    fits: tuple[Fit, ...]
    probability: float | None = Field(default=None, description="all fits of it conform at once")
    odds_of: OddsOf | None = Field(default=None, description="what `probability` holds of")
    whole_probability: float | None = Field(
        default=None,
        description="that of the whole bore, were it as bores of its kind are, where `probability` "
        "holds of the places read",
    )
    cut_everywhere: float | None = Field(
        default=None,
        description="of a machined bore: the probability that its smallest finished size lies "
        "above every local size that it has now",
    )
    next_reading: NextReading | None = Field(
        default=None, description="of a bore left as it is, where one more reading tells most"
    )
    surer: Aim | None = Field(
        default=None, description="of a machined bore, where else to aim for better odds"
    )
    hot: tuple[HotFit, ...] = ()
    stack: StackEffect | None = None
    left_to_limit: Length | None
    larger_sizes: tuple[LargerSize, ...] = ()


class OrderLine(Record):
    """One line of the order list."""

    number: str
    what: str
    count: int = Field(ge=1)
    source: Source
    price_each: Money = 0
    price: Money = 0
    days: int = 0


class ObjectiveValue(Record):
    """One level of what is best: its value, the proven bound, and whether they meet.

    Less is better: `rebuilds_left` has the rebuilds that are lost against the most there could be.
    """

    level: Level
    value: int
    bound: int
    proven: bool


class Plan(Record):
    """A whole plan for a job, in one order.

    `rebuilds_left` is the most rebuilds after it in the cylinder with the fewest; None where what
    is best does not name them.
    """

    cylinders: tuple[CylinderPlan, ...]
    order: tuple[OrderLine, ...]
    objective: tuple[ObjectiveValue, ...]
    price: Money
    parts_price: Money
    route_price: Money
    days: int
    displacement: Volume | None = None
    mass_spreads: tuple[Mass, ...] = ()
    rebuilds_left: Count | None = None
    probability: float | None = Field(default=None, description="all fits conform at once")
    odds_of: OddsOf | None = Field(default=None, description="what `probability` holds of")


class Reason(Record):
    """One rule in conflict, in words with figures. `cylinder` empty = the job as a whole."""

    rule: RuleId
    cylinder: str = ""
    sentence: str


class NearMiss(Record):
    """The choice that comes nearest in one cylinder, and by how much it misses."""

    cylinder: str
    piston: str
    route: str
    short_by: Length
    sentence: str


class NoFit(Record):
    """Why nothing fits: rules in conflict, nearest misses, ways left."""

    reasons: tuple[Reason, ...]
    near_misses: tuple[NearMiss, ...] = ()
    ways_left: tuple[str, ...] = ()


class Question(Record):
    """What a proof is about, in words.

    `asked` are the fits held to a window, `not_asked` those that the job leaves open by name or
    that have no window; physical floors hold for these too. `accepted` are the doubts whose
    figures were taken because the job accepts them.
    """

    asked: tuple[str, ...] = ()
    not_asked: tuple[str, ...] = ()
    accepted: tuple[str, ...] = ()


class RowLeftOut(Record):
    """A row of the catalogue that is left out because it is doubted.

    `kits` are those that hold the part and are left out with it; `sentence` tells the doubt,
    `change` what the plan would be with all rows that are left out.
    """

    number: str
    kits: tuple[str, ...] = ()
    sentence: str
    change: str


class Answer(JobDocument):
    """What `pick` answers: the document that `--json` writes.

    `passed_over` are sizes that fit with less removal and cannot be had.
    """

    schema_version: int = ANSWER_SCHEMA
    job_fingerprint: str
    catalogue: str
    catalogue_fingerprint: str
    unit: Unit
    currency: str
    finishing: Finishing
    status: Status
    question: Question = Question()
    passed_over: tuple[str, ...] = ()
    forms: tuple[BoreForm, ...]
    decision: Decision = "plain"
    corrections: tuple[Correction, ...] = ()
    plan: Plan | None = None
    no_fit: NoFit | None = None
    left_out: tuple[RowLeftOut, ...] = ()
    cautions: tuple[str, ...] = ()
