"""The report of any answer, for a terminal, a file or a pipe of 80 columns or more.

Nothing is printed here. Lengths are shown in one unit, rounded as `figures` says.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Protocol

from fitsolver.records.figures import Figures
from fitsolver.records.words import ON_DIAMETER, UNIT_WORDS
from fitsolver.reporting.layout import Page, bullets, heading, text, title
from fitsolver.verbs.registry import verb_of
from fitsolver.verbs.verb import Verb, loaded

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.base.lengths import Unit


class InUnit(Protocol):
    """An answer, whose lengths are in a unit of its own."""

    @property
    def unit(self) -> Unit: ...


def report(answer: InUnit, unit: Unit | None = None, **shown: Any) -> Page:
    """Return the report of an answer, in `unit` or its own; `shown` is what its view takes.

    Sentences of a refusal keep the job's unit, which stands with every figure in them.
    """
    verb = verb_of(answer)
    figures = Figures(unit or answer.unit)
    return Page(
        *_head(verb, answer, figures),
        *loaded(verb.view)(answer, figures, **shown),
        *_cautions(answer),
        *_more(verb, answer, unit),
    )


def _head(verb: Verb[Any], answer: InUnit, figures: Figures) -> Iterator[RenderableType]:
    yield title(verb.title(answer))
    yield text("; ".join((*verb.facts(answer), f"lengths in {UNIT_WORDS[figures.unit]}")))
    yield text(ON_DIAMETER)


def _cautions(answer: InUnit) -> Iterator[RenderableType]:
    lines = getattr(answer, "cautions", ())
    if lines:
        yield heading("Cautions")
        yield bullets(lines)


def _more(verb: Verb[Any], answer: InUnit, unit: Unit | None) -> Iterator[RenderableType]:
    """Yield the reports of the answers that this one carries."""
    for item in verb.more(answer):
        yield heading(item.heading) if item.heading else ""
        yield item.line
        yield ""
        yield report(item.answer, unit)
