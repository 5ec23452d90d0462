"""The commands `book ...` that show what is in the book, or write it into a file."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from fitsolver.base.errors import InputError
from fitsolver.base.exit_codes import DONE, NOTHING_FITS
from fitsolver.cli.book_options import (
    KeyArgument,
    MarkingArgument,
    PlaceOption,
    opened_at,
    tell_damaged,
)
from fitsolver.cli.options import (
    AcceptOption,
    CatalogueOption,
    JobFile,
    JsonOption,
    OutliersOption,
    OutputOption,
    UnitOption,
    path_argument,
)
from fitsolver.cli.output import deliver, may_write, progress, say, unit_of, write


class KindChoice(StrEnum):
    """Kinds of entry."""

    job = "job"
    fitted = "fitted"
    passes = "pass"
    final = "final"


def history(
    marking: MarkingArgument,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    place: PlaceOption = None,
) -> None:
    """Show a cylinder over the years: sizes, wear, parts."""
    may_write(output)
    with opened_at(place, create=False) as opened:
        answer = opened.history(marking)
    deliver(answer, unit, json=json, output=output)


def ladder(
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    place: PlaceOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Show the rebuilds left of a job, with the earlier records that the book has."""
    from fitsolver.base.exit_codes import code_of
    from fitsolver.book.wear import told_apart, with_earlier
    from fitsolver.usecases.ladder import sizes_left
    from fitsolver.usecases.loading import load

    may_write(output)
    read, parts = load(job, catalogue, accept=accept or (), accept_outliers=accept_outliers)
    with opened_at(place, create=False) as opened:
        known = opened.earlier_of(read)
        damaged = opened.damaged
    with progress() as tell:
        answer = sizes_left(with_earlier(read, known), parts, progress=tell)
    cautions = (*damaged, *told_apart(read, known), *answer.cautions)
    answer = answer.model_copy(update={"cautions": cautions})
    deliver(answer, unit, json=json, output=output)
    raise typer.Exit(code_of(answer.status))


def earlier(
    job: JobFile,
    output: OutputOption = None,
    place: PlaceOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Write the earlier records of a job's cylinders, to paste into its file."""
    from fitsolver.book.wear import earlier_text
    from fitsolver.reading.job_file import read_job
    from fitsolver.usecases.loading import accepting

    may_write(output)
    read = accepting(read_job(job, accept_outliers=accept_outliers), accept or ())
    with opened_at(place, create=False) as opened:
        known = opened.earlier_of(read)
        tell_damaged(opened)
    if not known:
        raise InputError(
            "the book knows no wear of these cylinders",
            file=str(job),
            field="marking",
            allowed="a cylinder that came in again after the book knew how it had left",
        )
    write(earlier_text(read, known), output)


def search(
    text: Annotated[
        list[str] | None,
        typer.Argument(metavar="WORD...", help="Parts of markings, names, part numbers."),
    ] = None,
    kind: Annotated[KindChoice | None, typer.Option("--kind", help="Entries of this kind.")] = None,
    since: Annotated[
        datetime | None,
        typer.Option("--since", formats=["%Y-%m-%d"], metavar="DAY", help="From this day on."),
    ] = None,
    until: Annotated[
        datetime | None,
        typer.Option("--until", formats=["%Y-%m-%d"], metavar="DAY", help="Up to this day."),
    ] = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    place: PlaceOption = None,
) -> None:
    """Find cylinders and entries by words that stand in them."""
    may_write(output)
    with opened_at(place, create=False) as opened:
        answer = opened.search(
            " ".join(text or ()),
            kind=None if kind is None else kind.value,
            since=since and since.date(),
            until=until and until.date(),
            unit=unit_of(unit) or "mm",
        )
    deliver(answer, json=json, output=output)


def show(
    key: KeyArgument,
    document: Annotated[
        str | None, typer.Argument(metavar="DOCUMENT", help="One of its documents; else all.")
    ] = None,
    output: OutputOption = None,
    place: PlaceOption = None,
) -> None:
    """Write the documents of an entry, as JSON."""
    from fitsolver.book.entries import document_text

    may_write(output)
    with opened_at(place, create=False) as opened:
        write(document_text(opened.entry(key), document), output)


def export(
    file: Annotated[Path, path_argument("FILE", "A new file.")],
    place: PlaceOption = None,
) -> None:
    """Write the whole book into a plain text file."""
    may_write(file)
    with opened_at(place, create=False) as opened:
        write(opened.export(), file)
        damaged = tell_damaged(opened)
    raise typer.Exit(NOTHING_FITS if damaged else DONE)


def check(place: PlaceOption = None) -> None:
    """Look through the whole book for damaged entries."""
    with opened_at(place, create=False) as opened:
        found = opened.check()
    for line in found.file:
        say(f"The file is damaged: {line}")
    for one in found.damaged:
        say(f"Entry {one.key[:10]} is damaged: {one.why}.")
    say(f"Whole entries: {found.whole}. Damaged: {len(found.damaged)}.")
    if not found.sound:
        from fitsolver.book.verifying import REMEDY

        say(f"To mend it take {REMEDY}.")
    raise typer.Exit(DONE if found.sound else NOTHING_FITS)
