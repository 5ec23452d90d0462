"""The command `allot`: many jobs, one shelf."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from fitsolver.cli.command import Own, command
from fitsolver.cli.options import path_argument, path_option

_SHOP = Annotated[Path, path_argument("SHOP", "Shop folder with shop.toml.")]
_START = Annotated[
    Path | None,
    path_option("--start", metavar="FILE", says="Start from this answer (JSON) of an earlier run."),
]
allot = command(
    "allot",
    "Allot one shelf to many jobs: who gets what.",
    *(Own("shop", _SHOP), Own("start", _START, None), "unit", "json", "output", "time_limit"),
    *("accept", "accept_outliers", "scheduler", "workers", "show", "full"),
    files=("shop",),
    watched=True,
)
