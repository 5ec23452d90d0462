"""The commands `final` and `arrived`: the bore when it is finished, the parts when they came."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.cli_options import (
    CatalogueOption,
    JobFile,
    JsonOption,
    OutliersOption,
    OutputOption,
    UnitOption,
)
from fitsolver.new_file import check_new
from fitsolver.output import progress, show, write_json


def final(
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    accept_outliers: OutliersOption = False,
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
    job: JobFile,
    ordered: Annotated[
        Path,
        typer.Option(
            "--ordered",
            metavar="ANSWER",
            readable=False,
            help="Document that `pick --json` wrote when the parts were ordered.",
        ),
    ],
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    accept_outliers: OutliersOption = False,
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
