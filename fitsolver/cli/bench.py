"""The commands `final` and `arrived`: the bore when it is finished, the parts when they came."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.base.exit_codes import DONE, NOT_PROVEN, NOTHING_FITS
from fitsolver.cli.options import (
    AcceptOption,
    CatalogueOption,
    JobFile,
    JsonOption,
    OutliersOption,
    OutputOption,
    UnitOption,
)
from fitsolver.cli.output import deliver, may_write, progress, unit_of


def final(
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Check every fit of a finished cylinder."""
    from fitsolver.usecases import files as service

    may_write(output)
    answer = service.final(job, catalogue, accept=accept or (), accept_outliers=accept_outliers)
    deliver(answer, lambda to: to.render_final(answer, unit_of(unit)), json=json, output=output)
    raise typer.Exit(DONE if answer.passes else NOTHING_FITS)


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
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Tell whether parts that came still serve."""
    from fitsolver.usecases import files as service

    may_write(output)
    with progress() as tell:
        answer = service.arrived(
            job,
            ordered,
            catalogue,
            accept=accept or (),
            accept_outliers=accept_outliers,
            progress=tell,
        )
    deliver(answer, lambda to: to.render_arrived(answer, unit_of(unit)), json=json, output=output)
    codes = {"undecided": NOT_PROVEN, "ordered parts serve": DONE}
    raise typer.Exit(codes.get(answer.status, NOTHING_FITS))
