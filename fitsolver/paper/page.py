"""A sheet set as one page of HTML: every text escaped, nothing fetched from anywhere."""

from __future__ import annotations

from datetime import date
from functools import cache
from typing import Final, Literal, NamedTuple, get_args

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from fitsolver.base.lengths import Unit
from fitsolver.base.printable import printable
from fitsolver.paper.contents import Profiles, contents
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer, Status
from fitsolver.records.stages import StagesAnswer

Paper = Literal["a4", "letter"]
PAPERS: Final[tuple[Paper, ...]] = get_args(Paper)


class WorkSheet(NamedTuple):
    """A sheet as HTML, and the status of the answer it shows."""

    status: Status
    html: str


def work_sheet(
    job: Job,
    answer: Answer,
    stages: StagesAnswer,
    profiles: Profiles,
    *,
    made_on: date,
    paper: Paper = "a4",
    unit: Unit | None = None,
) -> WorkSheet:
    """Return the sheet of a job.

    `job` has its readings at 20 °C; `answer` is its answer, `stages` its machining plan, and
    `profiles` draws its bores. Equal arguments give equal text. Without a plan the sheet says why.
    """
    found = contents(job, answer, stages, profiles, made_on, unit)
    html = _templates().get_template("sheet.html").render(sheet=found, paper=paper)
    return WorkSheet(answer.status, html)


@cache
def _templates() -> Environment:
    made = Environment(
        loader=PackageLoader("fitsolver.paper"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        finalize=_plain,
    )
    made.filters["css_text"] = css_text
    return made


def _plain(value: object) -> object:
    """Replace unprintable characters in texts from files by dots."""
    return printable(value) if type(value) is str else value


def css_text(text: str) -> Markup:
    """Return a text as a quoted string of CSS; all but letters, digits and blanks as numbers.

    A blank ends a number and is not part of the text.
    """
    safe = (
        sign if sign.isascii() and (sign.isalnum() or sign == " ") else f"\\{ord(sign):x} "
        for sign in printable(text)
    )
    return Markup('"' + "".join(safe) + '"')
