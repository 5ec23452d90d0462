"""What a plan shows, worked out anew: by hand in one small job, piston by piston in drawn ones."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor

import pytest

from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Ring
from fitsolver.records.job import Cylinder, Engine, Finishing, Job, MassMatch
from fitsolver.records.plan import CylinderPlan, Fit
from fitsolver.records.readings import GaugeZero
from fitsolver.records.windows import Window, find_window

from ..rules import small
from .drawn import planned

#: pi to 40 decimals, from a mathematical table.
PI = Fraction("3.1415926535897932384626433832795028841972")


def test_stock_stop_and_what_is_left_by_hand() -> None:
    """Read 62.000 and 61.990, honed to 62.007 +- 0.002 with the gauge zeroed on 61.995."""
    readings = tuple(
        small.Reading(depth=depth, angle=0, size=size)
        for depth, size in ((1_000_000, 6_200_000), (4_000_000, 6_199_000))
    )
    cylinder = small.cylinder(
        readings=readings, zero=GaugeZero(size=6_199_500), bore_limit=6_250_000
    )
    over = small.part(small.PISTON, number="P50", oversize=50_000, nominal_bore=6_250_000)
    far = small.part(small.PISTON, number="P75", oversize=75_000, nominal_bore=6_275_000)
    task = small.job(Window(fit="clearance", low=4_000, high=8_000), cylinders=(cylinder,))
    parts = small.catalogue(pistons=(small.PISTON, over, far))
    [item] = small.holds(task, parts).cylinders
    assert (item.finish_small, item.finish_large) == (6_200_700, 6_200_700)
    assert item.removal == 1_700  # 62.007 - 61.990
    assert (item.stock_worst, item.stock_tightest) == (700, 1_700)
    assert item.dial_stop == Range(low=1_200, high=1_200)
    assert item.dial_on_piston == Range(low=5_100, high=5_200)  # skirts 61.956 and 61.955
    assert item.left_to_limit == 49_100  # 62.500 - 62.009
    assert [(s.oversize, s.metal_to_it, s.within_limit) for s in item.larger_sizes] == [
        (50_000, 49_300, True),
        (75_000, 74_300, False),
    ]


def test_a_restored_bore_counts_from_its_restored_size() -> None:
    sleeve = small.part(small.HONE, name="sleeve", kind="restore", restored_bore=6_195_000)
    job = small.job(Window(fit="clearance", low=4_000, high=8_000), routes=("sleeve",))
    [item] = small.holds(job, small.catalogue(routes=(sleeve,))).cylinders
    # 61.956 + 0.040 + 0.002 is above 61.950 + 0.005 + 0.002
    assert (item.finish_large, item.removal) == (6_199_800, 4_800)
    assert (item.stock_worst, item.stock_tightest) == (4_800, 4_800)
    assert item.restored


def test_displacement_and_masses_by_hand() -> None:
    """Two of 62.007 and one other bore of 62 mm, stroke 50 mm; 200 g +- 0.5 g each."""
    cylinders = (small.CYLINDER, small.cylinder(name="2"))
    job = small.job(
        cylinders=cylinders,
        engine=Engine(stroke=5_000_000, other_bores=(6_200_000,)),
        mass_match=(MassMatch(cylinders=("1", "2"), limit=1_000),),
    )
    plan = small.holds(job)
    squares = 2 * 6_200_700**2 + 6_200_000**2
    assert plan.displacement == ceil(PI / 4 * 5_000_000 * squares)
    assert plan.mass_spreads == (1_000,)


@pytest.mark.parametrize("finishing", ["set size", "piston in hand", "already finished"])
def test_every_piston_and_ring_of_the_range_lies_in_what_is_to_be_expected(
    finishing: Finishing,
) -> None:
    """And the ends are reached: `least` and `most` are the tightest whole ticks around all."""
    asked = 0
    for job, catalogue, plan in planned(seed=23, draws=300, finishing=finishing):
        for cylinder, item in zip(job.cylinders, plan.cylinders, strict=True):
            [line] = [fit for fit in item.fits if fit.fit == "clearance"]
            values = [
                size - skirt
                for skirt, low, high in _bores(job, cylinder, item)
                for size in (low, high)
            ]
            assert (line.least, line.most) == (min(values), max(values))
            for fit in item.fits:
                _slack_is_what_is_left(fit)
                if fit.fit == "end_gap":
                    asked += 1
                    _gap(job, catalogue, cylinder, item, fit)
    assert asked > 25


def _bores(job: Job, cylinder: Cylinder, item: CylinderPlan) -> list[tuple[int, int, int]]:
    """Skirt, smallest and largest local size for every skirt size in the range, tick by tick."""
    skirts = range(item.skirt.low, item.skirt.high + 1)
    if job.finishing != "piston in hand" or not item.machined:
        return [(skirt, item.bore_low, item.bore_high) for skirt in skirts]
    window = find_window(job.windows_for(cylinder), "clearance")
    low = window.limits(item.nominal_bore, kept=item.piston.kept).low if window else None
    low = 0 if low is None else low  # no skirt is larger than its bore
    half, found = item.half_width, []
    for skirt in skirts:
        own = max(item.finish_small, skirt + low + half)
        found.append((skirt, own - half, own + half))
    assert found[-1][2] == item.bore_high
    return found


def _slack_is_what_is_left(fit: Fit) -> None:
    if fit.low is not None:
        assert fit.slack_low == fit.least - (fit.low + fit.guard)
    if fit.high is not None:
        assert fit.slack_high == (fit.high - fit.guard) - fit.most
    assert fit.least <= fit.most


def _gap(job: Job, catalogue: Catalogue, cylinder: Cylinder, item: CylinderPlan, fit: Fit) -> None:
    """A catalogue ring over every bore: supplied at either end, filed where it is tightest."""
    [chosen] = [ring for ring in item.rings if ring.groove == fit.groove]
    if chosen.piece:
        return
    [ring] = [ring for ring in catalogue.rings if ring.number == chosen.number]
    bottom = None if fit.low is None else fit.low + fit.guard
    gaps = [
        gap
        for _, low, high in _bores(job, cylinder, item)
        for supplied in (ring.gap.low, ring.gap.high)
        for gap in _filed(ring, supplied, bottom, low, high)
    ]
    assert 0 <= min(gaps) - fit.least < 1
    assert 0 <= fit.most - max(gaps) < 2
    tightest = ring.gap.low + PI * (item.bore_low - ring.gauge_diameter)
    filed = 0 if bottom is None else max(0, ceil(bottom - tightest))
    assert (fit.filed, chosen.filing) == (filed, filed)


def _filed(
    ring: Ring, supplied: int, bottom: int | None, low: int, high: int
) -> tuple[Fraction, Fraction]:
    tight, wide = (supplied + PI * (size - ring.gauge_diameter) for size in (low, high))
    filed = max(Fraction(0), bottom - tight) if bottom is not None else 0
    return tight + filed, wide + filed


def test_growth_is_rounded_outwards() -> None:
    """0.25 to 0.30 mm in 62 mm; the bore is 62.005 to 62.009: pi times 0.005 and 0.009 more."""
    [item] = small.holds(small.job()).cylinders
    [fit] = [fit for fit in item.fits if fit.fit == "end_gap"]
    assert (fit.least, fit.most) == (25_000 + floor(PI * 500), 30_000 + ceil(PI * 900))
