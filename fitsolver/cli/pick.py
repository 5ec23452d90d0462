"""The command `pick`: the best plan of a job."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

from fitsolver.cli.answering import Out, give
from fitsolver.cli.command import Own, command
from fitsolver.cli.output import show, unit_of, write

if TYPE_CHECKING:
    from fitsolver.records.plan import Answer


def _pick(name: str, out: Out, /, *files: Any, csv: bool, **options: Any) -> NoReturn:
    if out.json and csv:
        raise typer.BadParameter("--json and --csv exclude each other")
    give(name, out, *files, written=partial(_write_order, out) if csv else None, **options)


def _write_order(out: Out, answer: Answer) -> None:
    """Write the order list; without a plan write nothing, and say why on standard error."""
    from fitsolver.reporting.order_csv import order_csv
    from fitsolver.reporting.sections import Opened
    from fitsolver.verbs.report import report

    if answer.plan is None:
        show(report(answer, unit_of(out.unit), Opened()), error=True)
    else:
        write(order_csv(answer.plan), out.output)


pick = command(
    "pick",
    "Pick parts and finish size, and prove the choice.",
    *("job", "catalogue", "unit", "json"),
    Own("csv", Annotated[bool, typer.Option("--csv", help="Write the order list as CSV.")], False),
    *("output", "plot", "time_limit", "accept", "accept_outliers", "show", "full"),
    watched=True,
    run=_pick,
)
