"""The command `bore`: the form of the measured bores."""

from __future__ import annotations

from fitsolver.cli.answering import Out, doubts, give
from fitsolver.cli.options import (
    AcceptOption,
    FullOption,
    JobFile,
    JsonOption,
    OutliersOption,
    OutputOption,
    ShowOption,
    UnitOption,
)
from fitsolver.cli.plotting import PlotOption


def bore(  # noqa: PLR0913, PLR0917
    job: JobFile,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    plot: PlotOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Show the form of the measured bores."""
    give(
        "bore",
        Out(unit, json, output, plot, show=opening, full=full),
        job,
        **doubts(accept, accept_outliers),
    )
