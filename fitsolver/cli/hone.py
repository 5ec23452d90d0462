"""The command `hone`: the log of passes read, or added to one entry after the other."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

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
    UnitOption,
)
from fitsolver.cli.output import unit_of
from fitsolver.cli.plotting import PlotOption


def hone(  # noqa: PLR0913, PLR0917
    job: JobFile,
    catalogue: CatalogueOption = None,
    log: Annotated[
        Path | None,
        typer.Option(
            "--log", metavar="FILE", readable=False, help="Log of passes; else JOB's, as .hone."
        ),
    ] = None,
    cylinder: Annotated[
        str | None,
        typer.Option("--cylinder", metavar="NAME", help="Only this one; else all in the log."),
    ] = None,
    stones: Annotated[
        str | None,
        typer.Option("--stones", metavar="NAME", help="To be used next, if others than before."),
    ] = None,
    enter: Annotated[
        bool, typer.Option("--enter", help="Ask for passes, and add each to the log.")
    ] = False,
    risk: Annotated[
        float,
        typer.Option(
            "--risk", metavar="SHARE", help="Of passing the highest size, a whole bore, at most."
        ),
    ] = 0.05,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    plot: PlotOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Follow a bore at the hone: what is left, how far next."""
    if enter and (json or output is not None or plot is not None):
        raise typer.BadParameter("--enter shows its reports on the screen only")
    how = {"log": log, "risk": risk, **doubts(accept, accept_outliers)}
    if not enter:
        out = Out(unit, json, output, plot, show=opening, full=full)
        give("hone", out, job, catalogue, cylinder=cylinder, stones=stones, **how)
    from fitsolver.cli.hone_entry import EntryPrompts
    from fitsolver.cli.hone_screen import EntryScreen
    from fitsolver.usecases.files import at_the_hone
    from fitsolver.verbs.registry import registered

    opened = at_the_hone(job, catalogue, **how)
    answer = opened.answer(cylinder, stones)
    screen = EntryScreen(unit_of(unit))
    screen.short(answer)
    answer = EntryPrompts(opened, cylinder, screen).run(answer)
    raise typer.Exit(registered("hone").code(answer))
