"""The cautions of an answer: all in full, or the standing ones in short."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final, Protocol

from fitsolver.planning.standing import called_for, in_short
from fitsolver.records.plan import Answer
from fitsolver.reporting.attention import Item, together, told_there
from fitsolver.reporting.layout import bullets, heading, indented

if TYPE_CHECKING:
    from rich.console import RenderableType


#: Stands for the standing cautions on later reports about a job.
AS_PICKED: Final = (
    "Rings that butt, tight skirts and honing can harm: the general cautions of `pick` hold here "
    "too, in full with --show cautions."
)


class Cautioning(Protocol):
    """An answer that has cautions."""

    @property
    def cautions(self) -> tuple[str, ...]: ...


def cautions_view(answer: Cautioning) -> Iterator[RenderableType]:
    """Yield every caution in full, except those in the attention list."""
    told = told_there(answer) if isinstance(answer, Answer) else set()
    lines = [caution for caution in answer.cautions if caution not in told]
    if lines:
        yield heading("Cautions")
        yield bullets(lines)


def short_cautions(
    answer: Cautioning, *, told: bool = True, later: bool = False
) -> list[RenderableType]:
    """Return the standing cautions in short; those that the job calls for in full, unless `told`.

    `told`: the attention list already has them. A `later` report about a job refers to the standing
    cautions of its pick.
    """
    short = in_short(answer.cautions)
    short = AS_PICKED if short and later else short
    called = () if told else called_for(answer.cautions)
    if not short and not called:
        return []
    parts: list[RenderableType] = [heading("Cautions")]
    parts += [bullets(together(map(of_cylinder, called)))] if called else []
    return parts + ([indented(short)] if short else [])


def of_cylinder(caution: str) -> Item:
    """Return a caution with the cylinder that it begins with, if any."""
    head, found, rest = caution.partition(": ")
    if found and head.startswith("Cylinder "):
        return Item(head.removeprefix("Cylinder "), rest)
    return Item("", caution)
