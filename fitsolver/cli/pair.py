"""The command `pair`: measured bores and measured pieces, put together."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, NoReturn

import typer

from fitsolver.cli.answering import Out, give
from fitsolver.cli.command import Own, command
from fitsolver.cli.options import path_argument, path_option
from fitsolver.cli.output import UnitChoice, unit_of

_BORES = Annotated[
    Path,
    path_argument("BORES", "Measured bores: .csv, .xlsx, .parquet."),
]
_PIECES = Annotated[
    Path,
    path_argument("PIECES", "Measured pieces: .csv, .xlsx, .parquet."),
]
_LOW = Annotated[str | None, typer.Option("--low", metavar="LENGTH", help="Lowest clearance.")]
_HIGH = Annotated[str | None, typer.Option("--high", metavar="LENGTH", help="Highest clearance.")]
_LIKE = Annotated[
    Path | None,
    path_option("--like", metavar="JOB", says="Job file whose clearance window holds."),
]
_OUT = Annotated[
    Path | None,
    path_option("--out", metavar="TABLE", says="New .csv, .xlsx or .parquet of pairs."),
]
_UNIT = Annotated[
    UnitChoice | None,
    typer.Option("--unit", "-u", help="Unit of lengths that name none; else the job's, or mm."),
]


def _pair(name: str, out: Out, /, *files: Any, **options: Any) -> NoReturn:
    """Its unit is that of what is read; the report is in the answer's own."""
    wanted = Out(json=out.json, output=out.output, show=out.show, full=out.full)
    give(name, wanted, *files, unit=unit_of(out.unit), **options)


pair = command(
    "pair",
    "Pair measured bores and pieces: the best pairs.",
    *(Own("bores", _BORES), Own("pieces", _PIECES)),
    *(Own("low", _LOW, None), Own("high", _HIGH, None), Own("like", _LIKE, None)),
    *(Own("out", _OUT, None), Own("unit", _UNIT, None)),
    *("json", "output", "time_limit", "show", "full"),
    files=("bores", "pieces"),
    watched=True,
    run=_pair,
)
