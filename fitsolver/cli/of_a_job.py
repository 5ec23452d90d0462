"""Commands of a job with shared options only: each shows the answer of its verb."""

from __future__ import annotations

from collections.abc import Callable
from inspect import Parameter, Signature
from pathlib import Path
from typing import Any, Final

from fitsolver.cli.answering import Out, doubts, give
from fitsolver.cli.options import (
    AcceptOption,
    CatalogueOption,
    FullOption,
    JobFile,
    JsonOption,
    OutliersOption,
    OutputOption,
    ShowOption,
    TimeLimitOption,
    UnitOption,
)
from fitsolver.cli.plotting import PlotOption

#: Options by argument, with what holds without them, in the order of the help.
_OPTIONS: Final[dict[str, tuple[Any, Any]]] = {
    "catalogue": (CatalogueOption, None),
    "unit": (UnitOption, None),
    "json": (JsonOption, False),
    "output": (OutputOption, None),
    "plot": (PlotOption, None),
    "time_limit": (TimeLimitOption, None),
    "accept": (AcceptOption, None),
    "accept_outliers": (OutliersOption, False),
    "opening": (ShowOption, None),
    "full": (FullOption, False),
}
#: Those that not every such command has; the others are every one's.
_BY_CHOICE: Final = ("catalogue", "unit", "plot", "time_limit")


def of_a_job(name: str, says: str, *takes: str, watched: bool = False) -> Callable[..., None]:
    """Return the command of a verb; `says` is its help, `takes` its options of `_BY_CHOICE`.

    `watched` shows the progress on a terminal.
    """

    def command(job: Path, **given: Any) -> None:
        shown = {key: given.pop(key) for key in ("unit", "plot") if key in given}
        out = Out(
            json=given.pop("json"),
            output=given.pop("output"),
            show=given.pop("opening"),
            full=given.pop("full"),
            **shown,
        )
        files = (job, given.pop("catalogue")) if "catalogue" in takes else (job,)
        accepted = doubts(given.pop("accept"), given.pop("accept_outliers"))
        give(name, out, *files, watched=watched, **given, **accepted)

    command.__name__, command.__doc__ = name, says
    command.__annotations__, command.__signature__ = _described(takes)  # type: ignore[attr-defined]
    return command


def _described(takes: tuple[str, ...]) -> tuple[dict[str, Any], Signature]:
    """Return what the command line reads of a command: kinds of its arguments, and defaults."""
    kinds: dict[str, Any] = {"job": JobFile}
    found = [Parameter("job", Parameter.POSITIONAL_OR_KEYWORD, annotation=JobFile)]
    for key, (kind, default) in _OPTIONS.items():
        if key in _BY_CHOICE and key not in takes:
            continue
        kinds[key] = kind
        found.append(Parameter(key, Parameter.KEYWORD_ONLY, default=default, annotation=kind))
    return {**kinds, "return": None}, Signature(found)
