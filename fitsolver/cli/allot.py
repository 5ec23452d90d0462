"""The command `allot`: many jobs, one shelf."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.base.exit_codes import code_of
from fitsolver.cli.options import (
    AcceptOption,
    JsonOption,
    OutliersOption,
    OutputOption,
    SchedulerOption,
    TimeLimitOption,
    UnitOption,
    WorkersOption,
)
from fitsolver.cli.output import deliver, may_write, progress, unit_of


def allot(  # noqa: PLR0913, PLR0917
    shop: Annotated[
        Path, typer.Argument(metavar="SHOP", readable=False, help="Shop folder with shop.toml.")
    ],
    start: Annotated[
        Path | None,
        typer.Option(
            "--start",
            metavar="FILE",
            readable=False,
            help="Start from this answer (JSON) of an earlier run.",
        ),
    ] = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    time_limit: TimeLimitOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
    scheduler: SchedulerOption = None,
    workers: WorkersOption = None,
) -> None:
    """Allot one shelf to many jobs: who gets what."""
    from fitsolver.usecases import files as service

    may_write(output)
    with progress() as tell:
        answer = service.allot(
            shop,
            start=start,
            accept=accept or (),
            accept_outliers=accept_outliers,
            time_limit=time_limit,
            progress=tell,
            scheduler=scheduler,
            workers=workers,
        )
    deliver(
        answer,
        lambda to: to.render_allotment(answer, unit_of(unit)),
        json=json,
        output=output,
    )
    raise typer.Exit(code_of(answer.status))
