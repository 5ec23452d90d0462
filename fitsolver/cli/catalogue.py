"""The command `catalogue`: a look through a catalogue."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, NoReturn

import typer

from fitsolver.cli.answering import Out, ask, leave
from fitsolver.cli.command import Own, command
from fitsolver.cli.options import CatalogueUnitOption, path_argument

_FOLDER = Annotated[Path, path_argument("FOLDER", "Catalogue folder.")]
_FAMILY = Annotated[
    str | None,
    typer.Option("--family", metavar="NAME", help="Which, of several; left out: all."),
]


def _catalogue(name: str, out: Out, folder: Path, /, *, family: str | None) -> NoReturn:
    leave(name, ask(name, out, folder, family=family), out, full=out.full)


catalogue = command(
    "catalogue",
    "Check a catalogue: size steps, doubtful entries.",
    *(Own("folder", _FOLDER), Own("family", _FAMILY, None)),
    *(Own("unit", CatalogueUnitOption, None), "json", "output", "show", "full"),
    files=("folder",),
    run=_catalogue,
)
