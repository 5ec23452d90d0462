"""The command `budget`: what makes the fits of a job uncertain."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.cli.answering import Out, give
from fitsolver.cli.options import (
    FileUnitOption,
    FullOption,
    JobFile,
    JsonOption,
    OutputOption,
    ShowOption,
)


def budget(  # noqa: PLR0913, PLR0917
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
    unit: FileUnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Show what makes the fits of a job uncertain."""
    out = Out(unit, json, output, show=opening, full=full)
    give("budget", out, job, catalogue, batch_spread=batch_spread, batch_mean=batch_mean)
