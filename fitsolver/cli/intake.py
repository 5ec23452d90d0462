"""The command `intake`: a price or stock list taken into a catalogue."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from fitsolver.cli.answering import Out, leave, opened
from fitsolver.cli.intake_asking import Given, ask_all, told_by
from fitsolver.cli.options import (
    FullOption,
    JsonOption,
    OutputOption,
    ShowOption,
)
from fitsolver.cli.output import UnitChoice, deliver, may_write, say, unit_of

if TYPE_CHECKING:
    from fitsolver.records.intake import IntakeAnswer


def intake(  # noqa: PLR0913, PLR0917
    into: Annotated[
        Path, typer.Option("--into", metavar="FOLDER", readable=False, help="Catalogue folder.")
    ],
    list_file: Annotated[
        Path | None,
        typer.Argument(
            metavar="LIST", readable=False, help="Price or stock list: .csv, .xlsx, .parquet."
        ),
    ] = None,
    unit: Annotated[
        UnitChoice | None, typer.Option("--unit", "-u", help="Unit of sizes that name none: mm.")
    ] = None,
    decimal: Annotated[
        str | None, typer.Option("--decimal", metavar="MARK", help="Decimal mark: point, comma.")
    ] = None,
    currency: Annotated[
        str | None, typer.Option("--currency", metavar="CODE", help="Currency, as EUR.")
    ] = None,
    lead_days: Annotated[
        str | None,
        typer.Option("--lead-days", metavar="DAYS", help="Until what is not in stock comes; none."),
    ] = None,
    family: Annotated[
        str | None, typer.Option("--family", metavar="NAME", help="Family of all rows.")
    ] = None,
    column: Annotated[
        list[str] | None,
        typer.Option("--column", metavar="ROLE=HEADING", help="Which column holds what."),
    ] = None,
    clearance: Annotated[
        list[str] | None,
        typer.Option("--clearance", metavar="LOW HIGH", help="Of a piston in its bore, new."),
    ] = None,
    standard_bore: Annotated[
        list[str] | None,
        typer.Option("--standard-bore", metavar="FAMILY: BORE", help="Bore of oversize 0."),
    ] = None,
    kind: Annotated[
        list[str] | None,
        typer.Option("--kind", metavar="WORDS=KIND", help="What words of a description name."),
    ] = None,
    skip: Annotated[
        list[str] | None,
        typer.Option("--skip", metavar="TEXT", help="A column or word that says nothing here."),
    ] = None,
    answers: Annotated[
        list[str] | None,
        typer.Option("--answer", metavar="KEY=VALUE", help="Answer to what the list leaves open."),
    ] = None,
    yes: Annotated[bool, typer.Option("--yes", help="Take it in as it is understood.")] = False,
    undo: Annotated[bool, typer.Option("--undo", help="Put the folder back as before.")] = False,
    json: JsonOption = False,
    output: OutputOption = None,
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Take a price or stock list into a catalogue."""
    from fitsolver.usecases import intake as verb

    if undo:
        verb.undo_intake(into)
        say(f"{into} is as it was before the last list.")
        return
    if list_file is None:
        raise typer.BadParameter("which list? LIST is missing", param_hint="LIST")
    may_write(output)
    source = list_file
    out = Out(unit, json, output, show=opening, full=full)
    given = Given(
        unit=unit_of(unit),
        decimal=decimal,
        currency=currency,
        lead_days=lead_days,
        family=family,
        column=column or (),
        kind=kind or (),
        clearance=clearance or (),
        standard_bore=standard_bore or (),
        skip=skip or (),
        answers=answers or (),
    )

    def look(given: Given, *, agreed: bool = False) -> IntakeAnswer:
        return verb.intake(source, into, told=told_by(given), agreed=agreed)

    if sys.stdin is not None and sys.stdin.isatty() and not json:
        answer = look(given, agreed=yes)
        if not answer.taken_in:
            given, answer = ask_all(given, look)
            ready = bool(answer.articles) and not any(asked.needed for asked in answer.asked)
            if ready and not yes:
                _agree(answer, out)
                _tell(look(given, agreed=True), out)
            answer = look(given, agreed=yes)
    else:
        answer = look(given, agreed=yes)
    leave("intake", answer, out)


def _agree(answer: IntakeAnswer, out: Out) -> None:
    """Show how a list is understood, and ask whether it is taken in; leave where it is not."""
    from fitsolver.verbs.registry import registered

    deliver(answer, out.unit, json=False, output=None, opened=opened("intake", out))
    rows = len(answer.articles)
    if not typer.confirm(f"Take {rows} rows in?", default=True, err=True):
        say("Nothing was taken in.")
        raise typer.Exit(registered("intake").code(answer))


def _tell(answer: IntakeAnswer, out: Out) -> NoReturn:
    """Tell what was taken in and what to do next; its report was shown before it was agreed to."""
    from fitsolver.reading.list_catalogue import UNCLEAR
    from fitsolver.records.words import counted
    from fitsolver.verbs.registry import registered

    if out.output is not None:
        leave("intake", answer, out)
    families = list(dict.fromkeys(article.family for article in answer.articles))
    rows, kinds = counted(answer.rows, "row", "rows"), counted(len(families), "family", "families")
    say(f"TAKEN IN to {answer.folder}: {len(answer.articles)} of {rows}, {kinds}.")
    if answer.unclear:
        say(f"The others stand in {Path(answer.folder) / UNCLEAR}, each with its reason.")
    folder, family = (f'"{text}"' if " " in text else text for text in (answer.folder, families[0]))
    say(f"Next: fitsolver counter {family} std --catalogue {folder}")
    say(f"      fitsolver new job.toml --family {family} --catalogue {folder}")
    raise typer.Exit(registered("intake").code(answer))
