"""The report of any answer, for a terminal, a file or a pipe of 80 columns or more.

Nothing is printed here. Lengths are shown in one unit, rounded as `figures` says.
"""

from __future__ import annotations

from collections.abc import Iterator
from inspect import signature
from typing import TYPE_CHECKING, Any, Protocol, cast

from fitsolver.planning.standing import in_short
from fitsolver.records.figures import Figures
from fitsolver.records.words import ON_DIAMETER, UNIT_WORDS
from fitsolver.reporting.caution_view import Cautioning, cautions_view, short_cautions
from fitsolver.reporting.layout import Page, heading, lines_of, text, title
from fitsolver.reporting.sections import CAUTIONS, WHOLE, Opened, left_out_line, parts_shown
from fitsolver.verbs.registry import verb_of
from fitsolver.verbs.verb import Verb, loaded

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.base.lengths import Unit


class InUnit(Protocol):
    """An answer, whose lengths are in a unit of its own."""

    @property
    def unit(self) -> Unit: ...


def report(answer: InUnit, unit: Unit | None = None, opened: Opened = WHOLE, **shown: Any) -> Page:
    """Return the report of an answer, in `unit` or its own; `shown` is what its view takes.

    It is whole, or the answer with the sections in `opened` and a line that names the others.
    Sentences of a refusal keep the job's unit, which stands with every figure in them.
    """
    verb = verb_of(answer)
    figures = Figures(unit or answer.unit)
    left: list[str] = []
    view, head = loaded(verb.view), list(_head(verb, answer, figures))
    taken = signature(view).parameters
    shown |= {"opened": opened} if "opened" in taken else {}
    shown |= {"used": lines_of(head)} if "used" in taken else {}
    parts = [
        *head,
        *parts_shown(view(answer, figures, **shown), opened, left),
        *_cautions(verb, answer, opened, left),
    ]
    if left:
        parts += ["", text(left_out_line(left))]
    return Page(*parts, *_more(verb, answer, unit, opened))


def _head(verb: Verb[Any], answer: InUnit, figures: Figures) -> Iterator[RenderableType]:
    yield title(verb.title(answer))
    lengths = f"lengths in {UNIT_WORDS[figures.unit]}, {ON_DIAMETER}"
    yield text("; ".join((*verb.facts(answer), lengths)))


def _cautions(
    verb: Verb[Any], answer: InUnit, opened: Opened, left: list[str]
) -> Iterator[RenderableType]:
    if not getattr(answer, "cautions", ()):
        return
    cautioning = cast(Cautioning, answer)
    if opened.has(CAUTIONS):
        yield from cautions_view(cautioning)
        return
    yield from short_cautions(cautioning, told=verb.attends, later=verb.later)
    if in_short(cautioning.cautions):
        left.append(CAUTIONS)


def _more(
    verb: Verb[Any], answer: InUnit, unit: Unit | None, opened: Opened
) -> Iterator[RenderableType]:
    """Yield the reports of the answers that this one carries."""
    for item in verb.more(answer):
        yield heading(item.heading) if item.heading else ""
        yield item.line
        yield ""
        yield report(item.answer, unit, opened)
