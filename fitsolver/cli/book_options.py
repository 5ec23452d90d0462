"""What the commands `book ...` share: options, opening the book, saying what is in it now."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Annotated

import typer

from fitsolver.base.errors import InputError
from fitsolver.cli.output import say

if TYPE_CHECKING:
    from fitsolver.book.book import Book
    from fitsolver.records.book import Kept

PlaceOption = Annotated[
    str | None,
    typer.Option("--book", metavar="PLACE", help="File or PostgreSQL URL of the book."),
]
DateOption = Annotated[
    datetime | None,
    typer.Option("--date", formats=["%Y-%m-%d"], metavar="DAY", help="As 2026-03-01; else today."),
]
ToOption = Annotated[
    str | None,
    typer.Option("--to", metavar="KEY", help="Job it belongs to; else the cylinder's last one."),
]
MarkingArgument = Annotated[
    str, typer.Argument(metavar="MARKING", help="The owner's own marking of the cylinder.")
]
KeyArgument = Annotated[
    str, typer.Argument(metavar="KEY", help="Key of an entry, or its beginning.")
]


def opened_at(place: str | None, *, create: bool = True) -> Book:
    """Return the book at a place; `create` begins one where there is none."""
    from fitsolver import book as books

    return books.open(place, create=create)


def day_of(given: datetime | None, opened: Book) -> date:
    """Return the day that was given, else today.

    Raises InputError where the clock says a day before the newest entry: it was set back, or the
    entry was dated ahead.
    """
    if given is not None:
        return given.date()
    today, newest = date.today(), opened.newest()
    if newest is not None and today < newest:
        raise InputError(
            f"the clock of this machine is before the newest entry of the book, of {newest}",
            field="date",
            found=today,
            allowed="the day, given with --date",
        )
    return today


def tell_damaged(opened: Book) -> bool:
    """Name on standard error the damaged entries that were come upon; tell whether there are."""
    for sentence in opened.damaged:
        say(f"fitsolver: {sentence}", error=True)
    return bool(opened.damaged)


def tell(*kept: Kept) -> None:
    """Say what is in the book now, one line an entry."""
    for item in kept:
        entry = item.entry
        number = "" if entry.number is None else f" {entry.number}"
        cylinders = ", ".join(line.marking for line in entry.lines)
        what = f"{entry.kind}{number} of {entry.date}" + (f": {cylinders}" if cylinders else "")
        say(f"{entry.key[:10]}  {what}" + ("" if item.new else " (was there already)"))
