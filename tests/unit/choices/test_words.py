"""Figures and part numbers as the sentences on a choice say them."""

from __future__ import annotations

from fitsolver.choices.words import asked_words, some_of, told_alike
from fitsolver.records.job import Engine
from tests.unit.rules import small
from tests.unit.rules.small import fails


def test_edges_are_rounded_to_the_side_that_promises_nothing() -> None:
    assert asked_words(101, 199, "mm") == "0.002 to 0.001 mm"
    assert asked_words(None, 199, "mm") == "up to 0.001 mm"
    assert asked_words(101, None, "mm") == "from 0.002 mm"
    assert asked_words(None, None, "mm") == "any"


def test_many_parts_are_counted() -> None:
    assert some_of(["A"]) == "A"
    assert some_of(["A", "B", "C", "D"]) == "A, B, C and D"
    assert some_of(["A", "B", "C", "D", "E"]) == "A, B, C and 2 more"


def test_parts_refused_alike_are_told_once() -> None:
    told = [("P1", "15 mm in P1"), ("P2", "15 mm in P2"), ("P3", "16 mm in P3"), ("P4", "a flaw")]
    assert told_alike(told) == ["15 mm in P1 and P2", "16 mm in P3", "a flaw"]


def test_pistons_for_another_pin_are_counted_in_the_reason() -> None:
    """Twelve pistons take 16 mm, the engine has 15."""
    pistons = tuple(small.part(small.PISTON, number=f"P{place:02}") for place in range(12))
    other = small.job(engine=Engine(pin_diameter=1_500_000))
    said = fails("compatibility", other, small.catalogue(pistons=pistons))
    assert said == "gudgeon pin: 15.000 mm asked; 16.000 mm in P00, P01, P02 and 9 more"
