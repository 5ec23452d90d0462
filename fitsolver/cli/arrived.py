"""The command `arrived`: whether parts that came still serve."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from fitsolver.cli.command import Own, command
from fitsolver.cli.options import path_option

_ORDERED = Annotated[
    Path,
    path_option(
        "--ordered",
        metavar="ANSWER",
        says="Document that `pick --json` wrote when the parts were ordered.",
    ),
]
arrived = command(
    "arrived",
    "Tell whether parts that came still serve.",
    *("job", Own("ordered", _ORDERED), "catalogue", "unit", "json", "output"),
    *("accept", "accept_outliers", "show", "full"),
    files=("job", "ordered", "catalogue"),
    watched=True,
)
