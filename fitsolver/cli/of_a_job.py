"""Commands of a job with shared options only: each shows the answer of its verb."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from fitsolver.cli.command import command

#: What these commands take, in the order of the help.
_OPTIONS: Final = (
    *("job", "catalogue", "unit", "json", "output", "plot", "time_limit"),
    *("accept", "accept_outliers", "show", "full"),
)
#: Those that not every such command has; the others are every one's.
_BY_CHOICE: Final = ("catalogue", "unit", "plot", "time_limit")


def of_a_job(name: str, says: str, *takes: str, watched: bool = False) -> Callable[..., None]:
    """Return the command of a verb; `says` is its help, `takes` its options of `_BY_CHOICE`.

    `watched` shows the progress on a terminal.
    """
    has = [option for option in _OPTIONS if option in takes or option not in _BY_CHOICE]
    return command(name, says, *has, watched=watched)
