"""The command `catalogue`: a look through a catalogue."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.cli.answering import Out, ask, leave
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
        typer.Option("--family", metavar="NAME", help="Which, of several; left out: all."),
    ] = None,
    unit: CatalogueUnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Check a catalogue: size steps, doubtful entries."""
    wanted = Out(unit, json, output, show=opening, full=full)
    leave("catalogue", ask("catalogue", wanted, folder, family=family), wanted, full=full)
