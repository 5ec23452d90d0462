"""The answers worked by hand in catalogs_demo/README.md are the ones that `pick` gives."""

from __future__ import annotations

import re
from functools import cache

import pytest

from fitsolver import Answer, pick
from fitsolver.base.lengths import Unit, exact_text
from fitsolver.records.plan import CylinderPlan
from tests.docs.pages import ROOT

DEMOS = ROOT / "catalogs_demo"
PAGE = (DEMOS / "README.md").read_text(encoding="utf-8")
#: Rows of the table of answers: job, cylinder, piston, finish size, removal.
ROWS = [
    tuple(cell.strip() for cell in row.strip("|").split("|"))
    for row in PAGE.splitlines()
    if re.match(r"\| `[a-z/_]+\.toml` \|", row)
]
JOBS = sorted({row[0].strip("`") for row in ROWS})

answer = cache(lambda job: pick(DEMOS / job))


def finish(cylinder: CylinderPlan, unit: Unit) -> str:
    if not cylinder.machined:
        return "left as it is"
    ends = dict.fromkeys((cylinder.finish_small, cylinder.finish_large))
    return " to ".join(exact_text(end, unit) for end in ends)


def row(job: str, found: Answer, cylinder: CylinderPlan) -> tuple[str, ...]:
    piston = cylinder.piston
    return (
        f"`{job}`",
        cylinder.cylinder,
        f"{piston.number} ({piston.piece})" if piston.piece else piston.number,
        finish(cylinder, found.unit),
        exact_text(cylinder.removal, found.unit),
    )


def rows(job: str) -> list[tuple[str, ...]]:
    """What the table should hold for a job, in the job's own unit, to the last tick."""
    found = answer(job)
    if found.plan is not None:
        assert found.status == "proven best"
        return [row(job, found, cylinder) for cylinder in found.plan.cylinders]
    assert found.no_fit is not None
    return [
        (
            f"`{job}`",
            miss.cylinder,
            "none",
            "nothing fits",
            f"misses by {exact_text(miss.short_by, found.unit)}",
        )
        for miss in found.no_fit.near_misses
    ]


def test_every_demo_job_is_in_the_table() -> None:
    there = sorted(
        path.relative_to(DEMOS).as_posix()
        for path in DEMOS.glob("*/*.toml")
        if path.name not in ("catalogue.toml", "family.toml", "shop.toml")
        and (path.parent / "catalogue.toml").exists()
    )
    assert there == JOBS


@pytest.mark.parametrize("job", JOBS)
def test_hand_worked_answers(job: str) -> None:
    assert [line for line in ROWS if line[0] == f"`{job}`"] == rows(job)


@pytest.mark.parametrize("job", JOBS)
def test_totals_worked_by_hand(job: str) -> None:
    """Where the page adds the removals up, or names a price, it is the plan's."""
    found = answer(job)
    if found.plan is None:
        return
    total = sum(cylinder.removal for cylinder in found.plan.cylinders)
    levels = {level.level: level.value for level in found.plan.objective}
    assert levels["total_removal"] == total
    part = PAGE.split(f"`{job}`: ", 1)[1].split("\n\n## ", 1)[0]
    assert f"{found.plan.price / 100:.2f} {found.currency}" in part
    if total:
        assert f"= {exact_text(total, found.unit)}" in part


@pytest.mark.parametrize("demo", ["pump", "launch", "brushsaw", "workshop"])
def test_the_demos_say_that_they_are_invented(demo: str) -> None:
    for path in (DEMOS / demo).glob("*.toml"):
        assert "invented" in path.read_text(encoding="utf-8").lower(), path.name
    assert "invented" in PAGE
