"""Answers of the demo jobs, and copies of them with another outcome."""

from __future__ import annotations

from functools import cache
from io import StringIO
from pathlib import Path
from typing import Final

from rich.console import Console, RenderableType

from fitsolver.records.base import Record
from fitsolver.records.forms_answer import FormsAnswer
from fitsolver.records.plan import Answer, Plan
from fitsolver.records.review import CatalogueReview
from fitsolver.records.verdicts import FitsAnswer
from fitsolver.usecases import files as service
from fitsolver.usecases import tables

DEMOS: Final = Path(__file__).parents[3] / "catalogs_demo"
FOLDERS: Final = ("pump", "launch", "brushsaw")
PLANNED: Final = ("pump/job", "launch/job", "brushsaw/job")
JOBS: Final = (*PLANNED, "pump/worn_out")
WIDTHS: Final = (80, 100)


@cache
def picked(job: str) -> Answer:
    return service.pick(DEMOS / f"{job}.toml")


def planned(job: str) -> Plan:
    plan = picked(job).plan
    assert plan is not None
    return plan


@cache
def formed(job: str) -> FormsAnswer:
    return service.bore(DEMOS / f"{job}.toml")


@cache
def screened(job: str) -> FitsAnswer:
    return service.part_sets(DEMOS / f"{job}.toml")


@cache
def reviewed(folder: str) -> CatalogueReview:
    return tables.review_catalogue(DEMOS / folder)


def documents() -> list[tuple[str, Record]]:
    """Every kind of document, by the name of its schema, from every demo."""
    found: list[tuple[str, Record]] = []
    for job in JOBS:
        found += [("answer", picked(job)), ("forms", formed(job)), ("fits", screened(job))]
    found += [("review", reviewed(folder)) for folder in FOLDERS]
    return [*found, ("answer", unproven("pump/job")), ("answer", undecided("pump/job"))]


def unproven(job: str) -> Answer:
    """The answer as it stands when the time runs out after the first level was settled."""
    plan = planned(job)
    levels = [plan.objective[0]]
    for level in plan.objective[1:]:
        lower = {"proven": False, "bound": level.value * 3 // 4}
        levels.append(level.model_copy(update=lower))
    plan = plan.model_copy(update={"objective": tuple(levels)})
    return picked(job).model_copy(update={"status": "best found", "plan": plan})


def undecided(job: str) -> Answer:
    """The answer when the time runs out before any plan was found."""
    return picked(job).model_copy(update={"status": "undecided", "plan": None})


def written(report: RenderableType, width: int = 80) -> str:
    """A report as it comes out of a pipe of so many columns."""
    out = StringIO()
    Console(file=out, width=width).print(report)
    return out.getvalue()


def flowing(text: str) -> str:
    """A text without its line breaks: sentences may be broken at blanks."""
    return " ".join(text.split())
