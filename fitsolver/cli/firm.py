"""The command `firm`: how far figures may go before the pick changes."""

from __future__ import annotations

import typer

from fitsolver.base.exit_codes import code_of
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


def firm(
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Show how far figures may go before the pick changes."""
    from fitsolver.usecases import files as service

    may_write(output)
    with progress() as tell:
        answer = service.firm(
            job, catalogue, accept=accept or (), accept_outliers=accept_outliers, progress=tell
        )
    deliver(answer, lambda to: to.render_firm(answer, unit_of(unit)), json=json, output=output)
    raise typer.Exit(code_of(answer.status))
