"""The command `budget`: what makes the fits of a job uncertain."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.cli.command import Own, command
from fitsolver.cli.options import FileUnitOption, path_option

_CATALOGUE = Annotated[
    Path | None,
    path_option(
        "--catalogue",
        "-c",
        metavar="FOLDER",
        says="Catalogue folder; else the one the job names, if it names one.",
    ),
]
_BATCH_SPREAD = Annotated[
    str | None,
    typer.Option(
        "--batch-spread",
        metavar="LENGTH",
        help="Standard deviation of the clearances of a batch: also show its risks.",
    ),
]
_BATCH_MEAN = Annotated[
    str | None,
    typer.Option("--batch-mean", metavar="LENGTH", help="Their mean; else mid-window."),
]
budget = command(
    "budget",
    "Show what makes the fits of a job uncertain.",
    *("job", Own("catalogue", _CATALOGUE, None), Own("batch_spread", _BATCH_SPREAD, None)),
    *(Own("batch_mean", _BATCH_MEAN, None), Own("unit", FileUnitOption, None)),
    *("json", "output", "show", "full"),
)
