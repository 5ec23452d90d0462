"""A report as sections for a page: the words and figures are those of the command line."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, NamedTuple

from rich.console import RenderableType

from fitsolver.records.base import Record
from fitsolver.reporting import terminal
from fitsolver.reporting.layout import Block, Page


class SectionOfReport(NamedTuple):
    """What stands under one heading; the first section has none."""

    heading: str
    blocks: tuple[Block, ...]


_RENDERERS: Final[dict[str, Callable[..., RenderableType]]] = {
    "pick": terminal.render_answer,
    "why": terminal.render_why,
    "alternatives": terminal.render_alternatives,
    "ladder": terminal.render_ladder,
    "plan": terminal.render_stages,
    "firm": terminal.render_firm,
    "fits": terminal.render_fits,
    "budget": terminal.render_budget,
    "final": terminal.render_final,
    "hone": terminal.render_hone,
    "arrived": terminal.render_arrived,
    "bore": lambda found: terminal.render_forms(
        found.forms,
        found.unit,
        found.cautions,
        title=found.job,
        corrections=found.corrections,
    ),
}


def sections(verb: str, answer: Record) -> list[SectionOfReport]:
    """Return the report of an answer, its title left out."""
    return under_headings(_RENDERERS[verb](answer))


def under_headings(report: RenderableType) -> list[SectionOfReport]:
    """Return the blocks of a report under their headings; cautions come last as on paper."""
    assert isinstance(report, Page)
    found: list[tuple[str, list[Block]]] = [("", [])]
    for block in report.blocks():
        if block.form == "heading":
            found.append((block.rows[0][0], []))
        elif block.form != "title":
            found[-1][1].append(block)
    return [SectionOfReport(heading, tuple(parts)) for heading, parts in found if parts]
