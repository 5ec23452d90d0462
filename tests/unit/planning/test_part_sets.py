"""The counter's part sets: nothing is called fit to be sold that lacks a part or cannot be had."""

from __future__ import annotations

from typing import Any

from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import GasketPlace, InHand, Job
from fitsolver.records.verdicts import PartSet
from fitsolver.usecases.counter import sets_of

from ..rules import small

WORN = small.Window(fit="clearance", low=4_000, high=8_000)


def only_set(job: Job, catalogue: Catalogue) -> PartSet:
    [found] = sets_of(job, catalogue)
    return found


def said(found: PartSet) -> dict[str, str]:
    return {verdict.rule: verdict.sentence for verdict in found.verdicts if not verdict.holds}


def stacked(count: int, **changes: Any) -> tuple[Job, Catalogue]:
    """Two gaskets at the head; so many in hand, none to be had elsewhere unless changed."""
    held = (InHand(number="G", count=count),) if count else ()
    job = small.job(WORN, gaskets=(GasketPlace(place="head", least=2, most=2),), in_hand=held)
    gasket = small.part(small.GASKET, **{"stock": 0, **changes})
    return job, small.catalogue(gaskets=(gasket,))


def test_two_gaskets_in_hand_make_the_stack() -> None:
    found = only_set(*stacked(2))
    assert found.holds
    assert found.price == 5_900


def test_one_gasket_in_hand_does_not_make_two() -> None:
    found = only_set(*stacked(1))
    assert list(said(found)) == ["availability"]
    assert found.price is None


def test_only_what_is_not_in_hand_is_paid() -> None:
    assert only_set(*stacked(1, stock=1)).price == 5_900 + 400
    assert only_set(*stacked(0, stock=2)).price == 5_900 + 800


def test_fewer_in_stock_than_wanted_cannot_be_had_unless_ordered() -> None:
    assert said(only_set(*stacked(0, stock=1)))
    assert not said(only_set(*stacked(0, stock=1, lead_days=3)))


def test_a_place_without_a_gasket_is_lacking() -> None:
    job = small.job(WORN, gaskets=(GasketPlace(place="head"),))
    assert "no gasket for head" in said(only_set(job, small.catalogue(gaskets=())))["compatibility"]
    empty = small.job(WORN, gaskets=(GasketPlace(place="head", least=0),))
    assert only_set(empty, small.catalogue(gaskets=())).holds


def test_a_pinned_route_does_not_stop_the_counter() -> None:
    job = small.job(WORN, cylinders=(small.cylinder(route="hone"),))
    assert only_set(job, small.catalogue()).holds
