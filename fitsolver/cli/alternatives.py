"""The command `alternatives`: the plans that come after the best one."""

from __future__ import annotations

from typing import Annotated

import typer

from fitsolver.cli.answering import Out, doubts, give
from fitsolver.cli.options import (
    AcceptOption,
    CatalogueOption,
    FullOption,
    JobFile,
    JsonOption,
    OutliersOption,
    OutputOption,
    ShowOption,
    TimeLimitOption,
    UnitOption,
)


def alternatives(  # noqa: PLR0913, PLR0917 - an argument for each option
    job: JobFile,
    catalogue: CatalogueOption = None,
    count: Annotated[
        int, typer.Option("--count", min=1, metavar="COUNT", help="Plans shown, the best included.")
    ] = 5,
    front: Annotated[
        bool,
        typer.Option("--front", help="Also every plan none beats in removal, price and days."),
    ] = False,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    time_limit: TimeLimitOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Show the next best plans, with what each costs."""
    give(
        "alternatives",
        Out(unit, json, output, show=opening, full=full),
        job,
        catalogue,
        watched=True,
        count=count,
        front=front,
        time_limit=time_limit,
        **doubts(accept, accept_outliers),
    )
