"""The command `allot`: many jobs, one shelf."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.cli.answering import Out, doubts, give
from fitsolver.cli.options import (
    AcceptOption,
    FullOption,
    JsonOption,
    OutliersOption,
    OutputOption,
    SchedulerOption,
    ShowOption,
    TimeLimitOption,
    UnitOption,
    WorkersOption,
)


def allot(  # noqa: PLR0913, PLR0917
    shop: Annotated[
        Path, typer.Argument(metavar="SHOP", readable=False, help="Shop folder with shop.toml.")
    ],
    start: Annotated[
        Path | None,
        typer.Option(
            "--start",
            metavar="FILE",
            readable=False,
            help="Start from this answer (JSON) of an earlier run.",
        ),
    ] = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    time_limit: TimeLimitOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
    scheduler: SchedulerOption = None,
    workers: WorkersOption = None,
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Allot one shelf to many jobs: who gets what."""
    give(
        "allot",
        Out(unit, json, output, show=opening, full=full),
        shop,
        watched=True,
        start=start,
        time_limit=time_limit,
        scheduler=scheduler,
        workers=workers,
        **doubts(accept, accept_outliers),
    )
