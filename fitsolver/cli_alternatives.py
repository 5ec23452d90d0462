"""The command `alternatives`: the plans that come after the best one."""

from __future__ import annotations

from typing import Annotated

import typer

from fitsolver.cli_options import (
    CatalogueOption,
    JobFile,
    JsonOption,
    OutliersOption,
    OutputOption,
    TimeLimitOption,
    UnitOption,
)
from fitsolver.new_file import check_new
from fitsolver.output import progress, show, write_json


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
    accept_outliers: OutliersOption = False,
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
