"""A catalogue: pistons, rings, gaskets and kits that can be had, and the shop's routes."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from fitsolver.base.lengths import Unit
from fitsolver.records.base import Count, Days, Length, Mass, Money, Range, Record
from fitsolver.records.doubts import Doubt
from fitsolver.records.windows import Window

RouteKind = Literal[
    "as is", "glaze-break", "finish hone", "rough and finish hone", "bore and hone", "restore"
]


class Sold(Record):
    """What every article has: a number, a price, pieces on the shelf and a lead time.

    `price` None: not sold singly (only inside a kit). `lead_days` None: cannot be ordered,
    only what is on the shelf can be had. `least_order` is the fewest that are sold in one order.
    """

    number: str = Field(min_length=1)
    price: Money | None = None
    stock: Count = 0
    lead_days: Days | None = None
    least_order: int = Field(default=1, ge=1)


class Groove(Record):
    """One ring groove, counted from the crown: width, and depth where known."""

    number: int = Field(ge=1)
    width: Range
    depth: Length | None = None


class Piston(Sold):
    """A piston of one oversize and grade.

    `nominal_bore` is the bore it is made for: standard bore plus oversize. `skirt` is the
    skirt size at `gauge_height`, across the pin. `stated` names the windows that its maker states
    (`Catalogue.windows`).
    """

    oversize: Length
    nominal_bore: Length = Field(gt=0)
    skirt: Range
    grade: str = ""
    gauge_height: Length | None = None
    pin_diameter: Length | None = None
    compression_height: Range | None = None
    grooves: tuple[Groove, ...] = ()
    mass: Mass | None = None
    mass_tolerance: Mass = 0
    alloy: str = ""
    stated: tuple[str, ...] = ()


class Ring(Sold):
    """A piston ring: its gap in a bore of its gauge diameter, and how far it may be filed.

    `file_most` 0 = must not be filed. `seat_over` is the largest amount by which the gauge
    diameter may exceed the bore (None = no limit given). `stated` as with a piston.
    """

    grooves: tuple[int, ...] = Field(min_length=1)
    gauge_diameter: Length = Field(gt=0)
    gap: Range
    width: Range
    radial_depth: Length | None = None
    file_most: Length = Field(default=0, ge=0)
    seat_over: Length | None = None
    alloy: str = ""
    stated: tuple[str, ...] = ()


class Gasket(Sold):
    """A gasket: `compressed` is its thickness once clamped (thickness less crush)."""

    place: str
    thickness: Length = Field(gt=0)
    crush: Length = Field(ge=0)
    compressed: Range


class KitItem(Record):
    number: str
    count: int = Field(ge=1)


class Kit(Sold):
    """Several parts under one number."""

    contents: tuple[KitItem, ...] = Field(min_length=1)


class Route(Record):
    """How a bore is brought to size in this shop.

    `min_cut` and `max_cut` are on diameter; `half_width` is how far local sizes may lie
    from the finish size. `restored_bore` is the bore a restore route starts from.
    """

    name: str = Field(min_length=1)
    kind: RouteKind
    min_cut: Length = Field(default=0, ge=0)
    max_cut: Length | None = None
    half_width: Length = Field(default=0, ge=0)
    materials: tuple[str, ...] = ()
    cost: Money = 0
    days: Days = 0
    restored_bore: Length | None = None

    @property
    def machined(self) -> bool:
        return self.kind != "as is"


AS_IS = Route(name="as is", kind="as is")


class Stage(Record):
    """One stage of a route, in the order of the work.

    `leaves` is what it leaves on diameter for the stages after it, lowest and highest (0 after
    the last). `half_width` is how far local sizes may lie from the size it goes to (None = not
    known; the last stage holds the route's own).
    """

    route: str
    name: str = Field(min_length=1)
    leaves: Range
    half_width: Length | None = None


RowKind = Literal["piston", "ring", "gasket", "kit", "route"]


class SetAside(Record):
    """A row that is left out because it is doubted, kept as it was so that it can be put back.

    `at` is its position in its table.
    """

    doubt: Doubt
    kind: RowKind
    part: Piston | Ring | Gasket | Kit | Route
    at: Count

    @property
    def number(self) -> str:
        """Its part number, or the route's name."""
        return self.part.name if isinstance(self.part, Route) else self.part.number


class OldNumber(Record):
    """A part number that another stands for: it `replaces` it, or is the `same` part.

    `stock` are the pieces on the shelf that still carry the old number; `now` may be an old number
    itself.
    """

    number: str
    now: str
    how: Literal["replaced", "same"]
    stock: Count = 0


class StatedWindow(Record):
    """A window that the maker of parts states for them, for one use or for all.

    The parts name it, as `window.part`, among what they have `stated`. `use` empty: for every use
    that the maker states nothing else for.
    """

    window: Window
    use: str = ""


class Catalogue(Record):
    """One family of parts and the routes of one shop.

    `windows` are those that makers state for their own parts. `old_numbers` are those that other
    numbers stand for; the stock of both is that of the part. `only_stock`: the list says that
    nothing can be ordered but what has a lead time of its own. `set_aside` are the rows that no
    plan may choose: those that are doubted and not accepted.
    """

    name: str
    family: str
    standard_bore: Length = Field(gt=0)
    unit: Unit = "mm"
    currency: str = ""
    note: str = ""
    fingerprint: str = ""
    pistons: tuple[Piston, ...] = ()
    rings: tuple[Ring, ...] = ()
    gaskets: tuple[Gasket, ...] = ()
    kits: tuple[Kit, ...] = ()
    routes: tuple[Route, ...] = ()
    stages: tuple[Stage, ...] = ()
    windows: tuple[StatedWindow, ...] = ()
    old_numbers: tuple[OldNumber, ...] = ()
    only_stock: bool = False
    set_aside: tuple[SetAside, ...] = ()

    @property
    def current(self) -> dict[str, str]:
        """The number that stands for each old number now."""
        step = {old.number: old.now for old in self.old_numbers}
        found = {}
        for number, following in step.items():
            now = following
            while now in step:
                now = step[now]
            found[number] = now
        return found

    @property
    def shop_routes(self) -> tuple[Route, ...]:
        """The routes; leaving a bore as it is always is one of them."""
        if any(not route.machined for route in self.routes):
            return self.routes
        return (AS_IS, *self.routes)
