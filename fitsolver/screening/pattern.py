"""The meaning of a row in a table of bores: a job of one cylinder, like a given job."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from fitsolver.base.errors import InputError
from fitsolver.choices.asked import question
from fitsolver.choices.current import with_current_numbers
from fitsolver.choices.stated import with_stated
from fitsolver.fits import availability
from fitsolver.records.catalogue import Catalogue, Sold
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.readings import Reading
from fitsolver.records.rules import LIMITS

#: A row states no depth, and no rule needs one.
_DEPTH = 1_000_000


@dataclass(frozen=True)
class Pattern:
    """A job without its bores, and the catalogue for every row."""

    job: Job
    catalogue: Catalogue
    not_asked: tuple[str, ...] = ()

    def row_job(self, largest: int, smallest: int, scratch: int, material: str) -> Job:
        """Return the job of one row: sizes and scratch in ticks."""
        readings = (
            Reading(depth=_DEPTH, angle=0, size=largest),
            Reading(depth=_DEPTH, angle=90, size=smallest),
        )
        changed = {"readings": readings, "scratch": scratch, "material": material}
        bore = self.job.cylinders[0].model_copy(update=changed)
        return self.job.model_copy(update={"cylinders": (bore,)})

    @property
    def material(self) -> str:
        """The material of a row that names none."""
        return self.job.cylinders[0].material


def pattern(like: Job, catalogue: Catalogue) -> Pattern:
    """Return the pattern of a job: its windows, routes, finishing, limits, first cylinder's pins.

    Parts of a single order are left out: readings, terms, parts in hand, gaskets, sets,
    displacement. Raises InputError for a job whose guards come from its measurement, and for
    another order of levels.
    """
    like = with_stated(with_current_numbers(like, catalogue), catalogue)
    first = like.cylinders[0]
    if like.measuring is not None or any(c.temperatures is not None for c in like.cylinders):
        raise InputError(
            "screening takes bores at 20 °C and measuring allowances that the windows state",
            file=like.name,
            field="measuring",
            allowed="a job without it, guard = ... in its windows",
        )
    best = [level for level in like.best if level != "total_removal"]  # equal for one bore
    if best[:3] != ["restored", "largest_removal", "filing"]:
        raise InputError(
            "screening looks at removal first",
            file=like.name,
            field="best",
            found=", ".join(like.best),
            allowed="restored, largest_removal, total_removal, filing, then any order",
        )
    if "rebuilds_left" in like.best:
        raise InputError(
            "screening does not count rebuilds",
            file=like.name,
            field="best",
            found="rebuilds_left",
            allowed="anything else; ladder counts the rebuilds of one job",
        )
    cylinder = Cylinder(
        name=first.name,
        material=first.material,
        windows=first.windows,
        **{limit.key: getattr(first, limit.key) for limit in LIMITS if limit.own},
        routes=first.routes,
        route=first.route,
        piston=first.piston,
        rings=first.rings,
    )
    job = Job(
        name=like.name,
        unit=like.unit,
        finishing=like.finishing,
        cylinders=(cylinder,),
        windows=like.windows,
        use=like.use,
        routes=like.routes,
        engine=like.engine.model_copy(update={"displacement_limit": None, "other_bores": ()}),
        best=like.best,
    )
    return Pattern(job, _enough(catalogue), tuple(_not_asked(job, like, catalogue)))


def _not_asked(job: Job, like: Job, catalogue: Catalogue) -> Iterator[str]:
    """Yield the fits not tested in rows: those without a window, and those left out."""
    yield from question(job, catalogue).not_asked
    if like.cylinders[0].squish is not None:
        yield "squish"


def _enough(catalogue: Catalogue) -> Catalogue:
    """Return the catalogue with each stocked ring available for each of its grooves.

    So the rings of different grooves never compete for the last piece. Rings that can be ordered do
    not compete anyway.
    """
    rings = tuple(
        ring.model_copy(update={"stock": max(ring.stock, len(ring.grooves))})
        if ring.stock and not availability.can_order(ring)
        else ring
        for ring in catalogue.rings
    )
    held = Counter({ring.number: len(ring.grooves) for ring in rings})
    kits = tuple(
        kit.model_copy(
            update={"stock": max(kit.stock, *(held[item.number] for item in kit.contents))}
        )
        if kit.stock and not availability.can_order(kit)
        else kit
        for kit in catalogue.kits
    )
    return catalogue.model_copy(update={"rings": rings, "kits": kits})


def had(catalogue: Catalogue) -> frozenset[str]:
    """Return the available numbers: in stock, to order, or in an available kit."""

    def sold(article: Sold) -> bool:
        return availability.from_stock(article) > 0 or availability.can_order(article)

    single = {a.number for a in (*catalogue.pistons, *catalogue.rings) if sold(a)}
    in_kits = {item.number for kit in catalogue.kits if sold(kit) for item in kit.contents}
    return frozenset(single | in_kits)
