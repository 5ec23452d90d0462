"""The command `catalogue`: a look through a catalogue."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.cli.answering import Out, give
from fitsolver.cli.options import (
    CatalogueUnitOption,
    FullOption,
    JsonOption,
    OutputOption,
    ShowOption,
)


def catalogue(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", readable=False, help="Catalogue folder.")
    ],
    family: Annotated[
        str | None,
        typer.Option("--family", metavar="NAME", help="Which, in a folder of several families."),
    ] = None,
    unit: CatalogueUnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Check a catalogue: size steps, doubtful entries."""
    give("catalogue", Out(unit, json, output, show=opening, full=full), folder, family=family)
