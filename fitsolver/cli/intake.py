"""The command `intake`: a price or stock list taken into a catalogue."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, cast, get_args

import typer

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit, parse_length
from fitsolver.cli.answering import Out, leave
from fitsolver.cli.options import (
    FullOption,
    JsonOption,
    OutputOption,
    ShowOption,
)
from fitsolver.cli.output import UnitChoice, may_write, say, unit_of

if TYPE_CHECKING:
    from fitsolver.usecases.intake import Told

_MARKS = {"comma": ",", "point": ".", ",": ",", ".": "."}


def intake(  # noqa: PLR0913, PLR0917
    list_file: Annotated[
        Path,
        typer.Argument(
            metavar="LIST", readable=False, help="Price or stock list: .csv, .xlsx, .parquet."
        ),
    ],
    into: Annotated[
        Path, typer.Option("--into", metavar="FOLDER", readable=False, help="Catalogue folder.")
    ],
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
    may_write(output)
    told = _told(unit_of(unit), decimal, currency, lead_days, family, column, clearance)
    answer = verb.intake(list_file, into, told=told, agreed=yes)
    leave("intake", answer, Out(unit, json, output, show=opening, full=full))


def _told(
    unit: Unit | None,
    decimal: str | None,
    currency: str | None,
    lead_days: str | None,
    family: str | None,
    column: list[str] | None,
    clearance: list[str] | None,
) -> Told:
    from fitsolver.usecases.intake import Told

    if decimal is not None and decimal not in _MARKS:
        raise InputError("no such mark", field="--decimal", found=decimal, allowed="point, comma")
    days: dict[str, Any] = {}
    if lead_days == "none":
        days["stock_only"] = True
    elif lead_days is not None:
        if not lead_days.isdecimal():
            raise InputError(
                "this is no number of days", field="--lead-days", found=lead_days, allowed="6, none"
            )
        days["lead_days"] = int(lead_days)
    return Told(
        units=unit,
        decimal=None if decimal is None else cast(Any, _MARKS[decimal]),
        currency=currency,
        family=family,
        columns=dict(_column(text) for text in column or ()),
        clearance=dict(_clearance(text, unit or "mm") for text in clearance or ()),
        **days,
    )


def _column(text: str) -> tuple[Any, str]:
    from fitsolver.reading.list_words import Role

    role, mark, heading = text.partition("=")
    if not mark or role.strip() not in get_args(Role):
        raise InputError(
            "this names no column",
            field="--column",
            found=text,
            allowed=f"ROLE=HEADING; roles: {', '.join(get_args(Role))}",
        )
    return role.strip(), heading.strip()


def _clearance(text: str, unit: Unit) -> tuple[str, tuple[int, int]]:
    """Return a clearance as `0.045 0.055`, or with its family before: `P62: 0.045 0.055`."""
    family, colon, figures = text.rpartition(":")
    parts = figures.split()
    try:
        low, high = (parse_length(part, unit) for part in parts)
    except ValueError as error:
        raise InputError(
            "this is no clearance",
            field="--clearance",
            found=text,
            allowed='two lengths, as "0.045 0.055" or "P62: 0.045 0.055"',
        ) from error
    if low > high:
        raise InputError("the lowest is above the highest", field="--clearance", found=text)
    return family.strip() if colon else "", (low, high)
