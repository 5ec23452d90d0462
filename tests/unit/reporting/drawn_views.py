"""Drawn answers of the verbs beside `pick`, of any number of cylinders, jobs or sizes.

Figures as they come: cylinders are alike in nothing but their kind.
"""

from __future__ import annotations

import random
from typing import Any, Final, get_args

from fitsolver.planning.standing import STANDING
from fitsolver.records.allotment import (
    AllotmentAnswer,
    JobAllotment,
    JobLeftOut,
    Lacking,
    ServingLevel,
    ShelfLine,
)
from fitsolver.records.alternatives import Alternative, AlternativesAnswer, Change, Totals
from fitsolver.records.arrived import ArrivedAnswer, ArrivedCylinder, ArrivedRing, LeftOver
from fitsolver.records.base import Range
from fitsolver.records.budget import BatchRisk, Budget, BudgetAnswer, Contribution
from fitsolver.records.final import FinalAnswer, FinalCylinder, NotJudged
from fitsolver.records.firm import FirmAnswer, Margin, Picked
from fitsolver.records.hone import HoneAnswer, HoneCheck, HoneState, NoHoning, NoStrokes, StatedRisk
from fitsolver.records.plan import Fit, ObjectiveValue, Reason
from fitsolver.records.review import CatalogueReview, Doubt, SizeStep
from fitsolver.records.verdicts import Verdict

from . import answers
from .answers import mm
from .many import drawn_answer

HEAD: Final[dict[str, Any]] = {
    "program_version": "0", "job": "invented", "catalogue": "shelf", "unit": "mm",
}  # fmt: skip
CAUTIONS: Final = tuple(STANDING)


def names(count: int) -> list[str]:
    return [str(number + 1) for number in range(count)]


def firm(count: int) -> FirmAnswer:
    """Every figure of every cylinder by itself, some of them badly known."""
    dice = random.Random(count)
    picked = tuple(
        Picked(cylinder=name, piston="P-050", rings=("R1", "R2"), gaskets=("G",), route="hone")
        for name in names(count)
    )
    margins = []
    for place, name in enumerate(names(count)):
        then = tuple(
            item.model_copy(update={"piston": f"P-07{n}"}) if n == place else item
            for n, item in enumerate(picked)
        )
        others = {"becomes": (then[place],)} if dice.random() < 0.5 else {"no_plan": True}
        for smaller in (False, True):
            known = {"uncertainty": 100.0, "measure_again": True} if dice.random() < 0.5 else {}
            margins.append(
                Margin(
                    what="largest reading", cylinders=(name,), depth=mm("8"), angle=0,
                    value=mm("62.2") + dice.randrange(9_000), margin=dice.randrange(1, 200),
                    reach=90_000, smaller=smaller, **known, **others,
                )
            )  # fmt: skip
        for groove in (1, 2, 3):
            margins.append(
                Margin(
                    what="lowest edge", cylinders=(name,), fit="end_gap", groove=groove,
                    value=mm("0.25"), margin=dice.randrange(1, 5_000), reach=9_000, **others,
                )
            )  # fmt: skip
    return FirmAnswer(
        **HEAD, status="proven best", picked=picked, margins=tuple(margins), cautions=CAUTIONS
    )


def _totals(dice: random.Random) -> Totals:
    return Totals(
        restored=0, largest_removal=dice.randrange(90_000), total_removal=dice.randrange(900_000),
        filing=dice.randrange(9_000), price=dice.randrange(-9_000, 90_000), days=dice.randrange(20),
        sizes_left=dice.randrange(4), rebuilds_left=dice.randrange(4),
    )  # fmt: skip


def alternatives(count: int) -> AlternativesAnswer:
    """Five plans and a front of ten; every cylinder takes something of its own."""
    dice = random.Random(count)

    def plan(rank: int) -> Alternative:
        changes = tuple(
            Change(cylinder=name, what="piston", best="P-050", here=f"P-{rank}{place:02}")
            for place, name in enumerate(names(count))
            if rank > 1
        )
        totals = _totals(dice)
        return Alternative(
            rank=rank, proven=True, totals=totals, against_best=totals, changes=changes,
            cylinders=(), order=(),
        )  # fmt: skip

    return AlternativesAnswer(
        **HEAD, currency="EUR", finishing="set size", status="proven best", asked=5, complete=False,
        plans=tuple(map(plan, range(1, 6))), front=tuple(map(plan, range(1, 11))),
        front_complete=True, cautions=CAUTIONS,
    )  # fmt: skip


def budget(count: int) -> BudgetAnswer:
    dice = random.Random(count)
    source = Contribution(
        name="bore gauge", distribution="normal", evaluation="A", standard=80.0, share=0.5
    )

    def of(name: str, fit: Any, groove: int | None) -> Budget:
        combined = 100 + 50 * dice.random()
        return Budget(
            cylinder=name, fit=fit, groove=groove, contributions=(source,) * 5, combined=combined,
            expanded=2 * combined, guard=round(combined), improvement="bore gauge",
        )  # fmt: skip

    fits = [("clearance", None), ("taper", None), *(("end_gap", groove) for groove in (1, 2, 3))]
    batch = tuple(
        BatchRisk(
            cylinder=name, decision="guarded", guard=200, mean=mm("0.06"), spread=400,
            accepted=0.97, consumer=0.002 * dice.random(), producer=0.03 * dice.random(),
        )
        for name in names(count)
    )  # fmt: skip
    return BudgetAnswer(
        program_version="0", job="invented", unit="mm", batch=batch, cautions=CAUTIONS,
        budgets=tuple(of(name, *fit) for name in names(count) for fit in fits),
    )  # fmt: skip


def allot(count: int) -> AllotmentAnswer:
    """Five jobs a cylinder: some served, some left out, some never served."""
    dice = random.Random(count)
    lacking = tuple((Lacking(number=f"WP-{n}", count=2, left=0),) for n in range(4))
    jobs = []
    for name in names(5 * count):
        chance = dice.random()
        said: dict[str, Any] = {"status": "served", "answer": drawn_answer(count, 2)}
        if chance < 0.3:
            told = JobLeftOut(sentence="needs 2 x WP-0, none left (used by others)", serves=lacking)
            said = {"status": "left out", "left_out": told}
        elif chance < 0.4:
            never = JobLeftOut(
                sentence="it has no plan with the whole shelf to itself",
                no_fit=answers.nothing_fits().no_fit,
            )
            said = {"status": "can never be served", "left_out": never}
        jobs.append(JobAllotment(job=f"job {name}", priority=1, due=5, catalogue="shelf", **said))
    serving = tuple(
        ServingLevel(priority=each, due=due, jobs=9, value=each % 2, bound=0, proven=each < 3)
        for each in range(1, 4)
        for due in (None, 5)
    )
    return AllotmentAnswer(
        schema_version=1, program_version="0", shop="invented", unit="mm", currency="EUR",
        status="proven best", serving=serving, jobs=tuple(jobs),
        objective=tuple(
            ObjectiveValue(level=level, value=12_345, bound=12_345, proven=True)
            for level in ("restored", "largest_removal", "total_removal", "filing", "price", "days")
        ),
        order=tuple(
            answers.line(f"N-{n:03}", source="order", price=990, days=n) for n in range(2 * count)
        ),
        shelf=tuple(ShelfLine(number=f"N-{n}", count=9, taken=2, left=7) for n in range(count)),
        components=(), cautions=CAUTIONS,
    )  # fmt: skip


def catalogue(count: int) -> CatalogueReview:
    """Three sizes and two kinds of doubt a cylinder."""
    sizes = tuple(
        SizeStep(
            oversize=n * 25_000, nominal_bore=mm("62") + n * 25_000, pistons=2, rings=3,
            step=25_000 if n else None, skipped=(12_500,) if n % 3 == 2 else (),
        )
        for n in range(3 * count)
    )  # fmt: skip
    doubtful = tuple(
        Doubt(
            table="pistons", number=f"P-{n}", field=f"field {'abcdefghijklmnopqrstuvwxyz'[n % 26]}",
            sentence="looks wrong beside the others of its oversize", seriousness="doubtful",
        )
        for n in range(2 * count)
    )  # fmt: skip
    return answers.review(sizes=sizes, doubtful=doubtful, cautions=CAUTIONS)


def _missed(dice: random.Random) -> Fit:
    short = dice.randrange(1, 2_000)
    return answers.fit(
        fit="end_gap", groove=dice.randrange(1, 4), least=mm("0.055") - short, slack_low=-short
    )


def final(count: int) -> FinalAnswer:
    """Half of the cylinders fail in one fit or another, some are not judged."""
    dice = random.Random(count)
    found = []
    for name in names(count):
        fails, judged = dice.random() < 0.5, dice.random() < 0.8
        fits = (answers.fit(), _missed(dice)) if fails else (answers.fit(),)
        open_fits = () if judged else (NotJudged(fit="squish", why="no squish base"),)
        verdict: Any = "fail" if fails else "pass" if judged else "not judged"
        found.append(
            FinalCylinder(
                cylinder=name, piston="P-050", skirt=Range(low=mm("62.44"), high=mm("62.44")),
                rings=("R1", "R2"), gaskets=("G",), smallest=mm("62.5"), largest=mm("62.51"),
                fits=fits, passes=verdict == "pass", verdict=verdict, judged=judged,
                verdicts=(Verdict(rule="bore_limit", holds=True, sentence="0.024 mm left"),),
                not_judged=open_fits, probability=0.98,
            )
        )  # fmt: skip
    failed = any(item.verdict == "fail" for item in found)
    judged = all(item.judged for item in found)
    whole: Any = "fail" if failed else "pass" if judged else "not judged"
    return FinalAnswer(
        **HEAD, cylinders=tuple(found), together=(), passes=whole == "pass", verdict=whole,
        judged=judged, probability=0.9, cautions=CAUTIONS,
    )  # fmt: skip


def arrived(count: int) -> ArrivedAnswer:
    """Every cylinder is finished to another size; some parts are to be ordered again."""
    dice = random.Random(count)
    plan = drawn_answer(count, count, odd=0.5, lines=6).plan
    assert plan is not None
    cylinders = []
    for item in plan.cylinders:
        size = mm("62.5") + dice.randrange(2_000)
        cylinders.append(
            ArrivedCylinder(
                cylinder=item.cylinder, ordered_piston="P-050",
                ordered_skirt=Range(low=mm("62.43"), high=mm("62.436")),
                ordered_finish=Range(low=size, high=size + 600), ordered_route="finish hone",
                piston=item.piston.number, skirt=item.skirt, route=item.route,
                finish=Range(low=item.finish_small, high=item.finish_large),
                rings=tuple(
                    ArrivedRing(groove=n, number=f"R{n}", used=dice.random() < 0.8)
                    for n in (1, 2, 3)
                ),
            )
        )  # fmt: skip
    reasons = tuple(
        Reason(rule="clearance", cylinder=item.cylinder, sentence=f"short by 0.0{n + 10} mm")
        for n, item in enumerate(plan.cylinders)
    )
    return ArrivedAnswer(
        **HEAD, currency="EUR", status="order again", cylinders=tuple(cylinders), plan=plan,
        reasons=reasons, again=(answers.line("N-1", source="order", price=990),),
        left_over=(LeftOver(number="P-050", count=2),), cautions=CAUTIONS,
    )  # fmt: skip


def _check(dice: random.Random, number: int) -> HoneCheck:
    left = dice.randrange(-500, 5_000)
    return HoneCheck(
        number=number, count=20 * number, stones="", temperature=20_000, correction=0,
        smallest=mm("62.5") - left, largest=mm("62.503") - left, stock_tightest=left,
        stock_worst=left - 300, room=left + 500, out_of_round=200, taper=-100,
    )  # fmt: skip


def hone(count: int) -> HoneAnswer:
    dice = random.Random(count)
    states = []
    for place, name in enumerate(names(count)):
        checks = tuple(_check(dice, number) for number in range(3))
        why: Any = get_args(NoHoning)[place % len(get_args(NoHoning))]
        goes = dice.random() < 0.6
        low = mm("62.5") + dice.randrange(600)
        told = (
            {"next_count": 12, "based_on": StatedRisk(risk=0.01, limit=0.05, largest=low)}
            if goes
            else {"next_count": 0, "based_on": NoStrokes(why=why)}
        )
        states.append(
            HoneState(
                cylinder=name, stop=Range(low=low, high=low + 300), counted_in="strokes",
                dial_stop=Range(low=low - mm("62.25"), high=low + 300 - mm("62.25")),
                lowest=low, highest=low + 800, local_low=low - 400, local_high=low + 1_200,
                since_check=0, checks=checks, now=checks[-1], form=answers.form(), trend="better",
                advice="go on" if goes else "stop", risk_before=0.0, sentence="So it stands.",
                question="Were the stones dressed?" if dice.random() < 0.3 else "", **told,
            )
        )  # fmt: skip
    return HoneAnswer(
        program_version="0", job="invented", unit="mm", log="job.hone", risk=0.05,
        cylinders=tuple(states), cautions=CAUTIONS,
    )  # fmt: skip


#: Every verb that tells of a job's cylinders, of a shop's jobs or of a catalogue's sizes.
OTHERS: Final = {
    "firm": firm, "alternatives": alternatives, "budget": budget, "allot": allot,
    "catalogue": catalogue, "final": final, "arrived": arrived, "hone": hone,
}  # fmt: skip
