"""The command `why`: reasons, and the smallest changes that would open a job."""

from __future__ import annotations

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
)
from fitsolver.cli.output import deliver, may_write, progress


def why(
    job: JobFile,
    catalogue: CatalogueOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    time_limit: TimeLimitOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Tell why nothing fits and what would open it, or why so."""
    from fitsolver.usecases import files as service

    may_write(output)
    with progress() as tell:
        answer = service.why(
            job,
            catalogue,
            accept=accept or (),
            accept_outliers=accept_outliers,
            time_limit=time_limit,
            progress=tell,
        )
    deliver(answer, lambda to: to.render_why(answer), json=json, output=output)
    raise typer.Exit(code_of(answer.status) if answer.complete else NOT_PROVEN)
