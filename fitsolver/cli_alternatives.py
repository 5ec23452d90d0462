"""The command `alternatives`: the plans that come after the best one."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.new_file import check_new
from fitsolver.output import UnitChoice, progress, show, write_json


def alternatives(  # noqa: PLR0913, PLR0917 - an argument for each option
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
    count: Annotated[
        int, typer.Option("--count", min=1, metavar="COUNT", help="Plans shown, the best included.")
    ] = 5,
    front: Annotated[
        bool,
        typer.Option("--front", help="Also every plan none beats in removal, price and days."),
    ] = False,
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
    """Show the next best plans, with what each costs."""
    from fitsolver import service

    if output is not None:
        check_new(output)
    with progress() as tell:
        answer = service.alternatives(
            job,
            catalogue,
            count=count,
            front=front,
            accept_outliers=accept_outliers,
            time_limit=time_limit,
            progress=tell,
        )
    if json:
        write_json(answer, output)
    else:
        from fitsolver.reporting.terminal import render_alternatives

        show(render_alternatives(answer, None if unit is None else unit.value), output)
    whole = answer.front is None or answer.front_complete
    codes = {"proven best": 0 if whole else 4, "nothing fits": 3}
    raise typer.Exit(codes.get(answer.status, 4))
