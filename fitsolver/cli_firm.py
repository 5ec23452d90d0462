"""The command `firm`: how far figures may go before the pick changes."""

from __future__ import annotations

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


def firm(
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Show how far figures may go before the pick changes."""
    from fitsolver import service

    if output is not None:
        check_new(output)
    with progress() as tell:
        answer = service.firm(job, catalogue, accept_outliers=accept_outliers, progress=tell)
    if json:
        write_json(answer, output)
    else:
        from fitsolver.reporting.terminal import render_firm

        show(render_firm(answer, None if unit is None else unit.value), output)
    codes = {"proven best": 0, "nothing fits": 3}
    raise typer.Exit(codes.get(answer.status, 4))
