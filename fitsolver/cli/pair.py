"""The command `pair`: measured bores and measured pieces, put together."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.cli.answering import Out, give
from fitsolver.cli.options import (
    FullOption,
    JsonOption,
    OutputOption,
    ShowOption,
    TimeLimitOption,
)
from fitsolver.cli.output import UnitChoice, unit_of


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
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Pair measured bores and pieces: the best pairs."""
    give(
        "pair",
        Out(json=json, output=output, show=opening, full=full),
        bores,
        pieces,
        watched=True,
        low=low,
        high=high,
        like=like,
        out=out,
        unit=unit_of(unit),
        time_limit=time_limit,
    )
