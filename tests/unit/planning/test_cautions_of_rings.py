"""A piston of which the catalogue knows no grooves: nobody has looked at its rings."""

from __future__ import annotations

from fitsolver.picking.decide import decide
from tests.unit.rules import small


def test_a_piston_without_grooves_is_cautioned_about() -> None:
    bare = small.catalogue(pistons=(small.part(small.PISTON, grooves=()),))
    said = decide(small.job(), bare).cautions
    assert any("no ring grooves" in caution for caution in said)


def test_a_piston_with_rings_is_not() -> None:
    said = decide(small.job(), small.catalogue()).cautions
    assert not any("no ring grooves" in caution for caution in said)
