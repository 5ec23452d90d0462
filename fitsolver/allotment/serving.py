"""The order of serving: the levels on which jobs left out are counted."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from fitsolver.records.allotment import ShopJob

#: Sorts jobs without a priority, or without a due date, behind all others.
_LAST = 10**9


class Served(NamedTuple):
    """One level: jobs of a class of priority, all of them (`due` None) or those due then."""

    priority: int | None
    due: int | None

    def counts(self, entry: ShopJob) -> bool:
        """Tell whether a job left out counts on this level."""
        return entry.priority == self.priority and self.due in (None, due_of(entry))

    @property
    def words(self) -> str:
        name = "jobs without priority" if self.priority is None else f"priority {self.priority}"
        return name if self.due is None else f"{name}, due in {self.due} days"


def due_of(entry: ShopJob) -> int | None:
    """Return in how many days a job is due; None if it states no date."""
    return entry.job.terms.needed_in_days


def serving_levels(entries: Iterable[ShopJob]) -> tuple[Served, ...]:
    """Return the levels of a shop: each class, then within it those due, the soonest first.

    The last due date of a class needs no level: the class and its other dates determine it.
    """
    classes: dict[int | None, set[int | None]] = {}
    for entry in entries:
        classes.setdefault(entry.priority, set()).add(due_of(entry))
    found = []
    for priority in sorted(classes, key=_rank):
        found.append(Served(priority, None))
        found += [Served(priority, due) for due in sorted(classes[priority], key=_rank)[:-1]]
    return tuple(found)


def in_order(entries: Sequence[ShopJob]) -> list[ShopJob]:
    """Return jobs in the order of serving: priority, due, then as they are listed."""
    return sorted(entries, key=lambda entry: (_rank(entry.priority), _rank(due_of(entry))))


def _rank(value: int | None) -> int:
    return _LAST if value is None else value
