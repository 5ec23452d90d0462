"""The command `screen`: a table of bores, and what fits each."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.base.exit_codes import BAD_INPUT, DONE
from fitsolver.cli.options import JsonOption, OutputOption, SchedulerOption, WorkersOption
from fitsolver.cli.output import deliver, may_write, progress, tidy_when_ended


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
) -> None:
    """Screen a table of bores: what fits each."""
    from fitsolver.usecases import files as service

    may_write(output)
    with tidy_when_ended(), progress() as tell:
        answer = service.screen(
            bores,
            catalogue,
            like,
            out=out,
            bad_rows=bad_rows,
            scheduler=scheduler,
            workers=workers,
            progress=tell,
        )
    deliver(answer, lambda to: to.render_screen(answer), json=json, output=output)
    raise typer.Exit(BAD_INPUT if answer.bad else DONE)
