"""A command built from the options that it takes, shared and its own, in the order of its help."""

from __future__ import annotations

from collections.abc import Callable
from inspect import Parameter, Signature
from typing import Any, Final, NamedTuple

from fitsolver.cli.answering import Out, doubts, give
from fitsolver.cli.options import (
    AcceptOption,
    CatalogueOption,
    FullOption,
    JobFile,
    JsonOption,
    OutliersOption,
    OutputOption,
    SchedulerOption,
    ShowOption,
    TimeLimitOption,
    UnitOption,
    WorkersOption,
)
from fitsolver.cli.plotting import PlotOption


class Own(NamedTuple):
    """An argument or option: its name, what it is, and what holds without it, if anything does."""

    name: str
    kind: Any
    default: Any = Parameter.empty


#: Arguments and options that several commands have, by name.
_SHARED: Final = {
    shared.name: shared
    for shared in (
        Own("job", JobFile),
        Own("catalogue", CatalogueOption, None),
        Own("unit", UnitOption, None),
        Own("json", JsonOption, False),
        Own("output", OutputOption, None),
        Own("plot", PlotOption, None),
        Own("time_limit", TimeLimitOption, None),
        Own("accept", AcceptOption, None),
        Own("accept_outliers", OutliersOption, False),
        Own("scheduler", SchedulerOption, None),
        Own("workers", WorkersOption, None),
        Own("show", ShowOption, None),
        Own("full", FullOption, False),
    )
}
#: Options of the output, the same in every command that has them.
_OF_OUTPUT: Final = frozenset(Out.__dataclass_fields__)


def command(
    name: str,
    says: str,
    *takes: str | Own,
    files: tuple[str, ...] = ("job", "catalogue"),
    watched: bool = False,
    run: Callable[..., Any] = give,
) -> Callable[..., None]:
    """Return the command of a verb; `says` is its help.

    `takes` are its arguments and options, those that are shared by their names. `run` gets the
    verb's name, the options of the output, the arguments that `files` names, and by name all
    others; `watched` shows the progress on a terminal.
    """
    taken = [_SHARED[option] if isinstance(option, str) else option for option in takes]

    def called(**given: Any) -> None:
        out = Out(**{key: given.pop(key) for key in _OF_OUTPUT & given.keys()})
        given |= doubts(given.pop("accept"), given["accept_outliers"]) if "accept" in given else {}
        found = [given.pop(file) for file in files if file in given]
        run(name, out, *found, **({"watched": True} if watched else {}), **given)

    called.__name__, called.__doc__ = name, says
    kinds = {option.name: option.kind for option in taken}
    called.__annotations__ = {**kinds, "return": None}
    called.__signature__ = Signature(  # type: ignore[attr-defined]
        [
            Parameter(name, Parameter.KEYWORD_ONLY, default=default, annotation=kind)
            for name, kind, default in taken
        ]
    )
    return called
