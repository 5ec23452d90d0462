"""The steps common to most commands: ask a verb, draw and show its answer, leave with its exit
code.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NoReturn

import typer

from fitsolver.base.errors import InputError
from fitsolver.cli.output import (
    UnitChoice,
    deliver,
    ended_as_by_ctrl_c,
    may_write,
    progress,
    unit_of,
)
from fitsolver.cli.plotting import may_plot, write_plot

if TYPE_CHECKING:
    from fitsolver.plots import Drawing
    from fitsolver.reporting.sections import Opened
    from fitsolver.verbs.verb import Verb


@dataclass(frozen=True)
class Out:
    """The options of the output: unit, document, file, and file of a drawing.

    `show` names sections of the report, with commas between; `full` opens all of them.
    """

    unit: UnitChoice | None = None
    json: bool = False
    output: Path | None = None
    plot: Path | None = None
    show: str | None = None
    full: bool = False


#: Former names of sections, still accepted.
_CALLED_BEFORE: Final = {"levels": "best"}


def opened(name: str, wanted: Out) -> Opened:
    """Return the sections that are open; InputError for one that the verb's report has not."""
    from fitsolver.reporting.sections import WHOLE, Opened
    from fitsolver.verbs.registry import registered

    if wanted.full:
        return WHOLE
    asked = [part.strip() for part in (wanted.show or "").split(",") if part.strip()]
    names = [_CALLED_BEFORE.get(part, part) for part in asked]
    allowed = registered(name).all_sections
    for section in names:
        if section not in allowed:
            raise InputError(
                "the report has no such section",
                field="--show",
                found=section,
                allowed=", ".join(allowed),
            )
    return Opened(frozenset(names))


def doubts(accept: Sequence[str] | None, accept_outliers: bool) -> dict[str, Any]:
    """Return the arguments of a verb on files for the options that accept doubts."""
    return {"accept": accept or (), "accept_outliers": accept_outliers}


def ask(name: str, wanted: Out, /, *given: Any, watched: bool = False, **options: Any) -> Any:
    """Return a verb's answer about files; an output file that may not be written is refused first.

    `watched` shows the progress on a terminal.
    """
    from fitsolver.verbs.registry import registered
    from fitsolver.verbs.verb import loaded

    opened(name, wanted)
    may_write(wanted.output)
    may_plot(wanted.plot, wanted.output)
    function = loaded(registered(name).on_files)
    if not watched:
        return function(*given, **options)
    with ended_as_by_ctrl_c(), progress() as tell:
        return function(*given, **options, progress=tell)


def give(
    name: str,
    wanted: Out,
    /,
    *given: Any,
    watched: bool = False,
    written: Callable[[Any], None] | None = None,
    **options: Any,
) -> NoReturn:
    """Ask a verb, draw its answer and show it as wanted; leave with its exit code.

    `written` puts the answer out in another way than as report or document.
    """
    from fitsolver.verbs.registry import registered

    verb = registered(name)
    answer = ask(name, wanted, *given, watched=watched, **options)
    write_plot(wanted.plot, lambda: _drawing(verb, answer, wanted, given, options))
    if written is not None:
        written(answer)
        raise typer.Exit(verb.code(answer))
    leave(name, answer, wanted)


def leave(name: str, answer: Any, wanted: Out, /, **shown: Any) -> NoReturn:
    """Show an answer as wanted, `shown` being what its view takes; leave with its exit code."""
    from fitsolver.verbs.registry import registered

    deliver(
        answer,
        wanted.unit,
        json=wanted.json,
        output=wanted.output,
        opened=opened(name, wanted),
        **shown,
    )
    raise typer.Exit(registered(name).code(answer))


def _drawing(
    verb: Verb[Any], answer: Any, wanted: Out, given: tuple[Any, ...], options: dict[str, Any]
) -> Drawing | None:
    from fitsolver.verbs.verb import loaded

    unit = unit_of(wanted.unit)
    if verb.drawing_of_files:
        drawing: Drawing | None = loaded(verb.drawing_of_files)(*given, unit=unit, **options)
    else:
        drawing = loaded(verb.drawing)(answer, unit)
    return drawing
