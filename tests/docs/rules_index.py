"""The table of rules in the index of the documentation, from the registry."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fitsolver.records.rules import REGISTRY
from tests.docs.pages import DOCS

INDEX: Final = DOCS / "README.md"
_HEAD: Final = ("| rule | in short | it refuses |", "|---|---|---|")


def rows() -> Iterator[str]:
    """Yield the table, line by line."""
    yield from _HEAD
    for rule in REGISTRY.values():
        yield f"| [`{rule.id}`]({rule.page}) | {rule.title} | {rule.refuses} |"


def refreshed_index(text: str) -> str:
    """Return the index with its table of rules as the registry has it."""
    lines = text.splitlines()
    first = lines.index(_HEAD[0])
    last = next((n for n in range(first, len(lines)) if not lines[n].startswith("|")), len(lines))
    return "\n".join([*lines[:first], *rows(), *lines[last:], ""])
