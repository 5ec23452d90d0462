"""The command `screen`: a table of bores, and what fits each."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, NoReturn

from fitsolver.cli.answering import Out, ask, leave
from fitsolver.cli.command import Own, command
from fitsolver.cli.options import path_argument, path_option
from fitsolver.cli.output import tidy_when_ended

_BORES = Annotated[Path, path_argument("BORES", "Table: .csv, .xlsx, .parquet.")]
_CATALOGUE = Annotated[Path, path_argument("CATALOGUE", "Catalogue folder.")]
_LIKE = Annotated[
    Path,
    path_option("--like", metavar="JOB", says="Job file whose windows and routes hold."),
]
_OUT = Annotated[
    Path | None,
    path_option("--out", metavar="TABLE", says="New .csv or .parquet for the rows."),
]
_BAD_ROWS = Annotated[
    Path | None,
    path_option(
        "--bad-rows", metavar="FILE", says="Go on past bad rows; write them to this new CSV."
    ),
]


def _screen(name: str, out: Out, /, *files: Any, **options: Any) -> NoReturn:
    with tidy_when_ended():
        answer = ask(name, out, *files, **options)
    leave(name, answer, out)


screen = command(
    "screen",
    "Screen a table of bores: what fits each.",
    *(Own("bores", _BORES), Own("catalogue", _CATALOGUE), Own("like", _LIKE)),
    *(Own("out", _OUT, None), Own("bad_rows", _BAD_ROWS, None)),
    *("scheduler", "workers", "json", "output", "show", "full"),
    files=("bores", "catalogue", "like"),
    watched=True,
    run=_screen,
)
