"""What must hold for the plan of any job."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from fitsolver.picking.decide import decide
from fitsolver.records.base import LEVELS
from fitsolver.records.catalogue import Catalogue, Gasket, Kit, KitItem, Piston, Ring
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer
from fitsolver.records.windows import Window

from ..oracle.dice import THEMES
from ..oracle.generate import cases
from ..oracle.small import span

ANY = st.sampled_from(sorted(THEMES)).flatmap(cases)


def often(count: int) -> settings:
    return settings(
        derandomize=True,
        database=None,
        deadline=None,
        max_examples=count,
        suppress_health_check=list(HealthCheck),
    )


@often(120)
@given(ANY)
def test_same_input_same_bytes(case: tuple[Job, Catalogue]) -> None:
    assert decide(*case).model_dump_json() == decide(*case).model_dump_json()


@often(120)
@given(ANY, st.randoms(use_true_random=False))
def test_order_of_the_catalogue_does_not_matter(case: tuple[Job, Catalogue], dice: Any) -> None:
    job, catalogue = case
    tables = {}
    for name in ("pistons", "rings", "gaskets", "kits", "routes"):
        rows = list(getattr(catalogue, name))
        dice.shuffle(rows)
        tables[name] = tuple(rows)
    assert decide(job, catalogue.model_copy(update=tables)).plan == decide(job, catalogue).plan


@often(150)
@given(ANY)
def test_useless_rows_do_not_change_the_plan(case: tuple[Job, Catalogue]) -> None:
    """A piston nobody can get, parts for places the engine does not have, a kit of those."""
    job, catalogue = case
    some = catalogue.pistons[0]
    useless = Piston(
        **{**dict(some), "number": "A-0", "price": None, "stock": 0, "lead_days": None}
    )
    ring = Ring(
        number="A-1",
        grooves=(9,),
        gauge_diameter=some.nominal_bore,
        gap=span(20, 20),
        width=span(140, 140),
        price=0,
        stock=9,
    )
    gasket = Gasket(
        number="A-2",
        place="elsewhere",
        thickness=9,
        crush=1,
        compressed=span(8, 8),
        price=0,
        stock=9,
    )
    kit = Kit(number="A-3", contents=(KitItem(number="A-1", count=2),), price=0, stock=9)
    more = catalogue.model_copy(
        update={
            "pistons": (useless, *catalogue.pistons),
            "rings": (ring, *catalogue.rings),
            "gaskets": (gasket, *catalogue.gaskets),
            "kits": (kit, *catalogue.kits),
        }
    )
    assert decide(job, more).plan == decide(job, catalogue).plan


@often(150)
@given(ANY, st.randoms(use_true_random=False))
def test_wider_windows_are_never_worse(case: tuple[Job, Catalogue], dice: Any) -> None:
    """In the usual order, up to the removal.

    Not so for filing: a bore that waits for its piston follows a lower clearance edge down,
    and the ring in it is filed more.
    """
    job, catalogue = case
    assume(job.windows)
    job = job.model_copy(update={"best": LEVELS})
    at = dice.randrange(len(job.windows))
    wider = list(job.windows)
    wider[at] = loosened(wider[at], dice.randrange(1, 12))
    first = decide(job, catalogue)
    second = decide(job.model_copy(update={"windows": tuple(wider)}), catalogue)
    if first.plan is not None:
        assert second.plan is not None
        assert up_to_removal(second) <= up_to_removal(first)


def loosened(window: Window, steps: int) -> Window:
    """The window with its edges further out."""
    by = steps * (20_000 if window.per_bore else 3)

    def moved(edge: int | None, distance: int) -> int | None:
        return None if edge is None else edge + distance

    return Window(
        **{
            **dict(window),
            "low": moved(window.low, -by),
            "high": moved(window.high, by),
            "service_low": moved(window.service_low, -by),
            "service_high": moved(window.service_high, by),
        }
    )


def up_to_removal(answer: Answer) -> list[int]:
    assert answer.plan is not None
    values = {value.level: value.value for value in answer.plan.objective}
    return [values["restored"], values["largest_removal"], values["total_removal"]]


@pytest.mark.parametrize("level", ["price", "days", "filing"])
def test_a_level_put_first_is_never_worse(level: str) -> None:
    """The value of a level that counts first is the least of all orders."""

    @often(60)
    @given(ANY)
    def compared(case: tuple[Job, Catalogue]) -> None:
        job, catalogue = case
        usual = decide(job.model_copy(update={"best": LEVELS}), catalogue)
        first = decide(job.model_copy(update={"best": (level,)}), catalogue)
        assert (usual.plan is None) == (first.plan is None)
        if usual.plan is not None and first.plan is not None:
            usually = {value.level: value.value for value in usual.plan.objective}
            assert first.plan.objective[0].value <= usually[level]

    compared()
