"""The commands `final` and `arrived`: the bore when it is finished, the parts when they came."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.new_file import check_new
from fitsolver.output import UnitChoice, progress, show, write_json

Job = Annotated[Path, typer.Argument(metavar="JOB", readable=False, help="Job file (TOML).")]
Catalogue = Annotated[
    Path | None,
    typer.Option(
        "--catalogue",
        "-c",
        metavar="FOLDER",
        readable=False,
        help="Catalogue folder; else the one the job names.",
    ),
]
Unit = Annotated[
    UnitChoice | None, typer.Option("--unit", "-u", help="Unit of the report; else the job's.")
]
Json = Annotated[bool, typer.Option("--json", help="Write the JSON document instead.")]
Output = Annotated[
    Path | None,
    typer.Option(
        "--output", "-o", metavar="FILE", help="Write to this new file instead of the screen."
    ),
]
Outliers = Annotated[
    bool,
    typer.Option("--accept-outliers", help="Take readings that their neighbours contradict."),
]


def final(
    job: Job,
    catalogue: Catalogue = None,
    unit: Unit = None,
    json: Json = False,
    output: Output = None,
    accept_outliers: Outliers = False,
) -> None:
    """Check every fit of a finished cylinder."""
    from fitsolver import service

    _may_write(output)
    answer = service.final(job, catalogue, accept_outliers=accept_outliers)
    if json:
        write_json(answer, output)
    else:
        from fitsolver.reporting.terminal import render_final

        show(render_final(answer, None if unit is None else unit.value), output)
    raise typer.Exit(0 if answer.passes else 3)


def arrived(
    job: Job,
    ordered: Annotated[
        Path,
        typer.Option(
            "--ordered",
            metavar="ANSWER",
            readable=False,
            help="Document that `pick --json` wrote when the parts were ordered.",
        ),
    ],
    catalogue: Catalogue = None,
    unit: Unit = None,
    json: Json = False,
    output: Output = None,
    accept_outliers: Outliers = False,
) -> None:
    """Tell whether parts that came still serve."""
    from fitsolver import service

    _may_write(output)
    with progress() as tell:
        answer = service.arrived(
            job, ordered, catalogue, accept_outliers=accept_outliers, progress=tell
        )
    if json:
        write_json(answer, output)
    else:
        from fitsolver.reporting.terminal import render_arrived

        show(render_arrived(answer, None if unit is None else unit.value), output)
    codes = {"undecided": 4, "ordered parts serve": 0}
    raise typer.Exit(codes.get(answer.status, 3))


def _may_write(output: Path | None) -> None:
    """Refuse before any work is done: nothing is ever overwritten."""
    if output is not None:
        check_new(output)
