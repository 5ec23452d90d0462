"""The command `hone`: the log of passes read, or added to one entry after the other."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitsolver.base.errors import InputError
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
from fitsolver.cli.output import UnitChoice, say, show, unit_of
from fitsolver.cli.plotting import PlotOption

if TYPE_CHECKING:
    from fitsolver.records.hone import HoneAnswer
    from fitsolver.usecases.hone_file import HoneFile

#: What is asked of a pass after its strokes.
_QUESTIONS = {
    "stones": "Stones",
    "temperature": "Bore in °C (empty: as in the job)",
    "readings": "Readings: depth axis figure, depth axis figure, ... (empty: none)",
}


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
    from fitsolver.usecases.files import at_the_hone
    from fitsolver.verbs.registry import registered

    opened = at_the_hone(job, catalogue, **how)
    answer = opened.answer(cylinder, stones)
    _report(answer, unit)
    answer = _enter(opened, cylinder, unit) or answer
    raise typer.Exit(registered("hone").code(answer))


def _report(answer: HoneAnswer, unit: UnitChoice | None) -> None:
    from fitsolver.reporting.sections import Opened
    from fitsolver.verbs.report import report

    show(report(answer, unit_of(unit), Opened()))


def _enter(opened: HoneFile, cylinder: str | None, unit: UnitChoice | None) -> HoneAnswer | None:
    """Ask for entries until an empty one or the end of the input; each is safe once answered.

    What is refused is said, not written, and asked for again. Returns the last answer.
    """
    from fitsolver.honing.log import entry_line, parse_entry

    answer: HoneAnswer | None = None
    names = opened.machined()
    typed = {"stones": ""}  # what was refused is offered again
    try:
        while True:
            name = cylinder or (names[0] if len(names) == 1 else _ask("Cylinder (empty: done)"))
            passes = _ask("Strokes, or seconds as '35 s' (empty: done)") if name else ""
            if not passes:
                break
            try:
                if passes != "0":  # none are fine where readings follow
                    parse_entry(entry_line((name, passes, "", "")), opened.job)
                for key, question in _QUESTIONS.items():
                    typed[key] = _ask(question, typed.get(key, ""))
                cells = [cell.strip() for cell in typed["readings"].split(",") if cell.strip()]
                head = (name, passes, typed["stones"], typed["temperature"])
                opened.enter(entry_line((*head, *cells)))
                typed = {"stones": typed["stones"]}
                answer = opened.answer(name)
            except InputError as error:
                say(f"  {error}", error=True)
                continue
            _report(answer, unit)
    except (typer.Abort, KeyboardInterrupt):
        say("", error=True)
    say(f"Every entry that was answered is in {opened.log}.", error=True)
    return answer


def _ask(question: str, default: str = "") -> str:
    answer = typer.prompt(question, default=default, show_default=bool(default), err=True)
    return str(answer).strip()
