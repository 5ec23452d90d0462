"""The command `screen`: a table of bores, and what fits each."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.cli.answering import Out, ask, leave
from fitsolver.cli.options import (
    FullOption,
    JsonOption,
    OutputOption,
    SchedulerOption,
    ShowOption,
    WorkersOption,
)
from fitsolver.cli.output import tidy_when_ended


def screen(  # noqa: PLR0913, PLR0917
    bores: Annotated[
        Path,
        typer.Argument(metavar="BORES", readable=False, help="Table: .csv, .xlsx, .parquet."),
    ],
    catalogue: Annotated[
        Path, typer.Argument(metavar="CATALOGUE", readable=False, help="Catalogue folder.")
    ],
    like: Annotated[
        Path,
        typer.Option(
            "--like", metavar="JOB", readable=False, help="Job file whose windows and routes hold."
        ),
    ],
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", metavar="TABLE", readable=False, help="New .csv or .parquet for the rows."
        ),
    ] = None,
    bad_rows: Annotated[
        Path | None,
        typer.Option(
            "--bad-rows",
            metavar="FILE",
            readable=False,
            help="Go on past bad rows; write them to this new CSV.",
        ),
    ] = None,
    scheduler: SchedulerOption = None,
    workers: WorkersOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Screen a table of bores: what fits each."""
    shown = Out(json=json, output=output, show=opening, full=full)
    with tidy_when_ended():
        answer = ask(
            "screen",
            shown,
            bores,
            catalogue,
            like,
            watched=True,
            out=out,
            bad_rows=bad_rows,
            scheduler=scheduler,
            workers=workers,
        )
    leave("screen", answer, shown)
