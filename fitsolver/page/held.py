"""Catalogues that the worker processes hold, so that each is sent to a process once.

A question names its catalogues by what is in them. A process that has not got one, or has let it
go for others, says so, and is handed the question once more with the catalogues themselves.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from typing import Final, NamedTuple

from fitsolver.records.catalogue import Catalogue

#: Catalogues that a process holds at the most; then the one not asked for longest goes.
MOST: Final = 8


class Named(NamedTuple):
    """A catalogue by its fingerprint, its name, and the rows that are set aside in it."""

    fingerprint: str
    name: str
    aside: tuple[tuple[str, int, str], ...]


class Wanted(NamedTuple):
    """What a process answers that has not got the catalogues of a question."""

    names: frozenset[Named]


_held: Final[OrderedDict[Named, Catalogue]] = OrderedDict()


def named(argument: object) -> object:
    """Return an argument of a question; of a catalogue, which is large, what names it."""
    if not isinstance(argument, Catalogue) or not argument.fingerprint:
        return argument
    aside = tuple((row.kind, row.at, row.doubt.id) for row in argument.set_aside)
    return Named(argument.fingerprint, argument.name, aside)


def catalogues(arguments: Sequence[object]) -> dict[Named, Catalogue]:
    """Return the catalogues among the arguments of a question, by what names them."""
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
    """Return what a function makes of its arguments, in a worker process; else `Wanted`.

    Catalogues stand among `arguments` by what names them; those `brought` are held from now on.
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
