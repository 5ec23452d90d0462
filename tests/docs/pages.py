"""The pages of the documentation and their code blocks.

Five kinds of block have a meaning here:

* ```console: lines that begin with `$ ` are commands, what follows is their output; a line
  that ends with a backslash continues on the next;
* a block without a kind, all of whose lines begin with `fitsolver `: commands whose output the page
  does not show, each by itself; they must not be refused;
* ```python: a script; a ```text block right after it is what it prints;
* any block right under a line that holds only a file name between backticks and a colon: the
  contents of that file;
* all others are for reading only.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
#: Every page with something to run, or links to follow.
PAGES = (
    ROOT / "README.md",
    ROOT / "DEVELOPERS.md",
    ROOT / "catalogs_demo" / "README.md",
    *sorted(DOCS.rglob("*.md")),
)
_FILE_NAME = re.compile(r"^`([\w./-]+\.\w+)`:$")


@dataclass(frozen=True)
class Block:
    """One fenced block: `first` and `last` are the indices of its lines between the fences."""

    kind: str
    lines: tuple[str, ...]
    first: int
    last: int
    file: str = ""
    follows: int = -1  # index of the closing fence right above, -1 when there is other text

    @property
    def text(self) -> str:
        return "".join(f"{line}\n" for line in self.lines)

    @property
    def bare_commands(self) -> bool:
        """Whether it holds nothing but commands of ours without an output."""
        return not self.kind and all(line.startswith("fitsolver ") for line in self.lines)

    @property
    def runs(self) -> bool:
        return self.kind in ("console", "python") or self.bare_commands


@dataclass(frozen=True)
class Command:
    """One command with the output the page shows, and where that output stands."""

    text: str
    output: tuple[str, ...]
    first: int
    last: int


def name(page: Path) -> str:
    """Name a page as seen from the top folder."""
    return page.relative_to(ROOT).as_posix()


def blocks(text: str) -> Iterator[Block]:
    """Yield the fenced blocks of a page, from top to bottom."""
    lines = text.splitlines()
    start, above, closed = None, "", -1
    for number, line in enumerate(lines):
        if start is not None:
            if line.strip() == "```":
                kind = lines[start].strip()[3:]
                file = _FILE_NAME.match(above)
                yield Block(
                    kind,
                    tuple(lines[start + 1 : number]),
                    start + 1,
                    number,
                    file[1] if file else "",
                    closed,
                )
                start, above, closed = None, "", number
        elif line.startswith("```"):
            start = number
        elif line.strip():
            above, closed = line, -1


def commands(block: Block) -> list[Command]:
    """Split a console block into its commands."""
    found: list[Command] = []
    row = 0
    while row < len(block.lines):
        line = block.lines[row]
        if not line.startswith("$ "):
            raise ValueError(f"line {block.first + row + 1}: output without a command")
        text = line[2:]
        while text.endswith("\\") and row + 1 < len(block.lines):
            row += 1
            text = f"{text}\n{block.lines[row]}"
        row += 1
        start = row
        while row < len(block.lines) and not block.lines[row].startswith("$ "):
            row += 1
        found.append(Command(text, block.lines[start:row], block.first + start, block.first + row))
    return found
