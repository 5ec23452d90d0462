"""The command `why`: reasons, and the smallest changes that would open a job."""

from __future__ import annotations

from fitsolver.cli.answering import Out, doubts, give
from fitsolver.cli.options import (
    AcceptOption,
    CatalogueOption,
    FullOption,
    JobFile,
    JsonOption,
    OutliersOption,
    OutputOption,
    ShowOption,
    TimeLimitOption,
)


def why(  # noqa: PLR0913, PLR0917
    job: JobFile,
    catalogue: CatalogueOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    time_limit: TimeLimitOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Tell why nothing fits and what would open it, or why so."""
    give(
        "why",
        Out(json=json, output=output, show=opening, full=full),
        job,
        catalogue,
        watched=True,
        time_limit=time_limit,
        **doubts(accept, accept_outliers),
    )
