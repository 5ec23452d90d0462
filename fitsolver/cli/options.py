"""Arguments and options that the commands share, each written once."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from fitsolver.cli.output import UnitChoice


def path_argument(metavar: str, says: str) -> Any:
    """Return the argument for a file or folder; whether it can be read is refused by our own."""
    return typer.Argument(metavar=metavar, readable=False, help=says)


def path_option(*flags: str, metavar: str, says: str) -> Any:
    """Return the option for a file or folder; whether it can be read is refused by our own."""
    return typer.Option(*flags, metavar=metavar, readable=False, help=says)


JobFile = Annotated[Path, path_argument("JOB", "Job file (TOML).")]
CatalogueOption = Annotated[
    Path | None,
    path_option(
        "--catalogue", "-c", metavar="FOLDER", says="Catalogue folder; else the one the job names."
    ),
]
LogOption = Annotated[
    Path | None,
    path_option("--log", metavar="FILE", says="Log of passes; else JOB's, as .hone."),
]
UnitOption = Annotated[
    UnitChoice | None, typer.Option("--unit", "-u", help="Unit of the report; else the job's.")
]
CatalogueUnitOption = Annotated[
    UnitChoice | None,
    typer.Option("--unit", "-u", help="Unit of the report; else the catalogue's."),
]
FileUnitOption = Annotated[
    UnitChoice | None, typer.Option("--unit", "-u", help="Unit of the report; else the file's.")
]
JsonOption = Annotated[bool, typer.Option("--json", help="Write the JSON document instead.")]
OutputOption = Annotated[
    Path | None,
    path_option(
        "--output", "-o", metavar="FILE", says="Write to this new file instead of the screen."
    ),
]
TimeLimitOption = Annotated[
    float | None,
    typer.Option(
        "--time-limit", min=0.001, metavar="SECONDS", help="Stop then; else when it is proven."
    ),
]
AcceptOption = Annotated[
    list[str] | None,
    typer.Option(
        "--accept",
        metavar="ID",
        help="Take a figure that is doubted, by the id of the doubt; may be repeated.",
    ),
]
OutliersOption = Annotated[
    bool,
    typer.Option("--accept-outliers", help="Take readings that their neighbours contradict."),
]
SchedulerOption = Annotated[
    str | None,
    typer.Option("--scheduler", metavar="ADDRESS", help="Dask scheduler; else this machine."),
]
WorkersOption = Annotated[
    int | None,
    typer.Option("--workers", min=1, metavar="COUNT", help="Processes here; else all cores."),
]
ShowOption = Annotated[
    str | None,
    typer.Option(
        "--show",
        metavar="SECTIONS",
        help="Open sections of the report by name, with commas between: fits,cautions.",
    ),
]
FullOption = Annotated[bool, typer.Option("--full", help="Open every section of the report.")]
