"""What `plan` answers: the route of each cylinder stage by stage. All sizes are on diameter."""

from __future__ import annotations

from typing import Final, Literal

from fitsolver.records.base import Length, Range, Record
from fitsolver.records.form import ShapeName
from fitsolver.records.heading import PartsDocument
from fitsolver.records.job import Finishing
from fitsolver.records.measuring import Temperature
from fitsolver.records.plan import NoFit, Status

STAGES_SCHEMA: Final = 1

#: Which piston of an unmeasured one's tolerance a target is for; "any" = one size for all.
ForPiston = Literal["any", "smallest", "largest"]


class StageCut(Record):
    """One stage: from `start` to `diameter`, the size to aim at.

    `start` is the smallest local size before the first stage, and the stage before's diameter
    after that; `stock` is their difference. `lowest`, `highest` are the permitted diameters
    (None: no rule sets one), the stage's half-width taken off where it is known. `dial` is what
    the gauge as zeroed reads at `diameter`, `dial_on_piston` what it reads zeroed on the new
    piston; None where the zero or the piston's size is not known. Both are at 20 °C; `dial_warm`
    is the first on a bore as warm as it was measured.
    """

    stage: str
    start: Length
    diameter: Length
    stock: Length
    lowest: Length | None
    highest: Length | None
    half_width: Length | None
    dial: Length | None
    dial_on_piston: Length | None
    dial_warm: Length | None = None


class LeftOut(Record):
    """A stage that would take nothing: the bore is already past the size it goes to."""

    stage: str
    diameter: Length


class Target(Record):
    """The stages to one finish size; the stocks add up to `finish` minus `start` exactly."""

    piston: ForPiston
    skirt: Length | None
    start: Length
    finish: Length
    cuts: tuple[StageCut, ...]
    left_out: tuple[LeftOut, ...] = ()


class GoAhead(Record):
    """How far the work may go while the piston is not measured.

    `cuts` are stages to sizes that leave metal for the smallest piston. `serves_both`: the same
    sizes are within what is permitted for the largest one too; else it may ask for the last of
    these stages once more. `waits` are the stages that wait for the piston's size.
    """

    cuts: tuple[StageCut, ...]
    serves_both: bool
    waits: tuple[str, ...]


class DepthStock(Record):
    """Metal at one depth: finish size minus the largest and the smallest local size there."""

    depth: Length
    least: Length
    most: Length


class CylinderStages(Record):
    """The machining plan of one cylinder; nothing to do where it is left as it is.

    `start` is the smallest and largest local size that the work starts from. `depths` is for
    the finish size of the last target; empty for a restored bore and for one without readings.
    """

    cylinder: str
    route: str
    machined: bool
    start: Range
    dial_zero: Length | None
    dial_zero_on_piston: bool
    warm_bore: Temperature | None = None
    targets: tuple[Target, ...] = ()
    ahead: GoAhead | None = None
    shape: ShapeName | None = None
    depths: tuple[DepthStock, ...] = ()
    dwell: tuple[str, ...] = ()


class StagesAnswer(PartsDocument):
    """The document that `plan --json` writes; `cylinders` is empty where there is no plan."""

    schema_version: int = STAGES_SCHEMA
    finishing: Finishing
    status: Status
    cylinders: tuple[CylinderStages, ...] = ()
    no_fit: NoFit | None = None
    cautions: tuple[str, ...] = ()
