"""A piece of a table of bores, decided by itself: in this process or any other."""

from __future__ import annotations

import pickle
from functools import lru_cache

import numpy as np

from fitsolver.reading.columns import BadRow, Chunk, Ints, Sizes, Text, Way, sizes
from fitsolver.screening.decided import Decided
from fitsolver.screening.screen import Bores, Screen

_WAYS: dict[str, Way] = {"largest": "up", "smallest": "down", "scratch": "up"}


def decide_chunk(pattern: bytes, chunk: Chunk) -> Decided:
    """Return what is best for every row of a chunk; `pattern` is a pickled Pattern."""
    screen = _screen(pattern)
    bores, bad = read_bores(chunk)
    good = np.ones(chunk.rows, bool)
    good[[each.row - chunk.start for each in bad]] = False
    full = {name: np.zeros(chunk.rows, np.int64) for name in ("finish", "removal", "filing")}
    choice = np.full(chunk.rows, -1, np.int64)
    for material, rows in _by_material(chunk, np.flatnonzero(good), screen.pattern.material):
        some = Bores(bores.largest[rows], bores.smallest[rows], bores.scratch[rows])
        found = screen.screen(some, material)
        choice[rows] = found.choice
        full["finish"][rows] = found.finish
        full["removal"][rows] = found.removal
        full["filing"][rows] = found.filing
    used, own = np.unique(choice[choice >= 0], return_inverse=True)
    choice[choice >= 0] = own
    choices = [screen.choices[number] for number in used]
    return Decided(chunk.start, choice, choices, **full, bad=bad)


@lru_cache(maxsize=1)
def _screen(pattern: bytes) -> Screen:
    """Return the tables of a pattern, made once in each process."""
    return Screen(pickle.loads(pattern))


def _by_material(chunk: Chunk, rows: Ints, usual: str) -> list[tuple[str, Ints]]:
    column = chunk.columns.get("material")
    if not isinstance(column, Text):
        return [(usual, rows)]
    named = [value.strip() or usual for value in column.values]
    places = {name: place for place, name in enumerate(dict.fromkeys([usual, *named]))}
    of_code = np.array([*(places[name] for name in named), places[usual]])[column.codes[rows]]
    found = [(name, rows[of_code == place]) for name, place in places.items()]
    return [(name, some) for name, some in found if len(some)]


def read_bores(chunk: Chunk) -> tuple[Bores, list[BadRow]]:
    """Return the sizes of a chunk, and its invalid rows with one fault each."""
    columns, zero = chunk.columns, np.zeros(chunk.rows, np.int64)
    read: dict[str, tuple[str, Sizes]] = {}
    for name in ("largest", "smallest"):
        given = name if name in columns else "bore"
        read[name] = given, sizes(columns[given], chunk.units[given], _WAYS[name])
    scratch = Sizes(zero, zero, [""])
    if "scratch" in columns:
        scratch = sizes(columns["scratch"], chunk.units["scratch"], "up")
        none = np.array([reason == "empty" for reason in scratch.reasons])[scratch.wrong]
        scratch = Sizes(np.where(none, 0, scratch.ticks), np.where(none, 0, scratch.wrong),
                        scratch.reasons)  # fmt: skip
    read["scratch"] = "scratch", scratch
    faults: dict[int, BadRow] = {}

    def fault(row: int, field: str, reason: str) -> None:
        found = columns[field].at(row)
        faults.setdefault(row, BadRow(chunk.start + row, field, found, reason))

    for field, size in read.values():
        for row in np.flatnonzero(size.wrong).tolist():
            fault(row, field, size.reasons[size.wrong[row]])
    largest, smallest = read["largest"][1].ticks, read["smallest"][1].ticks
    for name in ("largest", "smallest"):
        for row in np.flatnonzero(read[name][1].ticks <= 0).tolist():
            fault(row, read[name][0], "a bore is above 0")
    for row in np.flatnonzero(scratch.ticks < 0).tolist():
        fault(row, "scratch", "a depth is not below 0")
    for row in np.flatnonzero(smallest > largest).tolist():
        fault(row, read["smallest"][0], "the smallest size is above the largest")
    bad = [faults[row] for row in sorted(faults)]
    return Bores(largest, smallest, scratch.ticks), bad
