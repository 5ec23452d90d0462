"""The command `hone`: the log of passes read, or added to one entry after the other."""

from __future__ import annotations

from typing import Annotated, Any, NoReturn

import typer

from fitsolver.cli.answering import Out, give
from fitsolver.cli.command import Own, command
from fitsolver.cli.options import LogOption
from fitsolver.cli.output import unit_of

_CYLINDER = Annotated[
    str | None,
    typer.Option("--cylinder", metavar="NAME", help="Only this one; else all in the log."),
]
_STONES = Annotated[
    str | None,
    typer.Option("--stones", metavar="NAME", help="To be used next, if others than before."),
]
_ENTER = Annotated[bool, typer.Option("--enter", help="Ask for passes, and add each to the log.")]
_RISK = Annotated[
    float,
    typer.Option(
        "--risk", metavar="SHARE", help="Of passing the highest size, a whole bore, at most."
    ),
]


def _hone(
    name: str,
    out: Out,
    /,
    *files: Any,
    enter: bool,
    cylinder: str | None,
    stones: str | None,
    **how: Any,
) -> NoReturn:
    if not enter:
        give(name, out, *files, cylinder=cylinder, stones=stones, **how)
    if out.json or out.output is not None or out.plot is not None:
        raise typer.BadParameter("--enter shows its reports on the screen only")
    from fitsolver.cli.hone_entry import EntryPrompts
    from fitsolver.cli.hone_screen import EntryScreen
    from fitsolver.usecases.files import at_the_hone
    from fitsolver.verbs.registry import registered

    opened = at_the_hone(*files, **how)
    answer = opened.answer(cylinder, stones)
    screen = EntryScreen(unit_of(out.unit))
    screen.short(answer)
    answer = EntryPrompts(opened, cylinder, screen).run(answer)
    raise typer.Exit(registered(name).code(answer))


hone = command(
    "hone",
    "Follow a bore at the hone: what is left, how far next.",
    *("job", "catalogue", Own("log", LogOption, None), Own("cylinder", _CYLINDER, None)),
    *(Own("stones", _STONES, None), Own("enter", _ENTER, False), Own("risk", _RISK, 0.05)),
    *("unit", "json", "output", "plot", "accept", "accept_outliers", "show", "full"),
    run=_hone,
)
