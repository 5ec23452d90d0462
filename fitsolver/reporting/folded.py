"""Sentences of many cylinders in few lines: sentences that differ in figures only appear once."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Final, NamedTuple

from fitsolver.records.told import cylinder_words

#: A figure with decimals: no groove, no count and no part number.
_FIGURE: Final = re.compile(r"(?<![\w.-])[+-]?\d+\.\d+(?!\w)")


class Told(NamedTuple):
    """Sentences, and the cylinders that they are about; "" stands for the job.

    `as_of` is the cylinder whose figures they show, if those of the others differ.
    """

    cylinders: tuple[str, ...]
    sentences: tuple[str, ...]
    as_of: str = ""

    @property
    def words(self) -> str:
        """The cylinders in words."""
        named = cylinder_words(list(self.cylinders))
        return f"{named} (figures of cylinder {self.as_of})" if self.as_of else named


def by_cylinder(told: Iterable[tuple[str, str]]) -> list[Told]:
    """Return sentences (cylinder, sentence) as they are, cylinders that are alike together."""
    groups = [
        Told((name,), tuple(sentence for _, sentence in group))
        for name, group in groupby(told, key=lambda pair: pair[0])
    ]
    return _together(groups, figures=True)


def folded(groups: Sequence[Told]) -> list[Told]:
    """Return groups that differ in figures only as one, with the figures of the first."""
    return _together(groups, figures=False)


def _together(groups: Sequence[Told], *, figures: bool) -> list[Told]:
    found: dict[tuple[str, ...], list[Told]] = {}
    for told in groups:
        key = told.sentences if figures else tuple(_FIGURE.sub("0", s) for s in told.sentences)
        found.setdefault(key, []).append(told)
    return [
        Told(
            _counted_up(name for told in same for name in told.cylinders),
            same[0].sentences,
            "" if figures or len(same) == 1 else same[0].cylinders[0],
        )
        for same in found.values()
    ]


def _counted_up(names: Iterable[str]) -> tuple[str, ...]:
    """Return cylinders that are numbers in their order, others as they come."""
    found = tuple(names)
    plain = all(name.isascii() and name.isdigit() for name in found)
    return tuple(sorted(found, key=int)) if plain else found
