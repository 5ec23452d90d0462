"""The command `pick`: the best plan of a job."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

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
from fitsolver.cli.output import show, unit_of, write
from fitsolver.cli.plotting import PlotOption

if TYPE_CHECKING:
    from fitsolver.base.lengths import Unit
    from fitsolver.records.plan import Answer


def pick(  # noqa: PLR0913, PLR0917
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    csv: Annotated[bool, typer.Option("--csv", help="Write the order list as CSV.")] = False,
    output: OutputOption = None,
    plot: PlotOption = None,
    time_limit: TimeLimitOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Pick parts and finish size, and prove the choice."""
    if json and csv:
        raise typer.BadParameter("--json and --csv exclude each other")
    give(
        "pick",
        Out(unit, json, output, plot, opening, full),
        job,
        catalogue,
        watched=True,
        written=(lambda answer: _write_order(answer, output, unit_of(unit))) if csv else None,
        time_limit=time_limit,
        **doubts(accept, accept_outliers),
    )


def _write_order(answer: Answer, output: Path | None, unit: Unit | None) -> None:
    """Write the order list; without a plan write nothing, and say why on standard error."""
    from fitsolver.reporting.order_csv import order_csv
    from fitsolver.reporting.sections import Opened
    from fitsolver.verbs.report import report

    if answer.plan is None:
        show(report(answer, unit, Opened()), error=True)
    else:
        write(order_csv(answer.plan), output)
