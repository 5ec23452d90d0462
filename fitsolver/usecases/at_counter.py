"""The verb `counter` on records: every size of the shelf, for bores with one known size.

Each plan equals that of `pick` for the same job and the parts of that size, and is checked without
the solver. Sizes excluded by arithmetic need no search.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from fitsolver.base.lengths import TICKS_PER, Unit, format_length
from fitsolver.choices.asked import question
from fitsolver.doubts.set_aside import left_out_of
from fitsolver.fits.availability import for_sale as pieces_for_sale
from fitsolver.fits.route_cut import takes_material
from fitsolver.metrology.materials import is_plated
from fitsolver.picking.ready import made_ready
from fitsolver.planning.cautions import PLATED
from fitsolver.records.base import Level
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.counter import (
    CounterAnswer,
    CounterBore,
    CounterLine,
    IfLarger,
)
from fitsolver.records.heading import parts_head
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import Plan
from fitsolver.records.words import LEVEL_WORDS, size_words
from fitsolver.usecases.catalogue_review import review
from fitsolver.usecases.counter_misses import NO_MISS, Miss, miss
from fitsolver.usecases.counter_plans import (
    best_plan,
    for_sale,
    larger,
    of_size,
    same_plan,
    sizes_of,
    summed_up,
)

#: The enlargement of the bores for the second answer.
LARGER: Final = TICKS_PER["mm"] * 2 // 100
#: Advantage on each level, in a shop's words.
_WORDS: Final[dict[Level, str]] = {
    "largest_removal": "less metal off",
    "total_removal": "less metal off all bores together",
    "filing": "less to file off the rings",
    "price": "cheaper",
    "days": "sooner, in days",
}


def at_counter(
    job: Job, catalogue: Catalogue, *, kits_only: bool = False, in_stock: bool = False
) -> CounterAnswer:
    """Return what to sell for a job's bores: the best plan, and one for every size of the shelf.

    Parts in hand and pins are ignored. `kits_only`: parts contained in a kit are sold in kits only;
    `in_stock`: only stocked parts. Raises InputError as `decide` does, CheckError when the check of
    a plan disagrees.
    """
    asked = _without_own_parts(job)
    shop = for_sale(catalogue, kits_only=kits_only, in_stock=in_stock)
    ready = made_ready(asked, catalogue).job
    best = best_plan(ready, shop)
    plans = [_of_size(ready, shop, nominal, best) for nominal, _ in sizes_of(shop.pistons)]
    misses = _misses(ready, shop, plans)
    lines = tuple(_lines(ready, shop, plans, misses, best))
    as_made = next((told.as_made for told in reversed(misses) if told.as_made), "")
    return CounterAnswer(
        **parts_head(job, catalogue),
        family=catalogue.family,
        standard_bore=catalogue.standard_bore,
        currency=catalogue.currency,
        finishing=job.finishing,
        kits_only=kits_only,
        in_stock=in_stock,
        status="nothing fits" if best is None else "proven best",
        question=question(asked, catalogue),
        bores=tuple(_bores(job, catalogue)),
        advised=None if best is None else summed_up(ready, shop, best),
        why="; ".join(filter(None, (_why(lines, plans, best, job.unit), as_made))),
        lines=lines,
        larger=_if_larger(asked, catalogue, shop, best),
        no_work=_without_work(ready, catalogue),
        set_aside=len(catalogue.set_aside),
        doubted=left_out_of(catalogue),
        look_up=tuple(_look_up(catalogue, plans, best)),
        measure=tuple(_measure(ready, shop, best)),
        left_open=tuple(_left_open(job)),
        warnings=(PLATED,) if any(is_plated(c.material) for c in job.cylinders) else (),
    )


def _without_own_parts(job: Job) -> Job:
    cylinders = tuple(
        cylinder.without_parts().model_copy(update={"route": None}) for cylinder in job.cylinders
    )
    return job.model_copy(update={"cylinders": cylinders, "in_hand": ()})


def _of_size(job: Job, shop: Catalogue, nominal: int, best: Plan | None) -> Plan | None:
    """Return the plan with pistons of one size; the overall best plan where it uses only these."""
    if best is not None and {item.nominal_bore for item in best.cylinders} == {nominal}:
        return best
    parts = of_size(shop, nominal)
    sold = pieces_for_sale(parts)
    if sum(sold[part.number] for part in parts.pistons) < len(job.cylinders):
        return None
    return best_plan(job, parts)


def _misses(job: Job, shop: Catalogue, plans: Sequence[Plan | None]) -> list[Miss]:
    """Return what is in the way of each size; of one with a plan nothing."""
    return [
        NO_MISS if plan is not None else miss(job, of_size(shop, nominal))
        for (nominal, _), plan in zip(sizes_of(shop.pistons), plans, strict=True)
    ]


def _lines(
    job: Job,
    shop: Catalogue,
    plans: Sequence[Plan | None],
    misses: Sequence[Miss],
    best: Plan | None,
) -> Iterator[CounterLine]:
    sizes = sizes_of(shop.pistons)
    for (nominal, oversize), plan, told in zip(sizes, plans, misses, strict=True):
        yield CounterLine(
            oversize=oversize,
            nominal_bore=nominal,
            advised=plan is not None and plan is best,
            plan=None if plan is None else summed_up(job, shop, plan),
            cylinder=told.cylinder,
            work=told.work,
            short=told.short,
            sentence=told.sentence,
        )


def _bores(job: Job, catalogue: Catalogue) -> Iterator[CounterBore]:
    made = [nominal for nominal, _ in sizes_of(catalogue.pistons)]
    for cylinder in job.cylinders:
        size = _largest(cylinder)
        yield CounterBore(
            cylinder=cylinder.name,
            size=size,
            over=size - catalogue.standard_bore,
            between=(
                max((one for one in made if one <= size), default=None),
                min((one for one in made if one > size), default=None),
            ),
        )


def _largest(cylinder: Cylinder) -> int:
    return max((reading.size for reading in cylinder.readings), default=cylinder.finished_size or 0)


def _why(
    lines: Sequence[CounterLine], plans: Sequence[Plan | None], best: Plan | None, unit: Unit
) -> str:
    """Return the first figure by which the best plan precedes the next one."""
    if not lines:
        return "every size of this family is left out as doubted"
    if best is None:
        return "each line says what is in the way"
    others = [
        (line, plan)
        for line, plan in zip(lines, plans, strict=True)
        if plan is not None and plan is not best
    ]
    if not others:
        if len(lines) == 1:
            return "no other size is for sale"
        mixed = len({item.nominal_bore for item in best.cylinders}) > 1
        return "no size fits all bores" if mixed else "no other size fits"
    line, second = min(others, key=lambda item: _rank(item[1]))
    size = size_words(line.oversize, unit)
    for own, other in zip(best.objective, second.objective, strict=True):
        if own.value != other.value and own.level != "part_number":
            values = (_value(own.level, one, unit) for one in (own.value, other.value))
            words = _WORDS.get(own.level, LEVEL_WORDS[own.level])
            return "{}: {} here, {} with {}".format(words, *values, size)
    return f"it is as good as {size}, and its part numbers come first"


def _rank(plan: Plan) -> list[int]:
    return [item.value for item in plan.objective if item.level != "part_number"]


def _value(level: str, value: int, unit: Unit) -> str:
    if level in ("largest_removal", "total_removal", "filing"):
        return format_length(value, unit, "up")
    return f"{value / 100:.2f}" if level == "price" else str(value)


def _if_larger(asked: Job, catalogue: Catalogue, shop: Catalogue, best: Plan | None) -> IfLarger:
    ready = made_ready(larger(asked, LARGER), catalogue).job
    plan = best_plan(ready, shop)
    told = None if plan is None else summed_up(ready, shop, plan)
    own = None if best is None else summed_up(ready, shop, best)
    return IfLarger(by=LARGER, plan=told, same=same_plan(own, told))


def _without_work(job: Job, catalogue: Catalogue) -> str:
    """Return the material of bores that no route of the shop cuts; "": none."""
    cuts = [route for route in catalogue.routes if route.machined]
    materials = dict.fromkeys(cylinder.material for cylinder in job.cylinders)
    left = [m for m in materials if not any(takes_material(route, m) for route in cuts)]
    return ", ".join(left)


def _look_up(
    catalogue: Catalogue, plans: Sequence[Plan | None], best: Plan | None
) -> Iterator[str]:
    """Yield each doubt about the parts, kits and routes in the plans once."""
    taken = {name for plan in (*plans, best) if plan is not None for name in _taken(plan)}
    if not taken:
        return
    said: dict[str, list[str]] = {}
    for doubt in review(catalogue).doubtful:
        if doubt.number in taken and doubt.seriousness != "note":
            said.setdefault(doubt.sentence, []).append(doubt.number)
    for sentence, numbers in said.items():
        others = f" and {len(numbers) - 1} more" if len(numbers) > 1 else ""
        yield f"{numbers[0]}{others}: {sentence}"


def _taken(plan: Plan) -> Iterator[str]:
    """Yield the numbers and routes that a plan takes."""
    yield from (line.number for line in plan.order)
    for item in plan.cylinders:
        yield item.piston.number
        yield item.route
        yield from (ring.number for ring in item.rings)


def _measure(job: Job, shop: Catalogue, best: Plan | None) -> Iterator[str]:
    """Yield what to measure before anything is ordered."""
    if best is None:
        return
    told = summed_up(job, shop, best)
    serve = [item.serves_to for item in told.cylinders if item.serves_to is not None]
    largest = max((_largest(cylinder) for cylinder in job.cylinders), default=0)
    if len(told.cylinders) == 1 and serve and serve[0] >= largest:
        most = format_length(serve[0], job.unit, "down")
        yield f"the bore at three depths on two axes: these parts serve up to {most}"
    else:
        yield "each bore at three depths on two axes: the largest reading decides"
    if any(not item.skirt.known for item in best.cylinders):
        yield "the piston's skirt when it is here, before the last pass"


def _left_open(job: Job) -> Iterator[str]:
    """Yield what one size for each bore cannot tell."""
    if all(len({r.size for r in c.readings}) < 2 for c in job.cylinders):
        yield "out-of-round"
        yield "taper"
    if not any(c.outside_zone or c.unworn for c in job.cylinders):
        yield "the unworn reference"
    if not any(c.scratch for c in job.cylinders):
        yield "scratches"
