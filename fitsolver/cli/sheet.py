"""The command `sheet`: a page to print and pin at the machine."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import Annotated, Any, NoReturn

import typer

from fitsolver.base.errors import InputError
from fitsolver.cli.answering import Out, give
from fitsolver.cli.command import Own, command
from fitsolver.cli.output import unit_of, write


class PaperChoice(StrEnum):
    """Papers that a sheet can be set for."""

    a4 = "a4"
    letter = "letter"


_PAPER = Annotated[PaperChoice, typer.Option("--paper", help="Paper to set it for.")]
_DATE = Annotated[
    str | None, typer.Option("--date", metavar="DATE", help="As 2027-03-01; else today.")
]


def _sheet(
    name: str, out: Out, /, *files: Any, paper: PaperChoice, made_on: str | None, **options: Any
) -> NoReturn:
    give(
        name,
        out,
        *files,
        written=lambda made: write(made.html, out.output),
        paper=paper.value,
        made_on=_date(made_on),
        unit=unit_of(out.unit),
        **options,
    )


def _date(text: str | None) -> date:
    if text is None:
        return date.today()
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        allowed = "year-month-day, as 2027-03-01"
        raise InputError("no such day", field="date", found=text, allowed=allowed) from error


sheet = command(
    "sheet",
    "Write the sheet for the machine, as HTML to print.",
    *("job", "catalogue", Own("paper", _PAPER, PaperChoice.a4), Own("made_on", _DATE, None)),
    *("unit", "output", "time_limit", "accept", "accept_outliers"),
    watched=True,
    run=_sheet,
)
