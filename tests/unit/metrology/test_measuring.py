"""Guards from uncertainty, and jobs made ready to be decided."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, sqrt

import pytest

from fitsolver.base.errors import InputError
from fitsolver.metrology.budgets import budgets
from fitsolver.metrology.measuring import guarded, measured
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Engine, Job, Rise
from fitsolver.records.measuring import Instrument, Measuring, Temperatures
from fitsolver.records.windows import Window
from tests.unit.rules import small

MICROMETER = Instrument(kind="outside micrometer", standard_uncertainty=300)
GAUGE = Instrument(kind="bore gauge", standard_uncertainty=400)
MASTER = Instrument(kind="setting master", standard_uncertainty=0)
CLEARANCE = Window(fit="clearance", low=4_000, high=8_000)


def job(*windows: Window, finishing: str = "set size", **measuring: object) -> Job:
    whole = {"instruments": (MICROMETER, GAUGE), "decision": "guarded", **measuring}
    return small.job(*windows, finishing=finishing, measuring=Measuring(**whole))


def guard_of(task: Job, fit: str = "clearance") -> int:
    windows = task.windows_for(task.cylinders[0])
    return next(window.guard for window in windows if window.fit == fit)


def test_a_plain_job_comes_back_as_it_is() -> None:
    task = small.job(CLEARANCE)
    ready = measured(task)
    assert ready.job is ready.stated is task
    assert not ready.guarded


def test_the_guard_is_the_factor_times_the_standard_uncertainty_rounded_up() -> None:
    """u of the bore alone: micrometer 300 and gauge 400 make 500 ticks."""
    ready = measured(job(CLEARANCE, factor=1_645))
    assert ready.guarded
    assert guard_of(ready.job) == ceil(1.645 * 500)
    assert guard_of(ready.stated) == 0


def test_without_a_factor_it_is_that_of_95_percent() -> None:
    assert guard_of(measured(job(CLEARANCE)).job) == ceil(1.645 * 500)


def test_the_micrometer_cancels_where_it_measured_the_piston_and_set_the_gauge() -> None:
    in_both = measured(job(CLEARANCE, finishing="piston in hand", factor=1_000)).job
    assert abs(guard_of(in_both) - 400) <= 1  # 300 of the micrometer in bore and piston alike
    apart = measured(
        job(
            CLEARANCE,
            finishing="piston in hand",
            factor=1_000,
            setting="master",
            instruments=(MICROMETER, GAUGE, MASTER),
        )
    ).job
    assert abs(guard_of(apart) - 500) <= 1  # now it is in the piston alone


def test_a_larger_stated_guard_stands() -> None:
    window = CLEARANCE.model_copy(update={"guard": 1_000})
    assert guard_of(measured(job(window, factor=1_000)).job) == 1_000


def test_the_end_gap_is_guarded_pi_times_as_much() -> None:
    task = measured(job(CLEARANCE, Window(fit="end_gap", low=1, high=90_000), factor=1_000)).job
    assert abs(guard_of(task, "end_gap") - ceil(3.14159265 * 500)) <= 1


def test_a_wanted_probability_in_a_window_too_narrow_leaves_no_room() -> None:
    """Below 3.92 u no figure conforms with 95 % (JCGM 106)."""
    just = Window(fit="clearance", low=0, high=int(3.93 * 500))
    narrow = Window(fit="clearance", low=0, high=int(3.91 * 500))
    assert 2 * guard_of(measured(job(just, probability=950_000)).job) <= just.high
    assert 2 * guard_of(measured(job(narrow, probability=950_000)).job) > narrow.high


def test_a_share_of_the_uncertainty_guards_less() -> None:
    ready = measured(job(CLEARANCE, factor=2_000))
    assert guard_of(guarded(ready.stated, share=Fraction(1, 2))) == 500


def test_a_window_of_one_groove_keeps_its_place() -> None:
    first = Window(fit="end_gap", low=1, high=50_000, groove=1)
    rest = Window(fit="end_gap", low=1, high=90_000)
    task = measured(job(first, rest, factor=1_000)).job
    assert [window.high for window in task.windows_for(task.cylinders[0])] == [50_000, 90_000]


def test_a_named_set_stands_beside_own_instruments() -> None:
    task = job(CLEARANCE, set_name="everyday set", instruments=(MICROMETER,))
    kinds = [item.kind for item in measured(task).job.measuring.instruments]
    assert kinds.count("outside micrometer") == 1
    assert measured(task).job.measuring.instruments[0] == MICROMETER
    with pytest.raises(InputError):
        measured(job(CLEARANCE, set_name="no such grade"))


def test_a_bore_read_warm_is_decided_at_20_degrees() -> None:
    warm = Temperatures(bore=30_000)
    ready = measured(job(CLEARANCE, temperatures=warm))
    reading = ready.job.cylinders[0].readings[0]
    assert reading.size == round(small.READ / (1 + Fraction(11_400 * 10, 10**9)))  # grey iron
    assert len(ready.corrections) == 1


def test_a_form_allowance_of_the_job_reaches_its_cylinders() -> None:
    ready = measured(job(CLEARANCE, form_allowance=70))
    assert ready.job.cylinders[0].form_allowance == 70


def test_the_budget_adds_up_and_names_what_helps_most() -> None:
    found = budgets(measured(job(CLEARANCE, factor=1_000)))
    clearance = next(item for item in found if item.fit == "clearance")
    assert clearance.combined == pytest.approx(sqrt(300**2 + 400**2))
    assert sum(item.share for item in clearance.contributions) == pytest.approx(1)
    assert "gauge" in clearance.improvement
    assert clearance.guard == 500


#: Read at 20 °C, within a degree: what grows counts, but nothing is corrected.
DEGREE = Temperatures(uncertainty=1_000)
RISE = Rise(bore=0, piston=0, ring=0, bore_alloy="grey_iron", piston_alloy="al_2618")


def growing(**changes: object) -> Job:
    """The gauge is perfect, set in the micrometer; bore and piston may be a degree off."""
    task = job(
        CLEARANCE,
        finishing="piston in hand",
        instruments=(),
        temperatures=DEGREE,
        factor=1_000,
    )
    return task.model_copy(update=changes)


def alloys(*names: str) -> Catalogue:
    """A catalogue of pistons P0, P1 ... of these alloys."""
    pistons = (
        small.part(small.PISTON, number=f"P{index}", alloy=name) for index, name in enumerate(names)
    )
    return small.catalogue(pistons=tuple(pistons))


def grown(expansion: int) -> int:
    """One degree of bore (iron, 11400) and piston: 62 mm x rss(11.4, a) x 1e-6 / sqrt(3)."""
    return ceil(small.READ * sqrt(11_400**2 + expansion**2) * 1e-9 / sqrt(3))


def piston_is(number: str) -> tuple[object, ...]:
    return (small.cylinder(piston=number, piston_size=6_195_000),)


@pytest.mark.parametrize(
    ("names", "changes", "expansion"),
    [
        (("al_4032", "al_390"), {"cylinders": piston_is("P1")}, 18_000),  # the part's own
        (("al_4032", ""), {"cylinders": piston_is("P1"), "engine": Engine(rise=RISE)}, 22_300),
        (("al_4032", ""), {"cylinders": piston_is("P1")}, 11_500),  # not known: steel
        (("al_390", "al_4032", "al_a132"), {}, 19_400),  # any may be fitted: the largest
        (("al_390", "cheese"), {}, 18_000),
        (("al_390", ""), {"engine": Engine(rise=RISE)}, 22_300),  # the job's for the second
        (("", "cheese"), {"engine": Engine(rise=RISE)}, 22_300),
        (("", "cheese"), {}, 11_500),
    ],
)
def test_a_guard_counts_the_piston_by_its_alloy(
    names: tuple[str, ...], changes: dict[str, object], expansion: int
) -> None:
    task, parts = growing(**changes), alloys(*names)
    ready = measured(task, parts)
    assert abs(guard_of(ready.job) - grown(expansion)) <= 1
    clearance = next(item for item in budgets(ready, parts) if item.fit == "clearance")
    assert ceil(clearance.combined) == clearance.guard == guard_of(ready.job)
    assert 2 * guard_of(guarded(ready.stated, parts, share=Fraction(1, 2))) in (
        guard_of(ready.job),
        guard_of(ready.job) + 1,
    )


def test_without_a_catalogue_the_job_names_the_alloy() -> None:
    assert abs(guard_of(measured(growing(engine=Engine(rise=RISE))).job) - grown(22_300)) <= 1
    assert abs(guard_of(measured(growing()).job) - grown(11_500)) <= 1


def test_an_unknown_alloy_is_no_error_where_temperature_has_no_effect() -> None:
    at_20 = job(CLEARANCE, finishing="piston in hand", factor=1_000)
    at_20 = at_20.model_copy(update={"cylinders": piston_is("P0")})
    assert abs(guard_of(measured(at_20, alloys("cheese")).job) - 400) <= 1  # the gauge alone
