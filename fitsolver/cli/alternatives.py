"""The command `alternatives`: the plans that come after the best one."""

from __future__ import annotations

from typing import Annotated

import typer

from fitsolver.cli.command import Own, command

_COUNT = Annotated[
    int, typer.Option("--count", min=1, metavar="COUNT", help="Plans shown, the best included.")
]
_FRONT = Annotated[
    bool, typer.Option("--front", help="Also every plan none beats in removal, price and days.")
]
alternatives = command(
    "alternatives",
    "Show the next best plans, with what each costs.",
    *("job", "catalogue", Own("count", _COUNT, 5), Own("front", _FRONT, False)),
    *("unit", "json", "output", "time_limit", "accept", "accept_outliers", "show", "full"),
    watched=True,
)
