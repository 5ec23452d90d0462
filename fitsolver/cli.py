"""The command line: reads arguments, calls the service, prints. The only place that prints."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from fitsolver import __version__
from fitsolver.errors import FitsolverError, InputError

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.base import Record
    from fitsolver.service import Progress

PLAN, BAD_INPUT, NOTHING_FITS, NOT_PROVEN, INTERRUPTED = 0, 2, 3, 4, 130


class UnitChoice(StrEnum):
    """Units that a report can be shown in."""

    mm = "mm"
    um = "um"
    inch = "in"
    thou = "thou"


app = typer.Typer(
    name="fitsolver",
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Which piston, rings and gaskets, finished to which bore, with the least metal removed.",
    epilog="Exit codes: 0 plan or report, 2 bad input, 3 nothing fits, 4 not proven in the time "
    "given. All sizes, removal and stock are on diameter.",
)

JobFile = Annotated[Path, typer.Argument(metavar="JOB", help="Job file (TOML).")]
CatalogueOption = Annotated[
    Path | None,
    typer.Option("--catalogue", "-c", help="Catalogue folder; else the one the job names."),
]
UnitOption = Annotated[
    UnitChoice | None, typer.Option("--unit", "-u", help="Unit of the report; else the job's.")
]
JsonOption = Annotated[bool, typer.Option("--json", help="Write the JSON document instead.")]
OutputOption = Annotated[
    Path | None,
    typer.Option("--output", "-o", help="Write to this new file instead of the screen."),
]


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"fitsolver {__version__}")
        raise typer.Exit(PLAN)


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    pass


@app.command(epilog="Example: fitsolver pick catalogs_demo/pump/job.toml")
def pick(
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    csv: Annotated[bool, typer.Option("--csv", help="Write the order list as CSV.")] = False,
    output: OutputOption = None,
    time_limit: Annotated[
        float | None,
        typer.Option("--time-limit", min=0.001, help="Seconds; else until it is proven."),
    ] = None,
) -> None:
    """Pick parts and finish size, prove the choice, and show what is left."""
    if json and csv:
        _usage("--json and --csv exclude each other")
    from fitsolver import service
    from fitsolver.reporting.order_csv import order_csv

    _may_write(output)
    with _progress() as tell:
        answer = service.pick(job, catalogue, time_limit=time_limit, progress=tell)
    if csv and answer.plan is not None:
        _write(order_csv(answer.plan), output)
    elif json:
        _write_json(answer, output)
    else:
        from fitsolver.reporting.terminal import render_answer

        _show(render_answer(answer, _unit(unit)), output)
    codes = {"proven best": PLAN, "nothing fits": NOTHING_FITS}
    raise typer.Exit(codes.get(answer.status, NOT_PROVEN))


@app.command(epilog="Example: fitsolver bore catalogs_demo/pump/job.toml")
def bore(
    job: JobFile,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
) -> None:
    """Show the form of the measured bores: out-of-round, taper, shape, wear."""
    from fitsolver import service

    _may_write(output)
    answer = service.bore(job)
    if json:
        _write_json(answer, output)
        return
    from fitsolver.reporting.terminal import render_forms

    _show(render_forms(answer.forms, _unit(unit) or answer.unit, answer.cautions), output)


@app.command(epilog="Example: fitsolver fits catalogs_demo/brushsaw/job.toml")
def fits(
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    first: Annotated[
        int, typer.Option("--first", min=0, help="Show so many sets a cylinder; 0 = all.")
    ] = 10,
) -> None:
    """Show which part sets fit the bores as they are, with a verdict per fit, best first."""
    from fitsolver import service

    _may_write(output)
    answer = service.fits(job, catalogue)
    if json:
        _write_json(answer, output)
    else:
        from fitsolver.reporting.terminal import render_fits

        _show(render_fits(answer, _unit(unit), first or None), output)
    raise typer.Exit(PLAN if any(item.holds for item in answer.sets) else NOTHING_FITS)


@app.command(epilog="Example: fitsolver catalogue catalogs_demo/pump")
def catalogue(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Catalogue folder.")],
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
) -> None:
    """Check a catalogue: its tables, gaps in the size steps, doubtful entries."""
    from fitsolver import service

    _may_write(output)
    review = service.review_catalogue(folder)
    if json:
        _write_json(review, output)
        return
    from fitsolver.reporting.terminal import render_review

    _show(render_review(review, _unit(unit) or review.unit), output)


def _unit(unit: UnitChoice | None):  # type: ignore[no-untyped-def]
    return None if unit is None else unit.value


def _usage(message: str) -> NoReturn:
    raise typer.BadParameter(message)


def _may_write(output: Path | None) -> None:
    """Refuse before any work is done: nothing is ever overwritten."""
    if output is not None and (output.exists() or output.is_symlink()):
        raise InputError("this file exists already", file=str(output), allowed="a new file")


def _write(text: str, output: Path | None) -> None:
    if output is None:
        sys.stdout.write(text)
        return
    try:
        with output.open("x", encoding="utf-8", newline="") as stream:
            stream.write(text)
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError(f"cannot be written: {reason}", file=str(output)) from error


def _write_json(record: Record, output: Path | None) -> None:
    from fitsolver.reporting.schema import to_json

    _write(to_json(record), output)


def _show(report: RenderableType, output: Path | None) -> None:
    """Print a report to the screen, or as plain text of 100 columns to a file."""
    from io import StringIO

    from rich.console import Console

    if output is None:
        Console().print(report)
        return
    text = StringIO()
    Console(file=text, width=100, no_color=True).print(report)
    _write(text.getvalue(), output)


@contextmanager
def _progress() -> Iterator[Progress | None]:
    """Tell on a terminal what is being settled; elsewhere stay silent."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console

    with Console(stderr=True).status("reading") as status:
        yield lambda what, gone: status.update(f"settling {what} ({gone:.0f} s)")


def main() -> None:
    """Run the command line; bad input is one message and exit code 2, never a traceback."""
    try:
        app()
    except InputError as error:
        _fail(str(error), BAD_INPUT)
    except FitsolverError as error:
        _fail(str(error), 1)
    except KeyboardInterrupt:
        _fail("interrupted; nothing was written", INTERRUPTED)
    except BrokenPipeError:  # the reader of a pipe has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(PLAN)


def _fail(message: str, code: int) -> NoReturn:
    sys.stderr.write(f"fitsolver: {message}\n")
    sys.exit(code)


if __name__ == "__main__":
    main()
