"""Rule `same_size`: the cylinders of a set take pistons of one oversize."""

from __future__ import annotations

from collections.abc import Iterable


def one_size(oversizes: Iterable[int]) -> bool:
    """Tell whether all oversizes (ticks) are equal."""
    return len(set(oversizes)) <= 1
