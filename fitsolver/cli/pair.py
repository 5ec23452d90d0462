"""The command `pair`: measured bores and measured pieces, put together."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.base.exit_codes import DONE, NOT_PROVEN, NOTHING_FITS
from fitsolver.cli.options import JsonOption, OutputOption, TimeLimitOption
from fitsolver.cli.output import UnitChoice, deliver, may_write, progress, unit_of


def pair(  # noqa: PLR0913, PLR0917
    bores: Annotated[
        Path,
        typer.Argument(
            metavar="BORES", readable=False, help="Measured bores: .csv, .xlsx, .parquet."
        ),
    ],
    pieces: Annotated[
        Path,
        typer.Argument(
            metavar="PIECES", readable=False, help="Measured pieces: .csv, .xlsx, .parquet."
        ),
    ],
    low: Annotated[
        str | None, typer.Option("--low", metavar="LENGTH", help="Lowest clearance.")
    ] = None,
    high: Annotated[
        str | None, typer.Option("--high", metavar="LENGTH", help="Highest clearance.")
    ] = None,
    like: Annotated[
        Path | None,
        typer.Option(
            "--like", metavar="JOB", readable=False, help="Job file whose clearance window holds."
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", metavar="TABLE", readable=False, help="New .csv, .xlsx or .parquet of pairs."
        ),
    ] = None,
    unit: Annotated[
        UnitChoice | None,
        typer.Option("--unit", "-u", help="Unit of lengths that name none; else the job's, or mm."),
    ] = None,
    json: JsonOption = False,
    output: OutputOption = None,
    time_limit: TimeLimitOption = None,
) -> None:
    """Pair measured bores and pieces: the best pairs."""
    from fitsolver.usecases import files as service

    may_write(output)
    with progress() as tell:
        answer = service.pair(
            bores,
            pieces,
            low=low,
            high=high,
            like=like,
            out=out,
            unit=unit_of(unit),
            time_limit=time_limit,
            progress=tell,
        )
    deliver(answer, lambda to: to.render_pair(answer), json=json, output=output)
    if not answer.proven:
        raise typer.Exit(NOT_PROVEN)
    raise typer.Exit(DONE if answer.status == "all bores served" else NOTHING_FITS)
