"""The command `why`: reasons, and the smallest changes that would open a job."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.new_file import check_new
from fitsolver.output import show, write_json

#: Exit codes of `why`: those of `pick`.
_CODES = {"proven best": 0, "nothing fits": 3}


def why(
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
    """Tell why nothing fits and what would open it, or why so."""
    from fitsolver import service

    if output is not None:
        check_new(output)
    answer = service.why(job, catalogue, accept_outliers=accept_outliers)
    if json:
        write_json(answer, output)
    else:
        from fitsolver.reporting.terminal import render_why

        show(render_why(answer), output)
    raise typer.Exit(_CODES[answer.status])
