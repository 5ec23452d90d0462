"""A selection: options, rings, stacks, sizes and supply, before it becomes a plan."""

from __future__ import annotations

from dataclasses import dataclass, field

from fitsolver.choices.types import Option, RingOption


@dataclass(frozen=True, slots=True)
class CylinderSelection:
    """One cylinder: `low` and `high` bound its local sizes afterwards (ticks).

    `rings` by groove; `stacks` counts gaskets by place and number (shared places as well).
    """

    option: Option
    low: int
    high: int
    rings: dict[int, RingOption]
    stacks: dict[str, dict[str, int]]


@dataclass(frozen=True, slots=True)
class Bought:
    """Pieces of one number from stock and ordered."""

    stock: int = 0
    ordered: int = 0


@dataclass(frozen=True, slots=True)
class Selection:
    """All cylinders in job order, and what is bought, by number."""

    cylinders: tuple[CylinderSelection, ...]
    kits: dict[str, Bought] = field(default_factory=dict)
    singles: dict[str, Bought] = field(default_factory=dict)
