"""Invented shops of any size from a seed: one engine family, a shelf from loose to scarce.

Sizes repeat as in a real trade: pistons in oversizes and grades, rings of two grooves in the same
oversizes. Cylinders of a job take one size and matched masses. Some sizes can be ordered, but
not in time for every job.
"""

from __future__ import annotations

from random import Random

from fitsolver.base.lengths import TICKS_PER
from fitsolver.records.allotment import Shop, ShopJob, StockLine
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Groove, Kit, KitItem, Piston, Ring, Route
from fitsolver.records.job import Cylinder, Job, MassMatch, SameSize, Terms
from fitsolver.records.readings import Reading
from fitsolver.records.windows import Window

MM, UM = TICKS_PER["mm"], TICKS_PER["um"]
BORE = 80 * MM
OVERSIZES = (0, MM // 4, MM // 2, 3 * MM // 4, MM, 5 * MM // 4, 3 * MM // 2)
GRADES, RINGS = 8, 2

ROUTES = (
    Route(
        name="finish hone",
        kind="finish hone",
        min_cut=10 * UM,
        max_cut=80 * UM,
        half_width=3 * UM,
        cost=2500,
        days=1,
    ),
    Route(
        name="rough and finish hone",
        kind="rough and finish hone",
        min_cut=20 * UM,
        max_cut=400 * UM,
        half_width=4 * UM,
        cost=4000,
        days=2,
    ),
    Route(
        name="bore and hone",
        kind="bore and hone",
        min_cut=100 * UM,
        half_width=5 * UM,
        cost=6000,
        days=3,
    ),
)
WINDOWS = (
    Window(fit="clearance", low=40 * UM, high=80 * UM),
    Window(fit="end_gap", low=30 * MM // 100, high=65 * MM // 100),
    Window(fit="side_clearance", low=20 * UM, high=90 * UM),
)


def shop(jobs: int, seed: int = 1, plenty: float = 1.0) -> Shop:
    """Return a shop of so many jobs; `plenty` is the shelf against what all jobs together need."""
    dice = Random(seed)
    catalogue = _catalogue(dice)
    entries = tuple(_job(dice, index) for index in range(jobs))
    cylinders = sum(len(entry.job.cylinders) for entry in entries)
    return Shop(
        name=f"invented shop of {jobs} jobs, seed {seed}",
        jobs=entries,
        catalogues=(catalogue,),
        shelf=tuple(_shelf(dice, catalogue, plenty * cylinders)),
    )


def with_kits(one: Shop, seed: int = 1) -> Shop:
    """Return the shop with kits: a piston and its two rings, or two of each, cheaper than singly.

    Some are on the shelf, some can be ordered.
    """
    dice = Random(seed)
    (catalogue,) = one.catalogues
    kits = []
    for piston in catalogue.pistons:
        rings = [r for r in catalogue.rings if r.gauge_diameter == piston.nominal_bore]
        pair = [dice.choice([r for r in rings if g in r.grooves]) for g in (1, 2)]
        count = dice.choice((1, 1, 2))
        full = (piston.price or 0) + sum(ring.price or 0 for ring in pair)
        kits.append(
            Kit(
                number=f"K{piston.number}",
                contents=tuple(
                    KitItem(number=part.number, count=count) for part in (piston, *pair)
                ),
                price=count * full * dice.randrange(80, 105) // 100,
                lead_days=dice.choice((None, None, 4, 8)),
            )
        )
    shelf = [*(one.shelf or ()), *(_line(kit.number, dice) for kit in kits)]
    return one.model_copy(
        update={
            "catalogues": (catalogue.model_copy(update={"kits": tuple(kits)}),),
            "shelf": tuple(shelf),
        }
    )


def _line(number: str, dice: Random) -> StockLine:
    return StockLine(number=number, count=dice.choice((0, 0, 1, 1, 2)))


def families(
    count: int, jobs: int, seed: int = 1, plenty: float = 1.0, *, kits: bool = False
) -> Shop:
    """Return a shop of several engine families, so many jobs each, that share no part."""
    each = [shop(jobs, seed + number, plenty) for number in range(count)]
    if kits:
        each = [with_kits(one, seed + number) for number, one in enumerate(each)]
    return Shop(
        name=f"invented shop of {count} families",
        jobs=tuple(
            _renamed(entry, number) for number, one in enumerate(each) for entry in one.jobs
        ),
        catalogues=tuple(_numbered(one.catalogues[0], number) for number, one in enumerate(each)),
        shelf=tuple(
            line.model_copy(update={"number": f"F{number}-{line.number}"})
            for number, one in enumerate(each)
            for line in one.shelf or ()
        ),
    )


def _renamed(entry: ShopJob, number: int) -> ShopJob:
    job = entry.job.model_copy(update={"name": f"{entry.job.name} of family {number}"})
    return entry.model_copy(update={"job": job, "catalogue": number})


def _numbered(catalogue: Catalogue, number: int) -> Catalogue:
    def parts(kind: str) -> tuple[Piston | Ring, ...]:
        rows = getattr(catalogue, kind)
        return tuple(row.model_copy(update={"number": f"F{number}-{row.number}"}) for row in rows)

    def own(kit: Kit) -> Kit:
        contents = tuple(
            item.model_copy(update={"number": f"F{number}-{item.number}"}) for item in kit.contents
        )
        return kit.model_copy(update={"number": f"F{number}-{kit.number}", "contents": contents})

    changed: dict[str, tuple[Piston | Ring | Kit, ...]] = {
        kind: parts(kind) for kind in ("pistons", "rings")
    }
    changed["kits"] = tuple(map(own, catalogue.kits))
    return catalogue.model_copy(update={"name": f"invented {number}", **changed})


def _shelf(dice: Random, catalogue: Catalogue, pieces: float) -> list[StockLine]:
    """Spread so many pistons, and rings for each groove, over the numbers, unevenly."""
    found = []
    for parts in (
        [p.number for p in catalogue.pistons],
        [r.number for r in catalogue.rings if 1 in r.grooves],
        [r.number for r in catalogue.rings if 2 in r.grooves],
    ):
        weights = [dice.uniform(0.2, 1.8) for _ in parts]
        scale = pieces / sum(weights)
        found += [
            StockLine(number=number, count=round(weight * scale))
            for number, weight in zip(parts, weights, strict=True)
        ]
    return found


def _catalogue(dice: Random) -> Catalogue:
    return Catalogue(
        name="invented",
        family="bench",
        standard_bore=BORE,
        pistons=tuple(
            _piston(dice, step, grade) for step in range(len(OVERSIZES)) for grade in range(GRADES)
        ),
        rings=tuple(
            _ring(dice, groove, step, kind)
            for groove in (1, 2)
            for step in range(len(OVERSIZES))
            for kind in range(RINGS)
        ),
        routes=ROUTES,
    )


def _piston(dice: Random, step: int, grade: int) -> Piston:
    oversize = OVERSIZES[step]
    skirt = BORE + oversize - 70 * UM + grade * 4 * UM
    groove = Range(low=2 * MM + 30 * UM, high=2 * MM + 45 * UM)
    return Piston(
        number=f"P{step}{grade}",
        oversize=oversize,
        nominal_bore=BORE + oversize,
        skirt=Range(low=skirt, high=skirt + 4 * UM),
        grooves=(Groove(number=1, width=groove), Groove(number=2, width=groove)),
        mass=250_000 + dice.randrange(0, 5) * 1_000 + oversize // 100,
        mass_tolerance=500,
        price=100 * dice.randrange(40, 90),
        lead_days=dice.choice((None, None, 6, 12)),
    )


def _ring(dice: Random, groove: int, step: int, kind: int) -> Ring:
    gap = (20 + 8 * kind) * MM // 100
    return Ring(
        number=f"R{groove}{step}{kind}",
        grooves=(groove,),
        gauge_diameter=BORE + OVERSIZES[step],
        gap=Range(low=gap, high=gap + 12 * MM // 100),
        width=Range(low=2 * MM - 20 * UM, high=2 * MM),
        file_most=40 * MM // 100,
        seat_over=30 * MM // 100,
        price=100 * dice.randrange(6, 20),
        lead_days=dice.choice((None, None, 6, 12)),
    )


def _job(dice: Random, index: int) -> ShopJob:
    names = tuple(str(at + 1) for at in range(dice.choice((1, 2, 2, 3, 4, 4, 4))))
    worn = BORE + dice.randrange(0, 125) * MM // 100
    job = Job(
        name=f"job {index + 1}",
        finishing="set size",
        cylinders=tuple(_cylinder(dice, name, worn) for name in names),
        windows=WINDOWS,
        same_size=(SameSize(cylinders=names),) if len(names) > 1 else (),
        mass_match=(MassMatch(cylinders=names, limit=4_000),) if len(names) > 1 else (),
        terms=Terms(needed_in_days=dice.choice((None, 5, 9, 14))),
    )
    return ShopJob(job=job, priority=dice.choice((1, 2, 3, None)))


def _cylinder(dice: Random, name: str, worn: int) -> Cylinder:
    top = worn + dice.randrange(0, 60) * UM
    readings = tuple(
        Reading(depth=depth * MM, angle=angle, size=top - dice.randrange(0, 40) * UM)
        for depth in (10, 40, 80)
        for angle in (0, 90)
    )
    return Cylinder(name=name, material="iron", readings=readings)
