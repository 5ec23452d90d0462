"""Sections of a report: which are open, and the line that names those that are not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from rich.console import RenderableType

CAUTIONS: Final = "cautions"


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a report that may be left out; `shut` is False where it comes with the answer."""

    name: str
    parts: Iterable[RenderableType]
    shut: bool = True


@dataclass(frozen=True, slots=True)
class Opened:
    """The sections asked for by name; None = all, which is the whole report."""

    names: frozenset[str] | None = frozenset()

    @property
    def all(self) -> bool:
        return self.names is None

    def has(self, name: str) -> bool:
        return self.names is None or name in self.names


WHOLE: Final = Opened(None)


def parts_shown(
    parts: Iterable[RenderableType | Section], opened: Opened, left_out: list[str]
) -> Iterator[RenderableType]:
    """Yield what is shown of a report; names of sections left out are put into `left_out`."""
    for part in parts:
        if not isinstance(part, Section):
            yield part
        elif opened.has(part.name) or not part.shut:
            yield from part.parts
        elif part.name not in left_out:
            left_out.append(part.name)


def left_out_line(names: Sequence[str]) -> str:
    """Return the line that names the sections left out, and how they are opened."""
    return f"More (--show NAME or --full): {', '.join(names)}"
