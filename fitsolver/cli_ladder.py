"""The command `ladder`: what is left of the cylinders of a job."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.new_file import check_new
from fitsolver.output import UnitChoice, progress, show, write_json

_DONE, _NOTHING_FITS, _NOT_PROVEN = 0, 3, 4


def ladder(
    job: Annotated[Path, typer.Argument(metavar="JOB", readable=False, help="Job file (TOML).")],
    catalogue: Annotated[
        Path | None,
        typer.Option(
            "--catalogue",
            "-c",
            metavar="FOLDER",
            readable=False,
            help="Catalogue folder; else the one the job names.",
        ),
    ] = None,
    unit: Annotated[
        UnitChoice | None, typer.Option("--unit", "-u", help="Unit of the report; else the job's.")
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Write the JSON document instead.")] = False,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="FILE",
            readable=False,
            help="Write to this new file instead of the screen.",
        ),
    ] = None,
    time_limit: Annotated[
        float | None,
        typer.Option(
            "--time-limit", min=0.001, metavar="SECONDS", help="Stop then; else when it is proven."
        ),
    ] = None,
    accept_outliers: Annotated[
        bool,
        typer.Option("--accept-outliers", help="Take readings that their neighbours contradict."),
    ] = False,
) -> None:
    """Show the larger sizes and the rebuilds that are left."""
    from fitsolver import service

    if output is not None:
        check_new(output)
    with progress() as tell:
        answer = service.ladder(
            job, catalogue, accept_outliers=accept_outliers, time_limit=time_limit, progress=tell
        )
    if json:
        write_json(answer, output)
    else:
        from fitsolver.reporting.terminal import render_ladder

        show(render_ladder(answer, None if unit is None else unit.value), output)
    codes = {"proven best": _DONE, "nothing fits": _NOTHING_FITS}
    raise typer.Exit(codes.get(answer.status, _NOT_PROVEN))
