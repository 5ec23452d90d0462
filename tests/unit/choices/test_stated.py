"""Windows that makers state for their own parts: which one holds for which part.

The figures by use are those of a ring maker's public gap sheet, as it was seen: street 0.0045 of
the bore, moderate boost 0.0050, boosted race 0.0065; the second gap 1.25 times the first. The rest
is invented.
"""

from __future__ import annotations

from typing import Any

import pytest

from fitsolver.base.errors import InputError
from fitsolver.checking.check import violations
from fitsolver.choices.stated import with_stated
from fitsolver.picking.decide import decide
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, StatedWindow
from fitsolver.records.job import Job
from fitsolver.records.plan import Fit, Plan
from fitsolver.records.windows import Window, find_window
from fitsolver.usecases.loading import hold_together
from tests.unit.rules import small

CAST = small.part(small.PISTON, number="CAST")
FORGED = small.part(
    small.PISTON, number="FORGED", skirt=Range(low=6_190_500, high=6_190_600), stated=("1",)
)
OWN = Window(
    fit="clearance", low=9_000, high=11_000, source="sheet in the box", owner="part", part="1"
)
FAMILY = Window(
    fit="clearance", low=4_000, high=6_000, owner="family sheet", yields=True, source="manual"
)
GAPS = Window(fit="end_gap", low=10_000, high=60_000, yields=True, owner="family sheet")


def parts(*windows: StatedWindow, **changes: Any) -> Catalogue:
    stated = windows or (StatedWindow(window=OWN),)
    return small.catalogue(**{"pistons": (CAST, FORGED), "windows": stated, **changes})


def fit_of(plan: Plan | None, fit: str = "clearance") -> Fit:
    assert plan is not None
    return next(line for line in plan.cylinders[0].fits if line.fit == fit)


def test_cast_and_forged_compete_each_with_its_own_window() -> None:
    """Both serve the bore; without its own window the forged one would be refused as too loose."""
    for number, owner, source in (
        ("CAST", "family sheet", "manual"),
        ("FORGED", "part", "sheet in the box"),
    ):
        job = small.job(FAMILY, GAPS, cylinders=(small.cylinder(piston=number),))
        line = fit_of(decide(job, parts()).plan)
        assert (line.part, line.owner, line.source) == (number, owner, source)
    job = small.job(FAMILY, GAPS, cylinders=(small.cylinder(piston="FORGED"),))
    assert decide(job, parts().model_copy(update={"windows": ()})).plan is None


def test_the_cheaper_of_the_two_is_picked() -> None:
    cheap = small.part(FORGED, price=10)
    answer = decide(small.job(FAMILY, GAPS), parts(pistons=(CAST, cheap)))
    assert fit_of(answer.plan).part == "FORGED"


def test_a_window_of_the_job_stands_before_it_and_the_answer_says_so() -> None:
    own = Window(fit="clearance", low=4_000, high=6_000, source="by the customer")
    pinned = (small.cylinder(piston="FORGED"),)
    assert decide(small.job(own, GAPS, cylinders=pinned), parts()).plan is None
    wide = own.model_copy(update={"high": 12_000})
    answer = decide(small.job(wide, GAPS, cylinders=pinned), parts())
    assert fit_of(answer.plan).owner == "job"
    assert any("the maker of FORGED states" in caution for caution in answer.cautions)
    yields = wide.model_copy(update={"yields": True})
    answer = decide(small.job(yields, GAPS, cylinders=pinned), parts())
    assert fit_of(answer.plan).owner == "part"
    assert not any("the maker of FORGED" in caution for caution in answer.cautions)


def test_a_cylinders_own_window_stands_before_it() -> None:
    own = Window(fit="clearance", low=8_000, high=12_000)
    pinned = (small.cylinder(piston="FORGED", windows=(own,)),)
    line = fit_of(decide(small.job(FAMILY, GAPS, cylinders=pinned), parts()).plan)
    assert (line.owner, line.low) == ("job", 8_000)


def test_infeasible_by_a_tick_and_the_sentence_says_whose_window_it_is() -> None:
    """Clearances run from 62.005 - 61.906 = 0.099 to 62.009 - 61.905 = 0.104 mm."""
    pinned = (small.cylinder(piston="FORGED"),)
    for low, high, fits in ((9_900, 10_400, True), (9_900, 10_399, False)):
        own = OWN.model_copy(update={"low": low, "high": high})
        task = with_stated(
            small.job(FAMILY, GAPS, cylinders=pinned, finishing="piston in hand"),
            parts(StatedWindow(window=own)),
        )
        held = parts(StatedWindow(window=own))
        if fits:
            assert small.holds(with_stated(small.job(FAMILY, GAPS, cylinders=pinned), held), held)
        else:
            sentence = small.fails(
                "clearance", with_stated(small.job(FAMILY, GAPS, cylinders=pinned), held), held
            )
            assert "as its maker states (sheet in the box)" in sentence
        assert task.windows


def test_the_check_without_the_solver_holds_a_plan_to_it() -> None:
    job = small.job(FAMILY, GAPS, cylinders=(small.cylinder(piston="FORGED"),))
    held = parts()
    plan = decide(job, held).plan
    assert plan is not None
    assert violations(with_stated(job, held), held, plan) == ()
    narrow = parts(StatedWindow(window=OWN.model_copy(update={"low": 9_999})))
    found = violations(with_stated(job, narrow), narrow, plan)
    assert any("the clearance can be too small" in sentence for sentence in found)


USES = {"street": 4_500_000, "moderate boost": 5_000_000, "boosted race": 6_500_000}


def by_use(groove: int = 1) -> tuple[StatedWindow, ...]:
    return tuple(
        StatedWindow(
            use=use,
            window=Window(
                fit="end_gap", groove=groove, low=low, per_bore=True, owner="part", part=str(at)
            ),
        )
        for at, (use, low) in enumerate(USES.items(), start=2)
    )


@pytest.mark.parametrize("use", USES)
def test_a_gap_by_use_is_that_share_of_the_bore(use: str) -> None:
    ring = small.part(small.RING, stated=("2", "3", "4"))
    held = parts(*by_use(), pistons=(CAST,), rings=(ring,))
    line = fit_of(decide(small.job(FAMILY, GAPS, use=use), held).plan, "end_gap")
    assert line.low == -(-USES[use] * 6_200_000 // 10**9)
    assert (line.owner, line.least >= line.low) == ("part", True)


def test_a_use_must_be_said_and_be_known() -> None:
    ring = small.part(small.RING, stated=("2", "3", "4"))
    held = parts(*by_use(), pistons=(CAST,), rings=(ring,))
    with pytest.raises(InputError, match="R: its maker states the end gap 1 by use") as refused:
        decide(small.job(FAMILY, GAPS), held)
    assert refused.value.allowed == "boosted race, moderate boost, street"
    with pytest.raises(InputError, match="did you mean 'street'"):
        decide(small.job(FAMILY, GAPS, use="stret"), held)
    with pytest.raises(InputError, match="no maker of these parts states a window by use"):
        decide(small.job(FAMILY, GAPS, use="street"), small.catalogue())
    own = Window(fit="end_gap", low=10_000, high=60_000)
    assert decide(small.job(FAMILY, own), held).plan is not None


def test_one_for_the_use_stands_before_one_for_every_use() -> None:
    every = StatedWindow(window=Window(fit="end_gap", low=1, owner="part", part="9"))
    task = with_stated(small.job(use="street"), parts(every, *by_use()))
    held = find_window(task.windows, "end_gap", 1, stated=("2", "3", "4", "9"))
    assert held is not None
    assert held.low == USES["street"]
    assert with_stated(task, parts(every, *by_use())).windows == task.windows


def test_a_fit_is_asked_where_every_part_states_it() -> None:
    job = small.job(GAPS, family="small")
    with pytest.raises(InputError, match="no window"):
        hold_together(job, parts())
    hold_together(job, parts(pistons=(FORGED,)))


def test_guards_are_those_of_the_measuring() -> None:
    """A guarded decision takes the same guard off a part's window as off a job's."""
    from fitsolver.records.measuring import Measuring

    measuring = Measuring(set_name="everyday set", decision="guarded")
    pinned = (small.cylinder(piston="FORGED"),)

    def guard(job: Job, held: Catalogue) -> int:
        wide = job.model_copy(update={"measuring": measuring, "finishing": "piston in hand"})
        return fit_of(decide(wide, held).plan).guard

    edges = {"low": 4_000, "high": 16_000}
    own = OWN.model_copy(update=edges)
    of_part = guard(small.job(FAMILY, GAPS, cylinders=pinned), parts(StatedWindow(window=own)))
    of_job = guard(
        small.job(Window(fit="clearance", **edges), GAPS, cylinders=pinned),
        parts(pistons=(CAST, small.part(FORGED, stated=()))).model_copy(update={"windows": ()}),
    )
    assert of_part == of_job > 0
