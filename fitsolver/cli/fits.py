"""The command `fits`: the part sets for the bores as they are."""

from __future__ import annotations

from typing import Annotated, Any, NoReturn

import typer

from fitsolver.cli.answering import Out, ask, leave
from fitsolver.cli.command import Own, command

_FIRST = Annotated[
    int, typer.Option("--first", min=0, metavar="COUNT", help="Sets shown a cylinder; 0 = all.")
]


def _fits(name: str, out: Out, /, *files: Any, first: int, **options: Any) -> NoReturn:
    leave(name, ask(name, out, *files, **options), out, first=first or None)


fits = command(
    "fits",
    "Show which part sets fit the bores as they are.",
    *("job", "catalogue", "unit", "json", "output", Own("first", _FIRST, 10)),
    *("accept", "accept_outliers", "show", "full"),
    run=_fits,
)
