"""The command `alternatives`: the plans that come after the best one."""

from __future__ import annotations

from typing import Annotated

import typer

from fitsolver.base.exit_codes import NOT_PROVEN, code_of
from fitsolver.cli.options import (
    AcceptOption,
    CatalogueOption,
    JobFile,
    JsonOption,
    OutliersOption,
    OutputOption,
    TimeLimitOption,
    UnitOption,
)
from fitsolver.cli.output import deliver, may_write, progress, unit_of


def alternatives(  # noqa: PLR0913, PLR0917 - an argument for each option
    job: JobFile,
    catalogue: CatalogueOption = None,
    count: Annotated[
        int, typer.Option("--count", min=1, metavar="COUNT", help="Plans shown, the best included.")
    ] = 5,
    front: Annotated[
        bool,
        typer.Option("--front", help="Also every plan none beats in removal, price and days."),
    ] = False,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    time_limit: TimeLimitOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Show the next best plans, with what each costs."""
    from fitsolver.usecases import files as service

    may_write(output)
    with progress() as tell:
        answer = service.alternatives(
            job,
            catalogue,
            count=count,
            front=front,
            accept=accept or (),
            accept_outliers=accept_outliers,
            time_limit=time_limit,
            progress=tell,
        )
    deliver(
        answer, lambda to: to.render_alternatives(answer, unit_of(unit)), json=json, output=output
    )
    whole = answer.front is None or answer.front_complete
    raise typer.Exit(code_of(answer.status) if whole else NOT_PROVEN)
