from __future__ import annotations

import random
import subprocess
import sys
from math import pi, sqrt
from statistics import stdev
from typing import Any

import pytest
from scipy.stats import chi2

from fitsolver.base.errors import InputError
from fitsolver.metrology.repeats import least_ratio, repeats_of
from fitsolver.metrology.sources import Sources, standard
from fitsolver.metrology.uncertainty import FitErrors, budget, covariance, errors_of, fit_spreads
from fitsolver.planning.measuring_cautions import measuring_cautions
from fitsolver.records.budget import Budget
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.measuring import Instrument, InstrumentKind, Measuring, Setting, Temperatures
from fitsolver.records.readings import GaugeZero, Reading

from ...oracle.small import bore, job, mm

BORE, PISTON, AL = mm("62.3"), mm("62.24"), 19_400
MICROMETER = Instrument(
    kind="outside micrometer", permissible_error=400, resolution=100, repeatability=60
)
GAUGE = Instrument(kind="bore gauge", standard_uncertainty=90, resolution=200, repeatability=120)
MASTER = Instrument(kind="setting master", permissible_error=250)
FEELER = Instrument(kind="feeler gauge", permissible_error=800, repeatability=300)
ALL = (MICROMETER, GAUGE, MASTER, FEELER)


def measured(
    *cylinders: Cylinder,
    setting: Setting = "micrometer",
    at: Temperatures | None = None,
    instruments: tuple[Instrument, ...] = ALL,
) -> Job:
    measuring = Measuring(
        instruments=instruments, setting=setting, temperatures=at or Temperatures()
    )
    return job(*(cylinders or (bore("1", BORE),)), measuring=measuring)


def errors(given: Job, sources: Sources | None = None, index: int = 0, **more: Any) -> FitErrors:
    facts: dict[str, Any] = {"bore": BORE, "piston": PISTON, "piston_measured": True}
    facts |= {"piston_expansion": AL, "sources": sources or Sources(), **more}
    spreads = fit_spreads(given, given.cylinders[index], over=None, **facts)
    return errors_of(spreads)


def clearance(given: Job, **more: Any) -> float:
    return standard(errors(given, **more)["clearance", None])


def rows(given: Job, **more: Any) -> Budget:
    sources = Sources()
    error = errors(given, sources, **more)["clearance", None]
    return budget(error, cylinder="1", fit="clearance", sources=sources)


def rss(*parts: float) -> float:
    return sqrt(sum(part * part for part in parts))


# Squares: micrometer 833.3 + 3600 = 4433.3; gauge in the bore 8100 + 3333.3 + 14400 = 25833.3;
# its dial turned to zero once, without the calibration: 3333.3 + 14400 = 17733.3.
MICROMETER_READS = rss(100 / sqrt(12), 60)
GAUGE_SET = rss(200 / sqrt(12), 120)
GAUGE_READS = rss(90, GAUGE_SET)


def test_one_micrometer_cancels_in_the_clearance() -> None:
    """Piston and setting each read it once; its calibration is in both and drops out.

    2 x 4433.3 + 25833.3 + 17733.3 = 52433.3, of which the root is 228.983.
    """
    found = clearance(measured())
    parts = (MICROMETER_READS, MICROMETER_READS, GAUGE_READS, GAUGE_SET)
    assert found == pytest.approx(rss(*parts), rel=1e-6) == pytest.approx(228.983, abs=5e-4)
    (row,) = (r for r in rows(measured()).contributions if r.name == "micrometer calibration")
    assert (row.standard, row.share) == (0, 0)


def test_a_master_does_not_cancel() -> None:
    """53333.3 + 20833.3 + 4433.3 + 25833.3 + 17733.3 = 122166.7, root 349.523."""
    given = measured(setting="master")
    calibration = rss(400 / sqrt(3), 250 / sqrt(3))
    expected = rss(calibration, MICROMETER_READS, GAUGE_READS, GAUGE_SET)
    assert clearance(given) == pytest.approx(expected, rel=1e-6) == pytest.approx(349.523, abs=5e-4)
    names = {row.name for row in shown(rows(given))}
    assert {"micrometer calibration", "master calibration"} <= names


def shown(found: Budget) -> list[Any]:
    return [row for row in found.contributions if row.share > 1e-6]


def test_correlation_ignored_is_another_figure() -> None:
    """The wrong model: bore and piston added up as if their errors had nothing in common."""
    given = measured()
    bore_only = clearance(given, piston_measured=False)
    piston_only = rss(400 / sqrt(3), MICROMETER_READS)
    assert rss(bore_only, piston_only) > 1.4 * clearance(given)


def test_a_piston_that_was_not_measured_has_no_error_and_nothing_cancels() -> None:
    """53333.3 + 4433.3 + 25833.3 + 17733.3 = 101333.3, root 318.329."""
    expected = rss(400 / sqrt(3), MICROMETER_READS, GAUGE_READS, GAUGE_SET)
    found = clearance(measured(), piston_measured=False)
    assert found == pytest.approx(expected, rel=1e-6) == pytest.approx(318.329, abs=5e-4)


@pytest.mark.parametrize("setting", ["micrometer", "master"])
def test_the_gauge_scatters_when_it_is_set_to_zero_too(setting: Setting) -> None:
    """Alone, it is read twice: once in the bore and once in its standard.

    14400 + 14400 of the scatter, 3333.3 + 3333.3 of the dial, 8100 once: 43566.7, root 208.726.
    """
    given = measured(instruments=(GAUGE,), setting=setting)
    assert clearance(given) == pytest.approx(208.726, abs=5e-4)
    by_name = {row.name: row.standard for row in rows(given).contributions}
    assert by_name["bore gauge repeatability"] == pytest.approx(120 * sqrt(2))
    assert by_name["bore gauge resolution"] == pytest.approx(200 / sqrt(6))
    assert by_name["bore gauge calibration"] == pytest.approx(90)


def test_temperature_of_each_part_by_its_expansion() -> None:
    """One degree: gauge and micrometer are one standard, whose temperature drops out."""
    given = measured(at=Temperatures(uncertainty=1_000), instruments=())
    expected = rss(BORE * 11.4e-6, PISTON * AL * 1e-9) / sqrt(3)
    assert clearance(given) == pytest.approx(expected, rel=2e-3)
    names = [row.name for row in shown(rows(given))]
    assert names == ["piston temperature", "bore temperature"]


def test_with_a_master_its_temperature_and_the_micrometer_s_stay() -> None:
    given = measured(at=Temperatures(uncertainty=1_000), instruments=(), setting="master")
    parts = (BORE * 11.4e-6, PISTON * AL * 1e-9, BORE * 11.5e-6, PISTON * 11.5e-6)
    assert clearance(given) == pytest.approx(rss(*parts) / sqrt(3), rel=2e-3)


def test_expansion_counts_by_the_distance_from_20() -> None:
    at = Temperatures(bore=35_000, piston=22_000, expansion_share=100)
    given = measured(at=at, instruments=())
    expected = rss(BORE * 11.4e-7 * 15, PISTON * 19.4e-7 * 2) / sqrt(3)
    assert clearance(given) == pytest.approx(expected, rel=2e-3)
    assert clearance(measured(at=Temperatures(expansion_share=100), instruments=())) == 0


def test_an_unknown_material_matters_only_with_a_temperature() -> None:
    cheese = bore("1", BORE, material="cheese")
    assert clearance(measured(cheese)) > 0
    with pytest.raises(InputError, match="cylinder 1, field 'material'"):
        errors(measured(cheese, at=Temperatures(uncertainty=500)))


def repeated(*steps: int, name: str = "1", deciding: int = 0) -> Cylinder:
    """A bore whose largest place was read once a step (ticks over BORE)."""
    size = BORE + round(sum(steps) / len(steps))
    where = {"depth": mm("10"), "angle": 0, "size": size}
    return bore(name, readings=(Reading.model_validate(where | {"repeats": repeats(steps)}),))


def repeats(steps: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(BORE + step for step in steps)


def pooled(steps: tuple[int, ...], own: float = 120, resolution: float = 200) -> float:
    """Repeats of one place with the gauge's own figure, which counts eight degrees of freedom."""
    n = len(steps) - 1
    return sqrt((8 * own**2 + n * max(stdev(steps) ** 2, resolution**2 / 12)) / (8 + n))


MANY = (0, 100, -100, 50, -50, 150)


def test_many_readings_join_the_gauge_s_own_figure() -> None:
    given = measured(repeated(*MANY), instruments=(GAUGE,))
    own = pooled(MANY)
    assert repeats_of(given) == pytest.approx((own, 6, True))
    found = rows(given)
    (row,) = (row for row in found.contributions if row.evaluation == "A")
    assert row.name == "bore gauge repeatability (6 repeated readings)"
    # the mean of six readings in the bore, and setting the gauge once
    assert row.standard == pytest.approx(own * sqrt(1 / 6 + 1), rel=1e-6)
    assert all("repeatability" not in other.name for other in found.contributions if other != row)


def test_a_bore_still_to_be_machined_will_be_read_once() -> None:
    given = measured(repeated(*MANY), instruments=(GAUGE,))
    own, dial = pooled(MANY), 200 / sqrt(12)
    expected = rss(90, dial, own, dial, own)  # read once, set once
    assert clearance(given, machined=True) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("steps", [(0, 60), (0, 0, 0), (0, 30, 60), (0, 500, 1_000)])
def test_a_few_readings_do_not_outweigh_the_gauge(steps: tuple[int, ...]) -> None:
    found = repeats_of(measured(repeated(*steps), instruments=(GAUGE,)))
    assert found == pytest.approx((pooled(steps), len(steps), True))


def test_equal_readings_on_a_coarse_dial_are_no_gauge_without_scatter() -> None:
    coarse = GAUGE.model_copy(update={"resolution": 1_000, "repeatability": 0})
    found = repeats_of(measured(repeated(0, 0, 0), instruments=(coarse,)))
    assert found == pytest.approx((1_000 / sqrt(12) * sqrt(3), 3, True))


def test_places_are_pooled() -> None:
    given = measured(repeated(0, 60, name="1"), repeated(0, -20, name="2"))
    variance = max((1800 + 200) / 2, 200**2 / 12)
    found = repeats_of(given)
    assert found == pytest.approx((sqrt((8 * 120**2 + 2 * variance) / 10), 4, True))


def test_without_a_figure_of_the_gauge_three_readings_are_the_fewest() -> None:
    unknown = (GAUGE.model_copy(update={"repeatability": 0}),)
    assert repeats_of(measured(repeated(0, 60), instruments=unknown)) is None
    found = repeats_of(measured(repeated(0, 300, 600), instruments=unknown))
    assert found == pytest.approx((300 * sqrt(3), 3, True))


def test_repeats_that_agree_too_well_count_once() -> None:
    fine = GAUGE.model_copy(update={"resolution": 10})
    steps = (0, 10, 0, 10, 0, 10)
    given = measured(repeated(*steps), instruments=(fine,))
    assert repeats_of(given) == (120, 6, False)
    assert clearance(given) == pytest.approx(clearance(measured(instruments=(fine,))), rel=1e-6)
    assert any("agree better than the bore gauge repeats" in c for c in measuring_cautions(given))


@pytest.mark.parametrize("freedom", [2, 5, 11, 40])
def test_agreeing_too_well_is_rare_by_chance(freedom: int) -> None:
    ratio = least_ratio(freedom)
    assert chi2.cdf(ratio * freedom, freedom) <= 0.0101


def test_a_gap_grows_with_the_bore_and_has_its_blades() -> None:
    found = errors(measured(), gaps={1: None, 2: 0, 3: 5_000})
    bore_only = clearance(measured(), piston_measured=False)
    blades = rss(800 / sqrt(3), 300)
    expected = [rss(pi * bore_only), rss(pi * bore_only, blades)]
    expected.append(rss(pi * bore_only, blades, 5_000 / sqrt(12)))
    assert [standard(found["end_gap", groove]) for groove in (1, 2, 3)] == pytest.approx(expected)
    assert standard(found["ring_seat", 1]) == pytest.approx(bore_only)


def test_fits_of_one_bore_go_together() -> None:
    found = errors(measured(), gaps={1: None}, piston_measured=False)
    keys: list[Any] = [("clearance", None), ("end_gap", 1), ("ring_seat", 1)]
    matrix = covariance([found[key] for key in keys])
    square = matrix[0][0]
    assert matrix[0] == pytest.approx([square, pi * square, -square])
    assert matrix[1][2] == pytest.approx(-pi * square)


def test_form_is_two_readings_of_one_gauge() -> None:
    found = errors(measured(at=Temperatures(uncertainty=2_000)))
    twice = sqrt(2) * rss(200 / sqrt(12), 120)
    for fit in ("out_of_round", "taper"):
        assert standard(found[fit, None]) == pytest.approx(twice)  # type: ignore[index]


def test_cylinders_share_what_is_shared() -> None:
    """The gauge and the micrometer err alike in both bores; readings do not."""
    given = measured(bore("1", BORE), bore("2", BORE))
    sources = Sources()
    both = [errors(given, sources, index)["clearance", None] for index in (0, 1)]
    assert covariance(both)[0][1] == pytest.approx(90**2, rel=1e-6)


def test_asking_twice_makes_no_new_sources() -> None:
    given, sources = measured(), Sources()
    first, again = (errors(given, sources)["clearance", None] for _ in range(2))
    assert standard(first - again) == 0


def test_own_temperatures_are_another_reading_of_the_thermometer() -> None:
    at = Temperatures(uncertainty=1_000)
    for own, shared in ((None, True), (at, False)):
        given = measured(bore("1", BORE), bore("2", BORE, temperatures=own), at=at, instruments=())
        sources = Sources()
        both = [errors(given, sources, index)["clearance", None] for index in (0, 1)]
        assert (covariance(both)[0][1] > 0) is shared


def test_what_differs_between_people_is_one_error_for_all_that_one_of_them_reads() -> None:
    gauge = Instrument(kind="bore gauge", reproducibility=70)
    for readers, shared in ((("A", "A"), 70**2), (("A", "B"), 0), (("", ""), 70**2)):
        bores = [bore(str(i), BORE, read_by=who) for i, who in enumerate(readers)]
        given, sources = measured(*bores, instruments=(gauge,)), Sources()
        both = [errors(given, sources, index)["clearance", None] for index in (0, 1)]
        assert [standard(error) for error in both] == pytest.approx([70, 70])
        assert covariance(both)[0][1] == pytest.approx(shared, abs=1e-6)


def test_repeats_do_not_make_a_reader_s_own_way_smaller() -> None:
    people = GAUGE.model_copy(update={"reproducibility": 300})
    one, both = (
        clearance(measured(repeated(*MANY), instruments=(gauge,))) for gauge in (GAUGE, people)
    )
    assert both == pytest.approx(rss(one, 300), rel=1e-6)


def test_a_difference_of_two_readings_is_one_person_s() -> None:
    people = GAUGE.model_copy(update={"reproducibility": 300})
    one, both = (
        standard(errors(measured(instruments=(gauge,)))["taper", None]) for gauge in (GAUGE, people)
    )
    assert one == both


def test_the_size_does_not_depend_on_where_the_gauge_was_zeroed() -> None:
    zeroed = measured(bore("1", BORE, zero=GaugeZero(size=mm("62"))))
    assert clearance(zeroed) == pytest.approx(clearance(measured()), rel=1e-4)


def test_a_budget_adds_up() -> None:
    found = rows(measured(setting="master", at=Temperatures(uncertainty=1_000)))
    shares = [row.share for row in found.contributions]
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) == pytest.approx(1)
    assert rss(*(row.standard for row in found.contributions)) == pytest.approx(found.combined)
    assert found.expanded == pytest.approx(2 * found.combined)


def halved(given: Job) -> dict[str, Job]:
    """The job with one figure of how it was measured halved, by what a budget calls it."""
    how = given.measuring
    assert how is not None
    found: dict[str, Measuring] = {}
    for index, instrument in enumerate(how.instruments):
        for name in ("permissible_error", "standard_uncertainty", "resolution", "repeatability"):
            if value := getattr(instrument, name):
                better = list(how.instruments)
                better[index] = instrument.model_copy(update={name: value // 2})
                what = name if name in ("resolution", "repeatability") else "calibration"
                kind = {"outside micrometer": "micrometer", "setting master": "master"}
                cause = f"{kind.get(instrument.kind, instrument.kind)} {what}"
                found[cause] = how.model_copy(update={"instruments": tuple(better)})
    for name, cause in (("uncertainty", "temperatures"), ("expansion_share", "expansions")):
        if value := getattr(how.temperatures, name):
            better_at = how.temperatures.model_copy(update={name: value // 2})
            found[cause] = how.model_copy(update={"temperatures": better_at})
    return {name: given.model_copy(update={"measuring": each}) for name, each in found.items()}


@pytest.mark.parametrize("seed", range(300))
def test_what_helps_most_is_what_lowers_the_uncertainty_most(seed: int) -> None:
    """Every figure of a drawn shop halved in turn, and the whole worked out again."""
    draw = random.Random(seed)

    def instrument(kind: InstrumentKind) -> Instrument:
        true = draw.choice(["permissible_error", "standard_uncertainty"])
        names = (true, "resolution", "repeatability")
        return Instrument(kind=kind, **{name: 2 * draw.randint(0, 200) for name in names})  # type: ignore[arg-type]

    given = measured(
        setting=draw.choice(["micrometer", "master"]),
        at=Temperatures(
            bore=draw.choice([20_000, 28_000]),
            piston=draw.choice([20_000, 26_000]),
            uncertainty=2 * draw.randint(0, 1_000),
            expansion_share=2 * draw.randint(0, 60),
        ),
        instruments=(
            instrument("outside micrometer"),
            instrument("bore gauge"),
            instrument("setting master"),
        ),
    )
    left = {cause: rows(better).combined for cause, better in halved(given).items()}
    assert left[rows(given).improvement] == pytest.approx(min(left.values()), rel=1e-9)


def test_two_readings_are_one_contribution() -> None:
    sources = Sources()
    error = errors(measured(), sources)["taper", None]
    found = budget(error, cylinder="1", fit="taper", guard=7, sources=sources)
    assert [row.name for row in found.contributions] == [
        "bore gauge repeatability",
        "bore gauge resolution",
    ]
    assert found.contributions[0].standard == pytest.approx(120 * sqrt(2))
    assert found.guard == 7


def test_without_instruments_there_is_no_error() -> None:
    found = errors(job(bore("1", BORE)), gaps={1: None})
    assert {standard(error) for error in found.values()} == {0.0}
    assert covariance(list(found.values()))[0][0] == 0
    empty = rows(job(bore("1", BORE)))
    assert (empty.contributions, empty.combined, empty.improvement) == ((), 0, "")


def test_a_negative_uncertainty_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot be negative; found: -1"):
        Sources().normal("gauge", -1)


def test_a_second_witness() -> None:
    """The clearance of a bore gauge set in the piston's micrometer, with GTC's numbers."""
    gtc = pytest.importorskip("GTC", reason="GTC, the second witness, is not installed")
    shared = gtc.ureal(0, 400 / sqrt(3))
    setting, reading = (gtc.ureal(0, MICROMETER_READS) for _ in range(2))
    gauge = gtc.ureal(0, GAUGE_READS) + gtc.ureal(0, GAUGE_SET)
    found = (BORE + shared + setting + gauge) - (PISTON + shared + reading)
    assert clearance(measured()) == pytest.approx(gtc.uncertainty(found), rel=1e-6)


def test_importing_the_module_does_not_import_the_package() -> None:
    code = "import sys, fitsolver.metrology.uncertainty, fitsolver.metrology.joint as j\n"
    code += "j.joint_probability([(-1, 1)], [[1]])\n"
    code += "print(sorted({'uncertainties', 'numpy', 'scipy'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.endswith("[]\n")
