"""TOML tables whose figures come from several files: the job, its family sheet, the shop."""

from __future__ import annotations

from typing import Any, NamedTuple

from fitsolver.base.lengths import Unit
from fitsolver.records.base import Owner


class Source(NamedTuple):
    """The owner of a figure, its file, and the unit of a bare length there.

    `place` names the section where it stands under another one than it is read from.
    """

    file: str
    unit: Unit
    owner: Owner = "job"
    place: str = ""


class Owned(dict[str, Any]):
    """A table with the source of each of its keys.

    `source` is that of the whole table and `number` its place among its like in that file, where
    it is an item of a list.
    """

    def __init__(
        self, data: dict[str, Any], source: Source | None = None, number: int | None = None
    ) -> None:
        super().__init__(data)
        self.sources: dict[str, Source] = {}
        self.source, self.number = source, number


class Layer(NamedTuple):
    """One file's table, and where it comes from."""

    data: dict[str, Any]
    source: Source


def merged(layers: list[Layer]) -> Owned:
    """Return the tables in one, the first having precedence.

    Tables within them are merged key by key; any other value, lists too, is that of the first
    table that has the key.
    """
    found = Owned({})
    for layer in layers:
        for key, value in layer.data.items():
            if key not in found:
                found[key], found.sources[key] = value, layer.source
    for key, value in found.items():
        having = [layer for layer in layers if key in layer.data]
        if not isinstance(value, dict) or len(having) == 1:
            continue
        odd = [layer for layer in having if not isinstance(layer.data[key], dict)]
        if odd:  # left for the reader to refuse, in the file where it stands
            found[key], found.sources[key] = odd[0].data[key], odd[0].source
        else:
            found[key] = merged([Layer(layer.data[key], layer.source) for layer in having])
    return found
