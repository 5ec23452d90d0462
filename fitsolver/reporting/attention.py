"""What needs attention in a plan, the most important first; every condition reads the record alone.

Dangers to people come first, then conditions of the work, then assumptions of the answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import ceil
from typing import TYPE_CHECKING, Final, NamedTuple

from fitsolver.planning import cautions as said
from fitsolver.planning.standing import called_for
from fitsolver.records.figures import Figures, odds
from fitsolver.records.told import cylinder_words, in_order, left_out
from fitsolver.records.words import fit_name
from fitsolver.reporting.targets import sizes, targets

if TYPE_CHECKING:
    from fitsolver.records.plan import Answer, CylinderPlan, Fit, Plan

#: Probability of conformity below which a fit is listed.
LIKELY: Final = 0.95
#: Cautions of the job about what harms people.
_HURTS: Final = (said.PLATED,)
#: Cautions replaced by an item of the list, which says more.
_TOLD: Final = (said.UNMEASURED, said.SET_SIZE)
#: Cautions about rules that were not checked: they come last.
_LAST: Final = (said.NO_TEMPERATURES, said.NO_GUARD)
_MEASURE_FIRST: Final = (
    "measure the piston before the last pass: it is planned over its maker's tolerance, and its "
    "size decides between the two stops."
)
_MEASURE: Final = (
    "measure the piston before the last pass: it is planned over its maker's tolerance."
)
_SET_SIZE: Final = (
    "finished to a set size: measure the piston when it comes, and keep the finish size until then."
)
_RESTORED: Final = "the bore is sleeved or re-plated; nothing else saves it."
_GAUGE: Final = "the job does not say on what the bore gauge is zeroed: zero it on the new piston"


class Item(NamedTuple):
    """One thing to attend to, of a cylinder or (empty) of the job."""

    cylinder: str
    sentence: str


def attention(answer: Answer, figures: Figures) -> list[str]:
    """Return what needs attention, most important first; equal cylinders share an item."""
    items: list[Item] = []
    cautions = [_split(caution, answer) for caution in called_for(answer.cautions)]
    hot = [] if answer.plan is None else list(_of_heat(answer, answer.plan))
    last = [item for item in cautions if item.sentence in _LAST]
    hurts = [
        item for item in cautions if item.sentence in _HURTS or item.sentence.startswith(said.TIGHT)
    ]
    items += [*hot, *hurts]
    if answer.plan is not None:
        items += _of_work(answer, answer.plan, figures)
    question = answer.question
    items += (Item("", f"ACCEPTED against a doubt: {sentence}") for sentence in question.accepted)
    items += (Item("", left_out(row)) for row in answer.left_out)
    items += (Item("", f"PASSED OVER: {sentence}") for sentence in answer.passed_over)
    if answer.plan is not None:
        items += _of_odds(answer.plan, figures)
    told = {*items, *last, *(Item("", caution) for caution in _TOLD if answer.plan is not None)}
    items += [item for item in cautions if item not in told]
    order = [] if answer.plan is None else [item.cylinder for item in answer.plan.cylinders]
    return list(together([*items, *last], order))


def told_there(answer: Answer) -> set[str]:
    """Return the cautions that the attention list contains word for word."""
    instead = _TOLD if answer.plan is not None else ()
    return set(called_for(answer.cautions)).difference(instead)


def together(items: Iterable[Item], order: Sequence[str] = ()) -> Iterator[str]:
    """Yield sentences, each with all the cylinders that share it.

    Sentences in their order, the cylinders in `order`, where it has them all.
    """
    found: dict[str, list[str]] = {}
    for item in items:
        found.setdefault(item.sentence, []).extend([item.cylinder] if item.cylinder else [])
    for sentence, names in found.items():
        named = in_order(names, order) if set(names) <= set(order) else tuple(dict.fromkeys(names))
        yield f"{cylinder_words(named)}: {sentence}" if named else sentence


def _split(caution: str, answer: Answer) -> Item:
    """Return a caution with the cylinder that it begins with."""
    names = [item.cylinder for item in answer.forms]
    names += [] if answer.plan is None else [item.cylinder for item in answer.plan.cylinders]
    for name in names:
        before = f"Cylinder {name}: "
        if caution.startswith(before):
            return Item(name, caution.removeprefix(before))
    return Item("", caution)


def _of_heat(answer: Answer, plan: Plan) -> Iterator[Item]:
    for item in plan.cylinders:
        yield from (_split(caution, answer) for caution in said.hot_cautions(item))


def _of_work(answer: Answer, plan: Plan, figures: Figures) -> Iterator[Item]:
    machined = [item for item in plan.cylinders if item.machined]
    for item in machined:
        if item.skirt.known:
            continue
        if answer.finishing == "set size":
            yield Item(item.cylinder, _SET_SIZE)
        elif item.finish_small != item.finish_large:
            yield Item(item.cylinder, _MEASURE_FIRST)
        else:
            yield Item(item.cylinder, _MEASURE)
    yield from (Item(item.cylinder, _RESTORED) for item in machined if item.restored)
    for item in machined:
        if item.dial_zero is None:
            dial = _on_new_piston(item, figures)
            yield Item(item.cylinder, f"{_GAUGE} and stop at {dial}, as its size says.")


def _on_new_piston(item: CylinderPlan, figures: Figures) -> str:
    """Return where a gauge zeroed on the new piston stops: within what is permitted, as planned."""
    ends = [sizes(each, each.skirt, figures)[2] for each in targets(item) if each.skirt is not None]
    if ends:
        return " to ".join(dict.fromkeys(ends))
    return figures.expected(item.dial_on_piston.low, item.dial_on_piston.high, sign=True)


def _of_odds(plan: Plan, figures: Figures) -> Iterator[Item]:
    """Yield the fits nearer to an edge than their standard uncertainty, the least likely first."""
    weak = [(item, fit) for item in plan.cylinders for fit in item.fits if is_close(fit)]
    for item, fit in sorted(weak, key=lambda pair: pair[1].probability or 0.0):
        yield Item(item.cylinder, _close(fit, figures))


def is_close(fit: Fit) -> bool:
    """Tell whether a fit lies nearer to an edge of its window than its standard uncertainty.

    A fit is also close if it conforms with less than 95 %. Without stated instruments no fit is
    close.
    """
    if fit.uncertainty is None or fit.probability is None:
        return False
    return fit.probability < LIKELY or room(fit) < fit.uncertainty


def room(fit: Fit) -> float:
    """Return how far (ticks) the expected values stay inside the stated window."""
    slacks = [slack + fit.guard for slack in (fit.slack_low, fit.slack_high) if slack is not None]
    return min(slacks, default=float("inf"))


def _close(fit: Fit, figures: Figures) -> str:
    name = fit_name(fit.fit, fit.groove, fit.port)
    inside = room(fit)
    likely = odds(fit.probability or 0.0)
    if inside == float("inf"):
        return f"{name} is {likely} likely to be right."
    by = figures.edge(fit, int(inside), "down")
    known = figures.edge(fit, ceil(2 * (fit.uncertainty or 0.0)), "up")
    return (
        f"{name} may come within {by} of the edge of its window and is known to ±{known} "
        f"(two standard uncertainties): {likely} likely to be right."
    )
