"""Displacement, the end-gap rule and what two-point sizes can see."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from fitsolver.fits.displacement import displacement
from fitsolver.fits.end_gap import gap_in_bore
from fitsolver.metrology.form import bore_form
from fitsolver.picking.decide import decide
from fitsolver.records.base import Range
from fitsolver.records.job import Cylinder, Engine
from fitsolver.records.readings import Reading

from ..oracle.small import INCH, bore, catalogue, inch, job, mm, piston, ring, window

CM3 = 10**18  # cubic ticks
MICRON = 100  # ticks


def test_displacement_of_eight_cylinders() -> None:
    """3.57 x 3.43 in, eight cylinders: 274.6695 cubic inches (pi/4 B^2 S n, computed; the
    dimensions are invented)."""
    found = displacement([inch("3.57")] * 8, inch("3.43"))
    assert float(Fraction(found, INCH**3)) == pytest.approx(274.6695, abs=5e-5)


def test_displacement_of_four_cylinders() -> None:
    """84.3 x 71.7 mm, four cylinders: 1600.7525 cm3 (pi/4 B^2 S n, computed; the dimensions
    are invented)."""
    found = displacement([mm("84.3")] * 4, mm("71.7"))
    assert float(Fraction(found, CM3)) == pytest.approx(1600.7525, abs=5e-5)


def test_bore_of_a_square_engine() -> None:
    """Six cylinders of 3.0 litres with bore = stroke have 86.0254 mm (computed; the inputs,
    a textbook example, from memory)."""
    below, above = (displacement([mm(b)] * 6, mm(b)) for b in ("86.0253", "86.0255"))
    assert below < 3_000 * CM3 < above


def test_displacement_limit_as_a_job() -> None:
    """The figure above as a class limit: 1600.7525 cm3 is inside 1600.76, outside 1600.75."""
    size = mm("84.3")
    parts = catalogue(
        piston("P", size, mm("84.24")), ring("R", size, mm("0.3")), standard_bore=size
    )
    for limit, status in ((160_076, "proven best"), (160_075, "nothing fits")):
        asked = job(
            *(bore(str(i), size) for i in range(1, 5)),
            windows=(window("clearance", mm("0.05"), mm("0.08")),),
            engine=Engine(stroke=mm("71.7"), displacement_limit=limit * CM3 // 100),
        )
        answer = decide(asked, parts)
        assert answer.status == status
        if answer.plan is not None:
            found = float(Fraction(answer.plan.displacement or 0, CM3))
            assert found == pytest.approx(1600.7525, abs=5e-5)


def test_one_in_diameter_is_three_in_gap() -> None:
    """0.001 in more bore opens the gap by 0.003 in (TM 5-3825-225-14&P section 1-26, printed
    to one digit)."""
    size, gap = inch("3.875"), Range(low=inch("0.015"), high=inch("0.015"))
    found = gap_in_bore(gap, size, size + inch("0.001"), size + inch("0.001"))
    assert found.low - gap.low == pytest.approx(inch("0.003"), abs=inch("0.0002"))
    assert found.high - found.low <= 1


def test_gap_change_exactly() -> None:
    """0.02 mm more bore opens the gap by 0.0628319 mm (pi x 0.02, computed)."""
    size, gap = mm("62"), Range(low=mm("0.2"), high=mm("0.2"))
    found = gap_in_bore(gap, size, size + mm("0.02"), size + mm("0.02"))
    assert found.low <= mm("0.2") + 6_283.19 <= found.high
    assert found.high - found.low == 1


@pytest.mark.parametrize(("lobes", "seen"), [(2, 20), (3, 0)])
def test_two_point_sizes_see_even_lobing_only(lobes: int, seen: int) -> None:
    """A radius error of 5 um x cos(n theta) shows as 20 um for n = 2 and not at all for n = 3.

    Geometry, computed: opposite radii add up, and those of an odd lobing cancel.
    """
    form = bore_form(lobed(lobes), "by axis")
    assert form.out_of_round == pytest.approx(seen * MICRON, abs=0.1)
    assert any("lobing" in caution for caution in form.cautions)


def lobed(lobes: int) -> Cylinder:
    """A bore of 62 mm whose radius errs by 5 um x cos(n theta), read at every fifth degree."""

    def radius(degrees: int) -> float:
        return mm("31") + 5 * MICRON * math.cos(math.radians(lobes * degrees))

    readings = tuple(
        Reading(depth=mm("20"), angle=a, size=round(radius(a) + radius(a + 180)))
        for a in range(0, 180, 5)
    )
    return Cylinder(name="1", material="iron", readings=readings)
