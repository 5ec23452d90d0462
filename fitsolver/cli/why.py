"""The command `why`: reasons, and the smallest changes that would open a job."""

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
)
from fitsolver.cli.output import deliver, may_write


def why(
    job: JobFile,
    catalogue: CatalogueOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Tell why nothing fits and what would open it, or why so."""
    from fitsolver.usecases import files as service

    may_write(output)
    answer = service.why(job, catalogue, accept=accept or (), accept_outliers=accept_outliers)
    deliver(answer, lambda to: to.render_why(answer), json=json, output=output)
    raise typer.Exit(code_of(answer.status))
