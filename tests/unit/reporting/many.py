"""Drawn plans of any number of cylinders: figures as they come, in no engine's proportions."""

from __future__ import annotations

import random

from fitsolver.planning import cautions as said
from fitsolver.planning.standing import STANDING
from fitsolver.records.base import Range
from fitsolver.records.plan import (
    Answer,
    ChosenGasket,
    ChosenPart,
    ChosenRing,
    CylinderPlan,
    HotFit,
    Question,
    RowLeftOut,
)

from . import answers
from .answers import mm

PISTONS = ("P-050", "P-050A", "P-075", "LONG-NUMBER-100B")
ROUTES = ("finish hone", "rough and finish hone", "bore and hone")


def drawn_cylinder(dice: random.Random, name: str, *, odd: float) -> CylinderPlan:
    """A cylinder like the others, or (with the odds given) unlike them in something."""
    metal = dice.randrange(10_000, 30_000)
    base = answers.cylinder(
        cylinder=name, removal=metal, stock_tightest=metal, stock_worst=metal - 2_000
    )
    changes: dict[str, object] = {}
    if dice.random() < odd:
        changes["piston"] = ChosenPart(number=dice.choice(PISTONS), kept=dice.random() < odd)
    if dice.random() < odd:
        changes["route"] = dice.choice(ROUTES)
    if dice.random() < odd:
        changes |= _finish(dice)
    if dice.random() < odd:
        changes["rings"] = tuple(
            ChosenRing(number=f"R{n}-{dice.randrange(3)}", groove=n, filing=dice.randrange(3) * 900)
            for n in (1, 2, 3)
        )
    if dice.random() < odd:
        changes["gaskets"] = (ChosenGasket(number="G-1", place="head", count=dice.choice((1, 2))),)
    if dice.random() < odd / 2:
        changes["hot"] = (HotFit(what="end_gap", groove=1, least=dice.randrange(-900, 900)),)
    if dice.random() < odd / 2:
        changes["restored"] = True
    if dice.random() < odd:
        changes |= {"dial_zero": None, "dial_stop": None}
    if dice.random() < odd / 3:
        changes["left_to_limit"] = None
    if dice.random() < odd:
        tight = answers.fit(uncertainty=dice.choice((50.0, 900.0)), probability=dice.random())
        changes["fits"] = (tight, answers.end_gap())
    return base.model_copy(update=changes)


def _finish(dice: random.Random) -> dict[str, object]:
    size = mm("62.5") + dice.randrange(2_000)
    if dice.random() < 0.5:
        return {
            "finish_small": size, "finish_large": size, "lowest": size, "highest": size + 800,
            "highest_small": size + 800, "skirt": Range(low=size - 6_000, high=size - 6_000),
        }  # fmt: skip
    return {
        "finish_small": size, "finish_large": size + 600, "lowest": size + 600,
        "highest": size + 1_400, "highest_small": size + 800,
        "skirt": Range(low=size - 6_000, high=size - 5_400),
    }  # fmt: skip


def drawn_answer(seed: int, count: int, *, odd: float = 0.3, lines: int = 4) -> Answer:
    """An answer of so many cylinders, `lines` numbers in its order list."""
    dice = random.Random(seed)
    cylinders = tuple(drawn_cylinder(dice, str(n + 1), odd=odd) for n in range(count))
    order = tuple(
        answers.line(
            f"N-{n:03}", what="piston", source="order", price=1_000, days=dice.randrange(9)
        )
        for n in range(lines)
    )
    question = Question(
        asked=("clearance", *(f"end gap {n}" for n in (1, 2, 3)), "squish"),
        not_asked=("taper",) if dice.random() < odd else (),
        accepted=("a figure that is doubted",) if dice.random() < odd else (),
    )
    left_out = (RowLeftOut(number="X-1", sentence="a doubt", change="no change"),)
    cautions = [*STANDING, f"{said.NOTE}Invented."]
    for cylinder in cylinders:
        cautions += said.hot_cautions(cylinder)
    cautions += [said.PLATED] if dice.random() < odd else []
    cautions += [said.NO_GUARD] if dice.random() < odd else []
    cautions += [said.KEPT] if any(item.piston.kept for item in cylinders) else []
    return answers.answer(
        plan=answers.plan(cylinders=cylinders, order=order),
        forms=(),
        question=question,
        finishing=dice.choice(("piston in hand", "set size")),
        passed_over=("a size that cannot be had",) if dice.random() < odd else (),
        left_out=left_out if dice.random() < odd else (),
        cautions=tuple(dict.fromkeys(cautions)),
    )
