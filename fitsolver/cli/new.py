"""The command `new`: a job file to start from, from options or by asking."""

from __future__ import annotations

import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitsolver.base.new_file import check_new
from fitsolver.cli.output import UnitChoice, say

if TYPE_CHECKING:
    from fitsolver.reading.job_template import NewJob


class FinishChoice(StrEnum):
    """How a new job's bores are finished."""

    piston_in_hand = "piston in hand"
    set_size = "set size"
    already_finished = "already finished"


def new(  # noqa: PLR0913, PLR0917 - an argument for each option
    ctx: typer.Context,
    file: Annotated[
        Path, typer.Argument(metavar="FILE", readable=False, help="The new job file (TOML).")
    ],
    name: Annotated[
        str, typer.Option("--name", metavar="TEXT", help="Of the job; else the file's.")
    ] = "",
    units: Annotated[
        UnitChoice, typer.Option("--units", help="Of every bare length in the file.")
    ] = UnitChoice.mm,
    family: Annotated[
        str, typer.Option("--family", metavar="TEXT", help="Of engines; another is refused.")
    ] = "",
    catalogue: Annotated[
        str,
        typer.Option(
            "--catalogue", "-c", metavar="FOLDER", help="Catalogue folder, seen from here."
        ),
    ] = "",
    cylinders: Annotated[
        int, typer.Option("--cylinders", metavar="COUNT", help="How many, named 1, 2, ...")
    ] = 1,
    material: Annotated[
        str, typer.Option("--material", metavar="TEXT", help="Of the bores, as routes name it.")
    ] = "iron",
    finish: Annotated[
        FinishChoice, typer.Option("--finish", help="What the bore waits for.")
    ] = FinishChoice.piston_in_hand,
    readings: Annotated[
        str,
        typer.Option("--readings", metavar="FILE", help="Sheet of readings, of any layout."),
    ] = "",
    places: Annotated[
        str,
        typer.Option("--places", metavar="LIST", help="Of a plain column: '8 thrust, 8 pin'."),
    ] = "",
    zero: Annotated[
        str, typer.Option("--zero", metavar="LENGTH", help="What the dial was zeroed on.")
    ] = "",
    stroke: Annotated[
        str, typer.Option("--stroke", metavar="LENGTH", help="Of the engine: 58 or '2.5 in'.")
    ] = "",
    clearance: Annotated[
        tuple[str, str] | None,
        typer.Option("--clearance", metavar="LOW HIGH", help="Window of the clearance."),
    ] = None,
    end_gap: Annotated[
        tuple[str, str] | None,
        typer.Option("--end-gap", metavar="LOW HIGH", help="Window of the end gap."),
    ] = None,
    old: Annotated[
        Path | None,
        typer.Option(
            "--from",
            metavar="OLD",
            readable=False,
            help="Old job, less what its sheet states.",
        ),
    ] = None,
) -> None:
    """Write a commented job file to start from.

    On a terminal it asks for what no option says.
    """
    from fitsolver import NewJob

    if old is not None:
        _write_shorter(ctx, file, old, catalogue)
        return
    check_new(file)
    started = NewJob(
        name=name or file.stem,
        units=units.value,
        family=family,
        catalogue=catalogue,
        cylinders=cylinders,
        material=material,
        finishing=finish.value,
        readings=readings,
        places=places,
        zero=zero,
        stroke=stroke,
        clearance=clearance,
        end_gap=end_gap,
    )
    _write_job(ctx, file, started)


def _write_job(ctx: typer.Context, file: Path, job: NewJob) -> None:
    """Ask for what is missing where there is somebody to ask, write, say what comes next."""
    from dataclasses import replace
    from shlex import quote

    from fitsolver.cli.asking import ask, given_options, seen_from
    from fitsolver.usecases.tables import new_job

    if sys.stdin is not None and sys.stdin.isatty():
        job = ask(job, given_options(ctx))
    given = frozenset(given_options(ctx))
    job = replace(job, readings=seen_from(file, job.readings))
    known = new_job(file, replace(job, catalogue=seen_from(file, job.catalogue), given=given))
    shown = quote(f"./{file}" if str(file).startswith("-") else str(file))
    missing = [*([] if job.readings else ["readings"]), *([] if known else ["windows"])]
    what = f" Type the {' and '.join(missing)} into it; its comments say how." if missing else ""
    say(
        f"{file} is written.{what} Then\n"
        f"  fitsolver bore {shown}    shows the form of each bore\n"
        f"  fitsolver pick {shown}    picks parts and finish size"
    )


def _write_shorter(ctx: typer.Context, file: Path, old: Path, catalogue: str) -> None:
    """Write an old job in the form that takes figures from its sheet."""
    from fitsolver.cli.asking import given_options
    from fitsolver.usecases.tables import shorter_job

    if given_options(ctx) - {"file", "old", "catalogue"}:
        raise typer.BadParameter("--from takes all from the old job: only --catalogue goes with it")
    shorter_job(file, old, catalogue or None)
    say(
        f"{file} is written: {old} without what its family's sheet and shop state. "
        "Comments are not kept."
    )
