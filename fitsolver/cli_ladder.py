"""The command `ladder`: what is left of the cylinders of a job."""

from __future__ import annotations

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

_DONE, _NOTHING_FITS, _NOT_PROVEN = 0, 3, 4


def ladder(
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    time_limit: TimeLimitOption = None,
    accept_outliers: OutliersOption = False,
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
