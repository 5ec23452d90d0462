"""The command `firm`: how far figures may go before the pick changes."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.new_file import check_new
from fitsolver.output import UnitChoice, progress, show, write_json


def firm(
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
            "--output", "-o", metavar="FILE", help="Write to this new file instead of the screen."
        ),
    ] = None,
    accept_outliers: Annotated[
        bool,
        typer.Option("--accept-outliers", help="Take readings that their neighbours contradict."),
    ] = False,
) -> None:
    """Show how far figures may go before the pick changes."""
    from fitsolver import service

    if output is not None:
        check_new(output)
    with progress() as tell:
        answer = service.firm(job, catalogue, accept_outliers=accept_outliers, progress=tell)
    if json:
        write_json(answer, output)
    else:
        from fitsolver.reporting.terminal import render_firm

        show(render_firm(answer, None if unit is None else unit.value), output)
    codes = {"proven best": 0, "nothing fits": 3}
    raise typer.Exit(codes.get(answer.status, 4))
