"""The command `intake`: a price or stock list taken into a catalogue."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitsolver.cli.answering import Out, leave, opened
from fitsolver.cli.intake_asking import Given, ask_all, told_by
from fitsolver.cli.options import (
    FullOption,
    JsonOption,
    OutputOption,
    ShowOption,
)
from fitsolver.cli.output import UnitChoice, may_write, say, unit_of

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
        skip=skip or (),
        answers=answers or (),
    )

    def look(given: Given, *, agreed: bool = False) -> IntakeAnswer:
        return verb.intake(source, into, told=told_by(given), agreed=agreed)

    if sys.stdin is not None and sys.stdin.isatty() and not json:
        answer = look(given, agreed=yes)
        if not answer.taken_in:
            given, answer = ask_all(given, look)
            agreed = yes or _agreed(answer, out)
            answer = look(given, agreed=agreed)
    else:
        answer = look(given, agreed=yes)
    leave("intake", answer, out)


def _agreed(answer: IntakeAnswer, out: Out) -> bool:
    """Show how a list is understood, and ask whether it is taken in as it is."""
    from fitsolver.cli.output import deliver

    deliver(answer, out.unit, json=False, output=None, opened=opened("intake", out))
    rows = len(answer.articles)
    return bool(rows) and typer.confirm(f"Take {rows} rows in?", default=True, err=True)
