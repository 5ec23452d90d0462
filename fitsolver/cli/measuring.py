"""The commands `budget` and `gauge`: how sure the figures of a job are."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.cli.options import JobFile, JsonOption, OutputOption
from fitsolver.cli.output import UnitChoice, deliver, may_write, unit_of

Unit = Annotated[
    UnitChoice | None, typer.Option("--unit", "-u", help="Unit of the report; else the file's.")
]


def budget(
    job: JobFile,
    catalogue: Annotated[
        Path | None,
        typer.Option(
            "--catalogue",
            "-c",
            metavar="FOLDER",
            readable=False,
            help="Catalogue folder; else the one the job names, if it names one.",
        ),
    ] = None,
    batch_spread: Annotated[
        str | None,
        typer.Option(
            "--batch-spread",
            metavar="LENGTH",
            help="Standard deviation of the clearances of a batch: also show its risks.",
        ),
    ] = None,
    batch_mean: Annotated[
        str | None,
        typer.Option("--batch-mean", metavar="LENGTH", help="Their mean; else mid-window."),
    ] = None,
    unit: Unit = None,
    json: JsonOption = False,
    output: OutputOption = None,
) -> None:
    """Show what makes the fits of a job uncertain."""
    from fitsolver.usecases import files as service

    may_write(output)
    answer = service.budget(job, catalogue, batch_spread=batch_spread, batch_mean=batch_mean)
    deliver(answer, lambda to: to.render_budget(answer, unit_of(unit)), json=json, output=output)


def gauge(
    table: Annotated[
        Path, typer.Argument(metavar="TABLE", readable=False, help="Readings (CSV or Excel).")
    ],
    window: Annotated[
        str | None,
        typer.Option("--window", metavar="WIDTH", help="A window's width, to judge the gauge by."),
    ] = None,
    permissible_error: Annotated[
        str | None,
        typer.Option("--permissible-error", metavar="LENGTH", help="Of the gauge, by its maker."),
    ] = None,
    unit: Unit = None,
    json: JsonOption = False,
    output: OutputOption = None,
) -> None:
    """Study a gauge from repeated readings."""
    from fitsolver.usecases import files as service

    may_write(output)
    study = service.gauge_study(table, window, permissible_error=permissible_error)
    deliver(study, lambda to: to.render_gauge(study, unit_of(unit)), json=json, output=output)
