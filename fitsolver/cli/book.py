"""The commands `book ...`: the record of every cylinder. Nothing is written unless asked."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.base.errors import InputError
from fitsolver.cli.book_options import (
    DateOption,
    KeyArgument,
    MarkingArgument,
    PlaceOption,
    ToOption,
    day_of,
    opened_at,
    tell,
)
from fitsolver.cli.book_views import check, earlier, export, history, ladder, search, show
from fitsolver.cli.options import (
    AcceptOption,
    CatalogueOption,
    JobFile,
    LogOption,
    OutliersOption,
    path_argument,
    path_option,
)
from fitsolver.cli.output import progress, say

book = typer.Typer(
    name="book",
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Keep the record of every cylinder over the years.",
    epilog="Example: fitsolver book add job.toml --date 2026-03-01. "
    "The book is the file or PostgreSQL URL of --book, else that of the variable FITSOLVER_BOOK, "
    "else a file in your data folder.",
)


@book.command(epilog="Example: fitsolver book add job.toml --date 2026-03-01")
def add(
    job: JobFile,
    catalogue: CatalogueOption = None,
    answer: Annotated[
        Path | None,
        path_option("--plan", metavar="ANSWER", says="Written by `pick --json`; else picked."),
    ] = None,
    no_plan: Annotated[bool, typer.Option("--no-plan", help="Keep the readings alone.")] = False,
    day: DateOption = None,
    place: PlaceOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Add a job: its readings and its plan."""
    from fitsolver.picking.decide import decide
    from fitsolver.reading.job_file import read_job
    from fitsolver.usecases.loading import accepting, load
    from fitsolver.usecases.parts_arrived import read_answer

    if no_plan and answer is not None:
        raise typer.BadParameter("--plan and --no-plan exclude each other")
    if no_plan:
        read, found = accepting(read_job(job, accept_outliers=accept_outliers), accept or ()), None
    else:
        read, parts = load(job, catalogue, accept=accept or (), accept_outliers=accept_outliers)
        if answer is not None:
            found = read_answer(answer)
        else:
            with progress() as told:
                found = decide(read, parts, progress=told)
    with opened_at(place) as opened:
        tell(opened.add_job(read, found, date=day_of(day, opened)))


@book.command(epilog="Example: fitsolver book passes job.toml")
def passes(
    job: JobFile,
    log: LogOption = None,
    day: DateOption = None,
    to: ToOption = None,
    place: PlaceOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Add the passes of a hone log that are not in yet."""
    from fitsolver.honing.log import read_log
    from fitsolver.reading.job_file import read_job
    from fitsolver.usecases.loading import accepting

    read = accepting(read_job(job, accept_outliers=accept_outliers), accept or ())
    file = job.with_suffix(".hone") if log is None else log
    held = read_log(file, read)
    done = [entry.done for entry in held.entries]
    if not done:
        raise InputError("the log holds no pass", file=str(file))
    with opened_at(place, create=False) as opened:
        when = day_of(day, opened)
        tell(*opened.add_passes(read, done, date=when, to=to, accepted=held.accepted))


@book.command(epilog="Example: fitsolver book fit 'pump 7' --piston PP-050A --ring PR1-050")
def fit(  # noqa: PLR0913, PLR0917
    marking: MarkingArgument,
    piston: Annotated[str, typer.Option("--piston", metavar="NUMBER", help="Piston.")] = "",
    skirt: Annotated[
        str | None,
        typer.Option("--skirt", metavar="SIZE", help="Its skirt as measured: '62.44 mm'."),
    ] = None,
    ring: Annotated[
        list[str] | None,
        typer.Option("--ring", metavar="NUMBER", help="Ring, top groove first; once for each."),
    ] = None,
    gasket: Annotated[
        list[str] | None,
        typer.Option("--gasket", metavar="NUMBER", help="Gasket; once for each."),
    ] = None,
    note: Annotated[str, typer.Option("--note", metavar="TEXT", help="What else to know.")] = "",
    day: DateOption = None,
    to: ToOption = None,
    place: PlaceOption = None,
) -> None:
    """Add the parts that went into a cylinder."""
    from fitsolver.records.book import FittedParts

    parts = FittedParts(
        piston=piston,
        skirt=None if skirt is None else _size(skirt),
        rings=tuple(ring or ()),
        gaskets=tuple(gasket or ()),
        note=note,
    )
    if parts == FittedParts():
        raise typer.BadParameter("no part is named")
    with opened_at(place, create=False) as opened:
        tell(opened.add_fitted(marking, parts, date=day_of(day, opened), to=to))


@book.command(epilog="Example: fitsolver book final finished.toml")
def final(
    job: JobFile,
    catalogue: CatalogueOption = None,
    day: DateOption = None,
    to: ToOption = None,
    place: PlaceOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Check a finished job and add the check, whatever it says."""
    from fitsolver.usecases.final import final_verdict
    from fitsolver.usecases.loading import load

    read, parts = load(job, catalogue, accept=accept or (), accept_outliers=accept_outliers)
    answer = final_verdict(read, parts)
    with opened_at(place) as opened:
        tell(opened.add_final(read, answer, date=day_of(day, opened), to=to))
    said = {"pass": "passes.", "fail": "does not pass."}
    unjudged = "leaves fits unjudged: see `fitsolver final`."
    say("The final check " + said.get(answer.verdict, unjudged))


book.command(epilog="Example: fitsolver book history 'pump 7'")(history)
book.command(epilog="Example: fitsolver book ladder job.toml")(ladder)
book.command(epilog="Example: fitsolver book earlier job.toml")(earlier)
book.command(epilog="Example: fitsolver book search PP-050A --since 2024-01-01")(search)
book.command(epilog="Example: fitsolver book show 51811be37d plan")(show)
book.command(epilog="Example: fitsolver book export book.jsonl")(export)
book.command(epilog="Example: fitsolver book check --book shop.sqlite")(check)


@book.command(epilog="Example: fitsolver book withdraw 51811be37d --reason 'wrong cylinder'")
def withdraw(
    key: KeyArgument,
    reason: Annotated[str, typer.Option("--reason", metavar="TEXT", help="Why.")],
    day: DateOption = None,
    place: PlaceOption = None,
) -> None:
    """Take a wrong entry out of the record; it stays in the book."""
    with opened_at(place, create=False) as opened:
        tell(opened.withdraw(key, reason, date=day_of(day, opened)))


@book.command("import", epilog="Example: fitsolver book import book.jsonl")
def import_(
    file: Annotated[Path, path_argument("FILE", "What `export` wrote.")],
    place: PlaceOption = None,
) -> None:
    """Add what an exported book has and this one has not."""
    from fitsolver.book.exchange import read_lines

    lines = read_lines(file)
    with opened_at(place) as opened:
        done = opened.import_(lines, file=str(file))
    mended = f" Mended: {done.mended}." if done.mended else ""
    say(f"Added: {done.added}. In the book already: {done.known}.{mended}")


def _size(text: str) -> int:
    from fitsolver.base.lengths import parse_length

    try:
        size = parse_length(text, "mm")
    except ValueError as error:
        raise InputError(str(error), field="skirt", found=text, allowed="62.44 mm") from error
    if size <= 0:
        raise InputError("this is no size", field="skirt", found=text, allowed="62.44 mm")
    return size
