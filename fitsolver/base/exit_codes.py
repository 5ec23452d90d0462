"""Exit codes of every command, each written once."""

from __future__ import annotations

from typing import Final

DONE: Final = 0
BROKEN: Final = 1
BAD_INPUT: Final = 2
NOTHING_FITS: Final = 3
NOT_PROVEN: Final = 4
INTERRUPTED: Final = 130

_BY_STATUS: Final = {"proven best": DONE, "nothing fits": NOTHING_FITS}


def code_of(status: str) -> int:
    """Return the exit code of an answer's status; what is not settled is not proven."""
    return _BY_STATUS.get(status, NOT_PROVEN)
