"""The command `sheet`: a page to print and pin at the machine."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import Annotated

import typer

from fitsolver.base.errors import InputError
from fitsolver.cli.answering import Out, doubts, give
from fitsolver.cli.options import (
    AcceptOption,
    CatalogueOption,
    JobFile,
    OutliersOption,
    OutputOption,
    TimeLimitOption,
    UnitOption,
)
from fitsolver.cli.output import unit_of, write


class PaperChoice(StrEnum):
    """Papers that a sheet can be set for."""

    a4 = "a4"
    letter = "letter"


def sheet(  # noqa: PLR0913, PLR0917
    job: JobFile,
    catalogue: CatalogueOption = None,
    paper: Annotated[PaperChoice, typer.Option("--paper", help="Paper to set it for.")] = (
        PaperChoice.a4
    ),
    made_on: Annotated[
        str | None, typer.Option("--date", metavar="DATE", help="As 2027-03-01; else today.")
    ] = None,
    unit: UnitOption = None,
    output: OutputOption = None,
    time_limit: TimeLimitOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Write the sheet for the machine, as HTML to print."""
    give(
        "sheet",
        Out(output=output),
        job,
        catalogue,
        watched=True,
        written=lambda made: write(made.html, output),
        paper=paper.value,
        made_on=_date(made_on),
        unit=unit_of(unit),
        time_limit=time_limit,
        **doubts(accept, accept_outliers),
    )


def _date(text: str | None) -> date:
    if text is None:
        return date.today()
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        allowed = "year-month-day, as 2027-03-01"
        raise InputError("no such day", field="date", found=text, allowed=allowed) from error
