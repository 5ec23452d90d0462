"""What the quickstart promises of the time it takes: counted in characters that are typed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tests.docs.pages import DOCS, blocks, commands

#: Characters a minute of somebody who types with a few fingers; common practice, no source.
A_MINUTE: Final = 200
FIRST_ANSWER: Final = "fitsolver pick sprayer/job.toml"


def typed() -> Iterator[str]:
    """Everything that a reader types, file by file and command by command."""
    for block in blocks((DOCS / "quickstart.md").read_text(encoding="utf-8")):
        if block.kind == "console":
            yield from (command.text for command in commands(block))
        elif block.file:
            yield "\n".join(block.lines)


def test_the_order_stands_after_ten_minutes_of_typing() -> None:
    every = list(typed())
    until = sum(len(text) + 1 for text in every[: every.index(FIRST_ANSWER) + 1])
    assert 1_700 < until < 10 * A_MINUTE  # "some 1,900 characters", ten minutes
    assert sum(len(text) + 1 for text in every) < 2_900  # "some 2,700 characters"
