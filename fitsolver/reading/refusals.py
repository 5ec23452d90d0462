"""Refusals of one place told all at once: the first of them a line each, and how many more."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, ParamSpec, TypeVar

from fitsolver.base.errors import InputError, visible

#: Refusals that a message lists.
MOST_TOLD: Final = 10
#: Refusals that are kept; what is found beyond them is counted.
_MOST_KEPT: Final = 1_000

P = ParamSpec("P")
T = TypeVar("T")


class RefusalsError(InputError):
    """Several refusals at once; `each` has those that are kept, `count` says how many there are."""

    def __init__(self, each: tuple[InputError, ...], file: str, count: int) -> None:
        self.each, self.count = each, count
        told = [f"  {_told(one, each[:at], file)}" for at, one in enumerate(each[:MOST_TOLD])]
        told = [line.replace("\n", "\n  ") for line in told]
        more = [f"  and {count - MOST_TOLD} more"] if count > MOST_TOLD else []
        lines = [f"{count} things are wrong:", *told, *more]
        super().__init__("\n".join(lines), file=file)

    def __reduce__(self) -> tuple[type[RefusalsError], tuple[object, ...]]:
        """Say how it is made again in another process, as a worker's refusal is."""
        return RefusalsError, (self.each, self.file, self.count)


def _told(one: InputError, before: tuple[InputError, ...], file: str) -> str:
    """Return a refusal in a line; what is allowed is said once."""
    if one.allowed and any(other.allowed == one.allowed for other in before):
        one = InputError(one.message, file=one.file, row=one.row, field=one.field, found=one.found)
    return str(one).removeprefix(f"{visible(file)}, ")


class Refusals:
    """The refusals during the reading of a file or folder: each place once, in the order found."""

    def __init__(self, file: str) -> None:
        self._file = file
        self._found: dict[tuple[str, object, str], InputError] = {}
        self._more: set[int] = set()
        self._counted = 0

    def __bool__(self) -> bool:
        return bool(self._found)

    @property
    def full(self) -> bool:
        """Whether further refusals are only counted: no need to look for near words."""
        return len(self._found) >= _MOST_KEPT

    def add(self, error: InputError) -> None:
        """Note a refusal, or each of several; of one cell the first is told."""
        for one in error.each if isinstance(error, RefusalsError) else (error,):
            place = one.file, one.row, one.field
            if len(self._found) < _MOST_KEPT:
                self._found.setdefault(place, one)
            elif place not in self._found:
                self._more.add(hash(place))
        if isinstance(error, RefusalsError):
            self._counted += error.count - len(error.each)

    def take(self, function: Callable[P, T], /, *arguments: P.args, **named: P.kwargs) -> T | None:
        """Return the result of a function; None if it refuses, and the refusal is noted."""
        try:
            return function(*arguments, **named)
        except InputError as error:
            self.add(error)
            return None

    def check(self) -> None:
        """Raise the refusals noted: a single one as it is, several in one."""
        found = tuple(self._found.values())
        if len(found) == 1:
            raise found[0]
        if found:
            files = {one.file for one in found}
            file = files.pop() if len(files) == 1 else self._file
            raise RefusalsError(found, file, len(found) + len(self._more) + self._counted)
