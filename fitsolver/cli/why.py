"""The command `why`: reasons, and the smallest changes that would open a job."""

from __future__ import annotations

from fitsolver.cli.answering import Out, doubts, give
from fitsolver.cli.options import (
    AcceptOption,
    CatalogueOption,
    JobFile,
    JsonOption,
    OutliersOption,
    OutputOption,
    TimeLimitOption,
)


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
    give(
        "why",
        Out(json=json, output=output),
        job,
        catalogue,
        watched=True,
        time_limit=time_limit,
        **doubts(accept, accept_outliers),
    )
