"""The command `new`: a job file to start from, from options or by asking."""

from __future__ import annotations

import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitsolver.base.new_file import check_new
from fitsolver.cli.options import path_argument, path_option
from fitsolver.cli.output import UnitChoice, say

if TYPE_CHECKING:
    from fitsolver.reading.job_template import NewJob


class FinishChoice(StrEnum):
    """How a new job's bores are finished."""

    piston_in_hand = "piston in hand"
    set_size = "set size"
    already_finished = "already finished"


class ReadAsChoice(StrEnum):
    """What the figures of a readings sheet are."""

    diameter = "diameter"
    dial = "dial"


def new(  # noqa: PLR0913, PLR0917 - an argument for each option
    ctx: typer.Context,
    file: Annotated[Path, path_argument("FILE", "The new job file (TOML).")],
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
    sheet: Annotated[
        str, typer.Option("--sheet", metavar="NAME", help="Of a workbook: with the readings.")
    ] = "",
    word: Annotated[
        list[str] | None,
        typer.Option("--word", metavar="WORD=MEANING", help="Of the sheet: 'Lage=axis'."),
    ] = None,
    readings_as: Annotated[
        ReadAsChoice | None, typer.Option("--readings-as", help="What its figures are.")
    ] = None,
    readings_unit: Annotated[
        UnitChoice | None,
        typer.Option("--readings-unit", help="Of its figures that name none; else --units."),
    ] = None,
    depth_unit: Annotated[
        UnitChoice | None,
        typer.Option("--depth-unit", help="Of its depths that name none; else --units."),
    ] = None,
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
        path_option("--from", metavar="OLD", says="Old job, less what its sheet states."),
    ] = None,
) -> None:
    """Write a commented job file to start from.

    On a terminal it asks for what no option says.
    """
    from fitsolver import NewJob
    from fitsolver.cli.asking import meaning

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
        sheet=sheet,
        words=tuple(map(meaning, word or ())),
        readings_as=readings_as or "",
        readings_unit=readings_unit or "",
        depth_unit=depth_unit or "",
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

    from fitsolver.cli.asking import ask, given_options, of_its_family, seen_from, settled
    from fitsolver.reading.hints import missing_file
    from fitsolver.usecases.beginning import Begun, begin

    given = frozenset(given_options(ctx))

    def write(asked: NewJob) -> Begun:
        readings, catalogue = seen_from(file, asked.readings), seen_from(file, asked.catalogue)
        return begin(file, replace(asked, readings=readings, catalogue=catalogue, given=given))

    if sys.stdin is not None and sys.stdin.isatty():
        job, begun = settled(ask(job, given, file.parent), write)
    else:
        job = of_its_family(job, given)
        begun = write(job)
    shown = quote(f"./{file}" if str(file).startswith("-") else str(file))
    has_readings = job.readings or job.figures
    missing = [*([] if has_readings else ["readings"]), *([] if begun.known else ["windows"])]
    what = f" Type the {' and '.join(missing)} into it; its comments say how." if missing else ""
    say(
        f"{file} is written.{what} Then\n"
        f"  fitsolver bore {shown}    shows the form of each bore\n"
        f"  fitsolver pick {shown}    picks parts and finish size"
    )
    if begun.axes:
        read = ", ".join(f"'{word}' is read as {means}" for word, means in begun.axes)
        say(f"{read}: along the crankshaft lies the pin. If not so, say it: --word WORD=AXIS")
    if job.catalogue and not Path(job.catalogue).exists():
        say(f"Its catalogue {job.catalogue}: {missing_file(Path(job.catalogue))}")


def _write_shorter(ctx: typer.Context, file: Path, old: Path, catalogue: str) -> None:
    """Write an old job in the form that takes figures from its sheet."""
    from fitsolver.cli.asking import given_options
    from fitsolver.usecases.beginning import shorter_job

    if given_options(ctx) - {"file", "old", "catalogue"}:
        raise typer.BadParameter("--from takes all from the old job: only --catalogue goes with it")
    shorter_job(file, old, catalogue or None)
    say(
        f"{file} is written: {old} without what its family's sheet and shop state. "
        "Comments are not kept."
    )
