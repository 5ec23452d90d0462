"""The command `ladder`: what is left of the cylinders of a job."""

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
    UnitOption,
)
from fitsolver.cli.plotting import PlotOption


def ladder(  # noqa: PLR0913, PLR0917
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    plot: PlotOption = None,
    time_limit: TimeLimitOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Show the larger sizes and the rebuilds that are left."""
    give(
        "ladder",
        Out(unit, json, output, plot, show=opening, full=full),
        job,
        catalogue,
        watched=True,
        time_limit=time_limit,
        **doubts(accept, accept_outliers),
    )
