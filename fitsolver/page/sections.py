"""A report as sections for a page: the words and figures are those of the command line."""

from __future__ import annotations

from typing import NamedTuple

from fitsolver.reporting.layout import Block
from fitsolver.verbs.report import InUnit, report


class SectionOfReport(NamedTuple):
    """What stands under one heading; the first section has none."""

    heading: str
    blocks: tuple[Block, ...]


def sections(answer: InUnit) -> list[SectionOfReport]:
    """Return the report of an answer, its title left out."""
    return of_blocks(list(report(answer).blocks()))


def of_blocks(blocks: list[Block]) -> list[SectionOfReport]:
    """Return blocks under their headings; cautions come last on the page as on paper."""
    found: list[tuple[str, list[Block]]] = [("", [])]
    for block in blocks:
        if block.form == "heading":
            found.append((block.rows[0][0], []))
        elif block.form != "title":
            found[-1][1].append(block)
    return [SectionOfReport(heading, tuple(parts)) for heading, parts in found if parts]
