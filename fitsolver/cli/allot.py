"""The command `allot`: many jobs, one shelf."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.cli.command import Own, command

_SHOP = Annotated[
    Path, typer.Argument(metavar="SHOP", readable=False, help="Shop folder with shop.toml.")
]
_START = Annotated[
    Path | None,
    typer.Option(
        "--start",
        metavar="FILE",
        readable=False,
        help="Start from this answer (JSON) of an earlier run.",
    ),
]
allot = command(
    "allot",
    "Allot one shelf to many jobs: who gets what.",
    *(Own("shop", _SHOP), Own("start", _START, None), "unit", "json", "output", "time_limit"),
    *("accept", "accept_outliers", "scheduler", "workers", "show", "full"),
    files=("shop",),
    watched=True,
)
