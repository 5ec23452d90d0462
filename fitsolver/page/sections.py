"""A report as sections for a page: the words and figures are those of the command line."""

from __future__ import annotations

from typing import NamedTuple, cast

from fitsolver.records.base import Record
from fitsolver.reporting.layout import Block, Page
from fitsolver.verbs.report import InUnit, report


class SectionOfReport(NamedTuple):
    """The blocks under one heading; the first section has no heading."""

    heading: str
    blocks: tuple[Block, ...]


def sections(answer: Record) -> list[SectionOfReport]:
    """Return the report of an answer, its title left out."""
    return under_headings(report(cast(InUnit, answer)))


def under_headings(page: Page) -> list[SectionOfReport]:
    """Return the blocks of a report under their headings; cautions come last as on paper."""
    found: list[tuple[str, list[Block]]] = [("", [])]
    for block in page.blocks():
        if block.form == "heading":
            found.append((block.rows[0][0], []))
        elif block.form != "title":
            found[-1][1].append(block)
    return [SectionOfReport(heading, tuple(parts)) for heading, parts in found if parts]
