"""The result of a component: the jobs served, their selections, and the proof."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fitsolver.choices.selection import Selection


@dataclass(frozen=True, slots=True)
class Result:
    """`chosen` holds the selection of each served job, by name of the job.

    `values` and `bounds` are by level, serving levels first; an unproven bound is None.
    """

    chosen: Mapping[str, Selection]
    values: tuple[int, ...]
    bounds: tuple[int | None, ...]

    @property
    def proven(self) -> bool:
        """True if every level is proven, and there is a level."""
        return bool(self.values) and self.values == self.bounds

    @property
    def shares(self) -> dict[str, dict[str, int]]:
        """The pieces from stock of each served job, by number."""
        return {name: share_of(chosen) for name, chosen in self.chosen.items()}


def share_of(chosen: Selection) -> dict[str, int]:
    """Return the pieces from stock that a job takes, by number."""
    bought = (*chosen.kits.items(), *chosen.singles.items())
    return {number: each.stock for number, each in bought if each.stock}
