"""The strength of the solver-free check: a plan that holds, with one field changed at a time.

Every change here makes the plan wrong, and the check must say so. What a plan shows beyond
that (permitted sizes, stock, stops of the dial) is held against figures in unit/planning.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import pytest

from fitsolver.base.errors import CheckError
from fitsolver.checking.check import violations
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Finishing, Job
from fitsolver.records.plan import CylinderPlan, Plan

from ..planning.drawn import planned

Named = Iterator[tuple[str, Plan]]


@pytest.mark.parametrize("finishing", ["set size", "piston in hand", "already finished"])
def test_every_wrong_field_is_found(finishing: Finishing) -> None:
    missed: Counter[str] = Counter()
    tried: Counter[str] = Counter()
    for job, catalogue, plan in planned(seed=11, draws=240, finishing=finishing):
        assert violations(job, catalogue, plan) == ()
        for name, wrong in _wrong_plans(job, catalogue, plan):
            tried[name] += 1
            missed[name] += not _found(job, catalogue, wrong)
    assert +missed == Counter()
    assert len(tried) > 35
    assert tried["bore_low"] > 30


def _found(job: Job, catalogue: Catalogue, plan: Plan) -> bool:
    try:
        return bool(violations(job, catalogue, plan))
    except CheckError:
        return True


def _wrong_plans(job: Job, catalogue: Catalogue, plan: Plan) -> Named:
    for index, item in enumerate(plan.cylinders):

        def put(index: int = index, item: CylinderPlan = item, **update: Any) -> Plan:
            cylinders = _replaced(plan.cylinders, index, _changed(item, **update))
            return _changed(plan, cylinders=cylinders)

        yield from _sizes(item, put)
        yield from _parts(catalogue, plan, item, put)
        yield from _fits(item, put)
    yield from _order(plan)
    yield from _totals(plan)


def _sizes(item: CylinderPlan, put: Callable[..., Plan]) -> Named:
    for field in ("bore_low", "bore_high", "finish_small", "finish_large", "removal"):
        for by in (-1, 1):
            yield field, put(**{field: getattr(item, field) + by})
    for field in ("oversize", "nominal_bore", "half_width"):
        yield field, put(**{field: getattr(item, field) + 1})
    yield "skirt", put(skirt=Range(low=item.skirt.low - 1, high=item.skirt.high))
    yield "skirt", put(skirt=Range(low=item.skirt.low, high=item.skirt.high + 1))
    yield "machined", put(machined=not item.machined)
    yield "restored", put(restored=not item.restored)
    for by in (-1, 1):  # the whole bore moved, all its sizes agreeing
        moved = ("bore_low", "bore_high", "finish_small", "finish_large", "removal")
        yield "moved", put(**{field: getattr(item, field) + by for field in moved})


def _parts(catalogue: Catalogue, plan: Plan, item: CylinderPlan, put: Callable[..., Plan]) -> Named:
    listed = {line.number for line in plan.order if line.what != "kit"}
    listed |= {
        content.number
        for kit in catalogue.kits
        if any(line.number == kit.number for line in plan.order)
        for content in kit.contents
    }
    yield "unknown piston", put(piston=_changed(item.piston, number="none"))
    yield "piston kept", put(piston=_changed(item.piston, kept=not item.piston.kept))
    for piston in catalogue.pistons:
        if piston.number not in listed:
            yield "other piston", put(piston=_changed(item.piston, number=piston.number, piece=""))
    yield "unknown route", put(route="none")
    for index, ring in enumerate(item.rings):
        for by in (-1, 1):
            filed = _changed(ring, filing=ring.filing + by)
            yield "filing", put(rings=_replaced(item.rings, index, filed))
        kept = _changed(ring, kept=not ring.kept)
        yield "ring kept", put(rings=_replaced(item.rings, index, kept))
        elsewhere = _changed(ring, groove=ring.groove + 5)
        yield "ring groove", put(rings=_replaced(item.rings, index, elsewhere))
        yield "ring gone", put(rings=_without(item.rings, index))
        yield "ring twice", put(rings=(*item.rings, ring))
        yield "ring too many", put(rings=(*item.rings, elsewhere))
        for other in catalogue.rings:
            if other.number not in listed:
                put_in = _changed(ring, number=other.number, piece="")
                yield "other ring", put(rings=_replaced(item.rings, index, put_in))
    for index, gasket in enumerate(item.gaskets):
        yield "gasket gone", put(gaskets=_without(item.gaskets, index))
        more = _changed(gasket, count=gasket.count + 9)  # no place takes so many
        yield "gaskets more", put(gaskets=_replaced(item.gaskets, index, more))
        elsewhere = _changed(gasket, place="elsewhere")
        yield "gasket place", put(gaskets=_replaced(item.gaskets, index, elsewhere))


def _fits(item: CylinderPlan, put: Callable[..., Plan]) -> Named:
    for index, fit in enumerate(item.fits):
        fields = ["slack_low", "slack_high", "low", "high"]
        fields += ["least", "most"] if fit.fit == "clearance" else []
        for field in fields:
            value = getattr(fit, field)
            if value is not None:
                wrong = _changed(fit, **{field: value + 1})
                yield f"fit {field}", put(fits=_replaced(item.fits, index, wrong))
        if fit.fit == "clearance":
            yield "no clearance", put(fits=_without(item.fits, index))


def _order(plan: Plan) -> Named:
    kits = any(line.what == "kit" for line in plan.order)
    for index, line in enumerate(plan.order):

        def put(index: int = index, line: Any = line, **update: Any) -> Plan:
            return _changed(plan, order=_replaced(plan.order, index, _changed(line, **update)))

        if not kits:  # a kit may bring what a line brings as well
            yield "line gone", _changed(plan, order=_without(plan.order, index))
            if line.count > 1:
                yield "fewer", put(count=line.count - 1, price=line.price - line.price_each)
            alone = [other.number for other in plan.order].count(line.number) == 1
            if alone and line.source == "in hand":
                yield "more in hand than taken", put(count=line.count + 1)
        yield "line twice", _changed(plan, order=(*plan.order, line))
        if line.price_each:
            yield "more than wanted", put(count=line.count + 1, price=line.price + line.price_each)
            yield "bought, said to be in hand", put(source="in hand")
        if line.source == "in hand":
            yield "in hand, said to be in stock", put(source="stock", days=3)
        for field in ("price", "price_each", "days"):
            yield f"line {field}", put(**{field: getattr(line, field) + 1})
        yield "unknown number", put(number="none")
        yield "line what", put(what="ring" if line.what == "kit" else "kit")


def _totals(plan: Plan) -> Named:
    for field in ("price", "parts_price", "route_price", "days"):
        yield field, _changed(plan, **{field: getattr(plan, field) + 1})
    for index, level in enumerate(plan.objective):
        for by in (-1, 1):
            if level.level != "part_number":
                wrong = _changed(level, value=level.value + by, bound=level.bound + by)
                yield f"level {level.level}", _with_level(plan, index, wrong)
            if level.proven:
                wrong = _changed(level, bound=level.bound + by)
                yield "proven, bound apart", _with_level(plan, index, wrong)
        beyond = _changed(level, bound=level.value + 1, proven=False)
        yield "bound above value", _with_level(plan, index, beyond)
        objective = _without(plan.objective, index)
        yield "level gone", _changed(plan, objective=objective)
    yield "level order", _changed(plan, objective=plan.objective[::-1])
    yield "cylinder gone", _changed(plan, cylinders=plan.cylinders[:-1])


def _with_level(plan: Plan, index: int, level: Any) -> Plan:
    return _changed(plan, objective=_replaced(plan.objective, index, level))


def _changed(record: Any, **update: Any) -> Any:
    return record.model_copy(update=update)


def _replaced(items: Sequence[Any], index: int, item: Any) -> tuple[Any, ...]:
    return (*items[:index], item, *items[index + 1 :])


def _without(items: Sequence[Any], index: int) -> tuple[Any, ...]:
    return (*items[:index], *items[index + 1 :])
