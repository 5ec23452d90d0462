from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from fitsolver.base.errors import InputError
from fitsolver.metrology.correct import corrected, dial_at, warm_cautions
from fitsolver.metrology.temperature import corrected_ticks
from fitsolver.records.job import Engine, InHand, Job, Rise
from fitsolver.records.measuring import Instrument, Measuring, Temperatures
from fitsolver.records.readings import GaugeZero, Reading

from ...oracle.small import bore, catalogue, job, mm, piston

WARM = Temperatures(bore=31_000)


def measured(at: Temperatures, *instruments: Instrument, **more: Any) -> Measuring:
    return Measuring(temperatures=at, instruments=instruments, **more)


def one(at: Temperatures, *instruments: Instrument, **cylinder: Any) -> Job:
    """A job of one iron bore of 62.312 mm and less, measured at these temperatures."""
    measuring = measured(at, *instruments)
    return job(bore("1", mm("62.312"), mm("62.300"), **cylinder), measuring=measuring)


def test_a_warm_bore_with_its_sentence() -> None:
    after, found = corrected(one(WARM))
    assert [reading.size for reading in after.cylinders[0].readings] == [6_230_419, 6_229_219]
    (only,) = found
    assert (only.cylinder, only.what, only.correction) == ("1", "bore", -781)
    assert only.sentence == "bore read at 31 °C: 62.312 becomes 62.304 mm (-7.81 µm)"


@pytest.mark.parametrize(
    "at", [Temperatures(), Temperatures(piston=30_000), Temperatures(uncertainty=2_000)]
)
def test_a_job_with_nothing_to_correct_is_the_same_object(at: Temperatures) -> None:
    given = one(at)
    after, found = corrected(given)
    assert after is given and found == ()


def test_without_a_measuring_section_it_is_the_same_object() -> None:
    given = job(bore("1", mm("62")))
    assert corrected(given)[0] is given


def test_the_zero_is_the_standard() -> None:
    """The dial's deviation belongs to a standard of the zero's length, warm by itself."""
    at = Temperatures(bore=30_000, standard=25_000)
    given = one(at, zero=GaugeZero(size=mm("62")))
    after, (only,) = corrected(given)
    model = {"standard_expansion": 11_500, "standard_temperature": 25_000}
    model |= {"part_expansion": 11_400, "part_temperature": 30_000}
    assert after.cylinders[0].readings[0].size == corrected_ticks(mm("62"), mm("0.312"), **model)
    assert after.cylinders[0].zero == given.cylinders[0].zero
    assert only.sentence.startswith("bore read at 30 °C (the gauge's standard at 25 °C): ")


def test_the_dial_to_stop_at_is_the_way_back() -> None:
    given = one(Temperatures(bore=30_000, standard=25_000), zero=GaugeZero(size=mm("62")))
    after, _ = corrected(given)
    for before, cold in zip(given.cylinders[0].readings, after.cylinders[0].readings, strict=True):
        assert dial_at(given, given.cylinders[0], cold.size) == pytest.approx(
            before.size - mm("62"), abs=1
        )
    assert dial_at(one(WARM), one(WARM).cylinders[0], mm("62")) is None


def test_zeroed_on_a_warm_piston_the_piston_s_expansion_drops_out() -> None:
    """Piston, micrometer and bore at 28 °C: the clearance at 20 °C is that of the parts there."""
    at = Temperatures(bore=28_000, piston=28_000, micrometer=28_000, standard=28_000)
    zero = GaugeZero(size=mm("62.240"), on_piston=True)
    given = one(at, zero=zero, piston="P", piston_size=mm("62.240"))
    parts = catalogue(piston("P", mm("62"), mm("62.240"), alloy="al_4032"))
    after, (of_bore, of_piston) = corrected(given, parts)
    assert (of_bore.what, of_piston.what) == ("bore", "piston")
    bore_20 = (62.240 * (1 + 8 * 11.5e-6) + 0.072) / (1 + 8 * 11.4e-6)
    piston_20 = 62.240 * (1 + 8 * 11.5e-6) / (1 + 8 * 19.4e-6)
    assert after.cylinders[0].readings[0].size == round(bore_20 * 100_000)
    assert after.cylinders[0].piston_size == round(piston_20 * 100_000)


def test_a_master_has_its_own_expansion() -> None:
    at = Temperatures(standard=30_000)
    master = Instrument(kind="setting master", expansion=20_000)
    given = job(
        bore("1", mm("62.1"), zero=GaugeZero(size=mm("62"))),
        measuring=measured(at, master, setting="master"),
    )
    assert corrected(given)[0].cylinders[0].readings[0].size == mm("62.1") + 1_240


def test_repeats_are_corrected_and_their_mean_is_rounded_once() -> None:
    repeats = (mm("62.3"), mm("62.3") + 1, mm("62.3") + 3)
    reading = Reading(depth=mm("10"), angle=0, size=mm("62.3") + 1, repeats=repeats)
    given = job(bore("1", readings=(reading,)), measuring=measured(WARM))
    after = corrected(given)[0].cylinders[0].readings[0]
    factor = 1 + Fraction(11_400 * 11, 10**9)
    assert after.repeats == tuple(round(size / factor) for size in repeats)
    assert after.size == round(Fraction(sum(repeats), 3) / factor)


def test_a_cylinder_s_own_temperatures_come_first() -> None:
    given = job(
        bore("1", mm("62"), temperatures=Temperatures()),
        bore("2", mm("62")),
        measuring=measured(WARM),
    )
    after, (only,) = corrected(given)
    assert after.cylinders[0] == given.cylinders[0]
    assert only.cylinder == "2"


def test_stated_sizes_stay() -> None:
    given = job(
        bore("1", finished_size=mm("62.3")),
        bore("2", mm("62.3"), unworn=mm("62.2")),
        measuring=measured(WARM),
    )
    after, found = corrected(given)
    assert after.cylinders[0] == given.cylinders[0]
    assert after.cylinders[1].unworn == mm("62.2")
    assert [item.cylinder for item in found] == ["2"]


def test_a_loose_piston_goes_by_the_cylinder_it_is_kept_for() -> None:
    own = Temperatures(piston=40_000)
    given = job(
        bore("1", mm("62"), temperatures=own),
        in_hand=(
            InHand(number="P", size=mm("61.95"), cylinder="1"),
            InHand(number="P", size=mm("61.95")),
        ),
    )
    parts = catalogue(piston("P", mm("62"), mm("61.95"), alloy="al_4032"))
    after, (only,) = corrected(given, parts)
    assert after.in_hand[0].size == round(mm("61.95") / (1 + Fraction(19_400 * 20, 10**9)))
    assert after.in_hand[1] == given.in_hand[1]
    assert only.sentence.startswith("piston P read at 40 °C: 61.950 becomes 61.926 mm")


def with_piston(**more: Any) -> Job:
    cylinder = bore("1", mm("62"), piston="P", piston_size=mm("61.95"))
    return job(cylinder, measuring=measured(Temperatures(piston=30_000)), **more)


def test_the_job_names_the_alloy_where_the_part_does_not() -> None:
    rise = Rise(bore=1, piston=1, ring=1, bore_alloy="grey_iron", piston_alloy="al_2618")
    given = with_piston(engine=Engine(rise=rise))
    plain = catalogue(piston("P", mm("62"), mm("61.95")))
    named = catalogue(piston("P", mm("62"), mm("61.95"), alloy="al_4032"))
    by_job, by_part = (corrected(given, parts)[1][0].correction for parts in (plain, named))
    assert (by_job, by_part) == (-1_381, -1_202)


def test_a_piston_of_unknown_alloy_is_refused_only_off_20() -> None:
    parts = catalogue(piston("P", mm("62"), mm("61.95")))
    with pytest.raises(InputError) as caught:
        corrected(with_piston(), parts)
    assert str(caught.value).startswith("job 'small', piston P, field 'alloy': a piston was read")
    assert corrected(with_piston(), parts, pistons=False)[1] == ()
    warm = Temperatures(micrometer=30_000)
    given = with_piston().model_copy(update={"measuring": measured(warm)})
    assert corrected(given, parts)[1][0].correction == 712


def test_a_bore_of_unknown_material_is_refused_only_off_20() -> None:
    with pytest.raises(InputError, match="cylinder 1, field 'material'"):
        corrected(one(WARM, material="cheese"))
    assert corrected(one(Temperatures(standard=25_000), material="cheese"))[1]


@pytest.mark.parametrize(
    ("at", "warned"),
    [
        (Temperatures(bore=25_000), False),
        (Temperatures(bore=25_100), True),
        (Temperatures(bore=14_900), True),
        (Temperatures(bore=24_000, piston=18_000), True),
        (Temperatures(piston=30_000), True),
    ],
)
def test_a_bore_off_20_or_off_the_piston_gets_a_caution(at: Temperatures, warned: bool) -> None:
    assert bool(warm_cautions(one(at))) is warned


def test_the_caution_says_what_a_degree_is_worth() -> None:
    (text,) = warm_cautions(one(WARM))
    assert "read at 31 °C, the piston at 20 °C" in text
    assert "1 °C of error is 0.7 µm of bore" in text


def test_inches_are_told_in_inches() -> None:
    given = one(WARM).model_copy(update={"unit": "in"})
    assert (
        corrected(given)[1][0].sentence
        == "bore read at 31 °C: 2.4532 becomes 2.4529 in (-0.307 thou)"
    )
