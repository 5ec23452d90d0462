"""The command `plan`: the machining plan of a job, stage by stage."""

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


def plan(
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    time_limit: TimeLimitOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Plan the machining: every stage with its dial stop."""
    from fitsolver import service

    if output is not None:
        check_new(output)
    with progress() as tell:
        answer = service.machining_plan(
            job, catalogue, accept_outliers=accept_outliers, time_limit=time_limit, progress=tell
        )
    if json:
        write_json(answer, output)
    else:
        from fitsolver.reporting.terminal import render_stages

        show(render_stages(answer, None if unit is None else unit.value), output)
    codes = {"proven best": _DONE, "nothing fits": _NOTHING_FITS}
    raise typer.Exit(codes.get(answer.status, _NOT_PROVEN))
