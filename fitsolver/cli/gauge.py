"""The command `gauge`: a gauge studied from repeated readings."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.cli.command import Own, command
from fitsolver.cli.options import FileUnitOption, path_argument

_TABLE = Annotated[Path, path_argument("TABLE", "Readings (CSV or Excel).")]
_WINDOW = Annotated[
    str | None,
    typer.Option("--window", metavar="WIDTH", help="A window's width, to judge the gauge by."),
]
_PERMISSIBLE_ERROR = Annotated[
    str | None,
    typer.Option("--permissible-error", metavar="LENGTH", help="Of the gauge, by its maker."),
]
gauge = command(
    "gauge",
    "Study a gauge from repeated readings.",
    *(Own("table", _TABLE), Own("window", _WINDOW, None)),
    *(Own("permissible_error", _PERMISSIBLE_ERROR, None), Own("unit", FileUnitOption, None)),
    *("json", "output", "show", "full"),
    files=("table", "window"),
)
