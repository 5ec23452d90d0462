"""How firm a pick is: the smallest changes that alter its parts or routes."""

from __future__ import annotations

from typing import Final, Literal

from fitsolver.records.base import FitName, Length, Record
from fitsolver.records.heading import PartsDocument
from fitsolver.records.plan import Status
from fitsolver.records.windows import Window

FIRM_SCHEMA: Final = 1

Changed = Literal["largest reading", "lowest edge", "highest edge", "skirt tolerance"]


class Picked(Record):
    """What is picked for one cylinder; a part with its piece in brackets where it has one."""

    cylinder: str
    piston: str
    rings: tuple[str, ...] = ()
    gaskets: tuple[str, ...] = ()
    route: str


class Margin(Record):
    """How far one figure may go before the pick changes, and to what (ticks).

    `value` is the figure as it is: the reading, the window's edge, the width of the skirt's
    range. `margin` is the smallest change found that alters the pick: a reading so much
    larger (or `smaller`), an edge so much further in, a skirt so much more on each side; None
    where nothing tried up to `reach` does. `becomes` are the cylinders picked differently then;
    `no_plan` tells that nothing fits. `uncertainty` is the standard uncertainty of the figure.
    """

    what: Changed
    cylinders: tuple[str, ...]
    fit: FitName | None = None
    groove: int | None = None
    part: str = ""
    depth: Length | None = None
    angle: int | None = None
    smaller: bool = False
    source: str = ""
    value: Length
    margin: Length | None
    reach: Length
    becomes: tuple[Picked, ...] = ()
    no_plan: bool = False
    uncertainty: float | None = None
    measure_again: bool = False


class FirmAnswer(PartsDocument):
    """What `firm` answers; without margins where the job has no proven plan."""

    schema_version: int = FIRM_SCHEMA
    status: Status
    picked: tuple[Picked, ...] = ()
    margins: tuple[Margin, ...] = ()
    cautions: tuple[str, ...] = ()


class Narrowed(Window):
    """A window with one edge moved inwards by whole ticks.

    `of_kept`: the edge is the service limit, which holds for kept parts alone.
    """

    raised: Length = 0
    lowered: Length = 0
    of_kept: bool = False

    def stated(self, nominal_bore: int, *, kept: bool = False) -> tuple[int | None, int | None]:
        low, high = super().stated(nominal_bore, kept=kept)
        own_low = kept and self.service_low is not None
        own_high = kept and self.service_high is not None
        return (
            low if low is None or own_low != self.of_kept else low + self.raised,
            high if high is None or own_high != self.of_kept else high - self.lowered,
        )
