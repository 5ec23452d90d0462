"""What a component comes to: who is served, with which pieces from the shelf, and how proven."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Result:
    """`shares` holds the pieces from stock of each served job, by name of the job and number.

    `values`, `bounds` by level, serving levels first; a bound is None where nothing is proven.
    """

    shares: Mapping[str, Mapping[str, int]]
    values: tuple[int, ...]
    bounds: tuple[int | None, ...]

    @property
    def proven(self) -> bool:
        return self.values == self.bounds
