"""Catalogues that the worker processes hold, so that each is sent to a process once.

A question names its catalogues by fingerprint. A process that lacks one, or has dropped it, reports
that; it then gets the question again with the catalogues themselves.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from typing import Final, NamedTuple

from fitsolver.records.catalogue import Catalogue

#: Most catalogues that a process holds; above it the least recently used one goes.
MOST: Final = 8


class Named(NamedTuple):
    """A catalogue by its fingerprint, its name, and the rows that are set aside in it."""

    fingerprint: str
    name: str
    aside: tuple[tuple[str, int, str], ...]


class Wanted(NamedTuple):
    """The reply of a process that lacks the catalogues of a question."""

    names: frozenset[Named]


_held: Final[OrderedDict[Named, Catalogue]] = OrderedDict()


def named(argument: object) -> object:
    """Return an argument of a question; a catalogue, which is large, is replaced by its name."""
    if not isinstance(argument, Catalogue) or not argument.fingerprint:
        return argument
    aside = tuple((row.kind, row.at, row.doubt.id) for row in argument.set_aside)
    return Named(argument.fingerprint, argument.name, aside)


def catalogues(arguments: Sequence[object]) -> dict[Named, Catalogue]:
    """Return the catalogues among the arguments of a question, by their names."""
    found = ((named(item), item) for item in arguments)
    return {
        name: item
        for name, item in found
        if isinstance(name, Named) and isinstance(item, Catalogue)
    }


def answered(
    function: Callable[..., object],
    arguments: Sequence[object],
    brought: Mapping[Named, Catalogue],
) -> object:
    """Return the result of a function in a worker process; `Wanted` if a catalogue is missing.

    The `arguments` hold catalogues by name; the process keeps those in `brought`.
    """
    for name, catalogue in brought.items():
        _held[name] = catalogue
        _held.move_to_end(name)
    while len(_held) > MOST:
        _held.popitem(last=False)
    asked = [item for item in arguments if isinstance(item, Named)]
    if wanted := frozenset(name for name in asked if name not in _held):
        return Wanted(wanted)
    for name in asked:
        _held.move_to_end(name)
    return function(*(_held[item] if isinstance(item, Named) else item for item in arguments))
