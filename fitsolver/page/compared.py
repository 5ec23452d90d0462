"""Part sets and plans as tables that are compared at a glance: a row each, differences marked.

What differs from the first row is marked. Rows that differ from an earlier one in gaskets only are
folded away behind it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import Final, NamedTuple

from fitsolver.page.sections import SectionOfReport, sections
from fitsolver.records.alternatives import Alternative, AlternativesAnswer, Change, Totals
from fitsolver.records.base import FitName, Record
from fitsolver.records.figures import NONE, Figures, money
from fitsolver.records.plan import Fit
from fitsolver.records.rules import RULE_OF
from fitsolver.records.told import cylinder_words
from fitsolver.records.verdicts import FitsAnswer, PartSet, Verdict
from fitsolver.records.words import RULE_WORDS, counted, fit_name

#: The fits that have a column of their own.
_FITS: Final[tuple[FitName, ...]] = ("clearance", "end_gap", "squish")
#: What changes of gaskets begin with.
_GASKET: Final = "gasket"
#: The parts of a report of plans that the table tells.
_PLANS: Final = ("The best plans, what matters most first", "What each takes in place of the best")
_TWO: Final = 2


class Cell(NamedTuple):
    """A figure or a name; `mark` is empty, `differs` from the first row, or `missed`."""

    said: str
    mark: str = ""


class Row(NamedTuple):
    """A set or a plan. `folded` are those that differ from it in gaskets only."""

    name: str
    cells: tuple[Cell, ...]
    folded: tuple[Row, ...] = ()


class Compared(NamedTuple):
    """A table of rows.

    `columns` are told with their kind: `figure`, `text`, or `parts`, one in a line. The column of
    the names is left out.
    """

    heading: str
    said: str
    columns: tuple[tuple[str, str], ...]
    rows: tuple[Row, ...]
    #: The heading of rows that are shown when asked for, and these.
    more: str = ""
    more_rows: tuple[Row, ...] = ()


def compared_sets(answer: FitsAnswer) -> tuple[Compared, ...]:
    """Return a table for each cylinder; cylinders with the same sets share one."""
    figures = Figures(answer.unit)
    found: dict[tuple[PartSet, ...], list[str]] = {}
    for name, group in groupby(answer.sets, key=lambda item: item.cylinder):
        bare = tuple(item.model_copy(update={"cylinder": ""}) for item in group)
        found.setdefault(bare, []).append(name)
    return tuple(
        _of_cylinders(names, sets, figures, answer.currency) for sets, names in found.items()
    )


def _of_cylinders(
    names: list[str], sets: Sequence[PartSet], figures: Figures, currency: str
) -> Compared:
    asked = _asked(sets)
    columns = (
        ("piston or kit", "parts"),
        ("tightest, or missed by", "text"),
        (f"price {currency}".rstrip(), "figure"),
        *((fit_name(fit, groove), "figure") for fit, groove in asked),
        ("rings", "parts"),
        ("gaskets", "parts"),
    )
    rows = [
        (str(place), _cells(item, asked, figures), item.holds)
        for place, item in enumerate(sets, start=1)
    ]
    fitting = [(name, cells) for name, cells, holds in rows if holds]
    missing = [(name, cells) for name, cells, holds in rows if not holds]
    fit = "fits" if len(fitting) == 1 else "fit"
    words = cylinder_words(names)
    shown, rest = (fitting, missing) if fitting else (missing[:1], missing[1:])
    first = rows[0][1]
    return Compared(
        heading=words[0].upper() + words[1:],
        said=f"{len(fitting)} of {counted(len(sets), 'set', 'sets')} {fit}."
        + ("" if fitting else " The nearest:"),
        columns=columns,
        rows=tuple(_folded(shown, first)),
        more=f"{counted(len(rest), 'set does', 'sets do')} not fit" if rest else "",
        more_rows=tuple(_folded(rest, first)),
    )


def _asked(sets: Iterable[PartSet]) -> tuple[tuple[FitName, int | None], ...]:
    """Return the fits that any of the sets has, with their grooves, in the order of the columns."""
    found = {(fit.fit, fit.groove) for item in sets for fit in item.fits if fit.fit in _FITS}
    return tuple(sorted(found, key=lambda one: (_FITS.index(one[0]), one[1] or 0)))


def _cells(
    item: PartSet, asked: Iterable[tuple[FitName, int | None]], figures: Figures
) -> tuple[Cell, ...]:
    fits = {(fit.fit, fit.groove): fit for fit in item.fits}
    named = f"kit {item.kit}\n{item.piston}" if item.kit else item.piston
    return (
        Cell(named),
        _verdict(item, figures),
        Cell(money(item.price)) if item.price is not None else Cell("cannot be had", "missed"),
        *(_fit(fits.get(one), figures) for one in asked),
        Cell("\n".join(item.rings) or NONE),
        Cell(_counted(item.gaskets) or NONE),
    )


def _counted(numbers: Sequence[str]) -> str:
    """Return part numbers, each once with how often it is taken."""
    times = {number: numbers.count(number) for number in numbers}
    return "\n".join(f"{n} x {number}" if n > 1 else number for number, n in times.items())


def _fit(fit: Fit | None, figures: Figures) -> Cell:
    if fit is None:
        return Cell(NONE)
    filed = f"\nfiled {figures.up(fit.filed)}" if fit.filed else ""
    said = figures.expected(fit.least, fit.most) + filed
    return Cell(said, "" if fit.holds else "missed")


def _verdict(item: PartSet, figures: Figures) -> Cell:
    """Return the rule with the least room where all hold, else each that is missed."""
    if not item.holds:
        missed = [verdict for verdict in item.verdicts if not verdict.holds]
        return Cell(", ".join(_missed(verdict, item, figures) for verdict in missed), "missed")
    with_room = [
        (v.margin, RULE_WORDS[v.rule]) for v in item.verdicts if v.holds and v.margin is not None
    ]
    if not with_room:
        return Cell("all hold")
    room, rule = min(with_room)
    return Cell(f"{rule}, {figures.down(room)} to spare")


def _missed(verdict: Verdict, item: PartSet, figures: Figures) -> str:
    """Return a missed rule with its figure; in words where no figure says it."""
    told = any(RULE_OF[fit.fit] == verdict.rule and not fit.in_window for fit in item.fits)
    if verdict.margin is None or not (told or verdict.margin < 0):
        return f"{RULE_WORDS[verdict.rule]}: {verdict.sentence}"
    return f"{RULE_WORDS[verdict.rule]} by {figures.up(-verdict.margin)}"


def _folded(rows: Iterable[tuple[str, tuple[Cell, ...]]], first: Sequence[Cell]) -> Iterator[Row]:
    """Yield the rows, marked against the first; those of other gaskets only behind the one like
    them.
    """
    heads: dict[tuple[Cell, ...], list[Row]] = {}
    for name, cells in rows:
        marked = tuple(
            one if one.mark or one.said == its.said else one._replace(mark="differs")
            for one, its in zip(cells, first, strict=True)
        )
        heads.setdefault(cells[:1] + cells[-2:-1], []).append(Row(name, marked))
    for head, *others in heads.values():
        yield head._replace(folded=tuple(others))


def compared_plans(answer: AlternativesAnswer) -> tuple[Compared, ...]:
    """Return the best plans: what each comes to, and what it takes where they are not all alike."""
    plans = answer.plans
    if len(plans) < _TWO:
        return ()
    costs = [_costs(plan.totals, Figures(answer.unit), answer.currency) for plan in plans]
    alike = [name for name in costs[0] if len({one[name] for one in costs}) == 1]
    order = [item.cylinder for item in plans[0].cylinders]
    best = {(c.what, c.cylinder): c.best for plan in plans for c in plan.changes}
    kinds = sorted({what for what, _ in best}, key=_kind_order)
    heads: dict[frozenset[Change], list[Row]] = {}
    for plan, cost in zip(plans, costs, strict=True):
        here = best | {(c.what, c.cylinder): c.here for c in plan.changes}
        changed = {change.what for change in plan.changes}
        cells = (
            *(
                _marked(cost[name], cost[name] != costs[0][name])
                for name in cost
                if name not in alike
            ),
            *(_marked(_of_kind(kind, here, order), kind in changed) for kind in kinds),
        )
        others = frozenset(c for c in plan.changes if not c.what.startswith(_GASKET))
        heads.setdefault(others, []).append(Row(_plan_name(plan), cells))
    told = ", ".join(f"{name} {costs[0][name]}" for name in alike)
    table = Compared(
        _PLANS[0],
        "What differs from the best plan is marked; parts that all of them take are left out."
        + (f" Alike in all of them: {told}." if told else ""),
        (
            *((name, "figure") for name in costs[0] if name not in alike),
            *((kind, "parts") for kind in kinds),
        ),
        tuple(head._replace(folded=tuple(rest)) for head, *rest in heads.values()),
    )
    return (table,)


def _plan_name(plan: Alternative) -> str:
    return "1, the best" if plan.rank == 1 else str(plan.rank)


def _marked(said: str, differs: bool) -> Cell:
    return Cell(said, "differs" if differs else "")


def _costs(totals: Totals, figures: Figures, currency: str) -> dict[str, str]:
    """Return what a plan comes to, by what it is called."""
    found = {
        "largest removal": figures.up(totals.largest_removal),
        "total removal": figures.up(totals.total_removal),
        "filing": figures.up(totals.filing),
        f"price {currency}".rstrip(): money(totals.price),
        "days": str(totals.days),
        "larger sizes left": str(totals.sizes_left),
        "sleeved or re-plated cylinders": str(totals.restored),
    }
    left = totals.rebuilds_left
    return found if left is None else {**found, "rebuilds left": str(left)}


def _kind_order(what: str) -> tuple[int, str]:
    """Sort pistons before rings, and these before gaskets."""
    heads = ("piston", "ring", "route", _GASKET)
    return next(n for n, head in enumerate(heads) if what.startswith(head)), what


def _of_kind(kind: str, here: Mapping[tuple[str, str], str], order: Sequence[str]) -> str:
    """Return what is taken of one kind of part; cylinders that take the same stand together."""
    alike: dict[str, list[str]] = {}
    for cylinder in order:
        if (kind, cylinder) in here:
            alike.setdefault(here[kind, cylinder] or "none", []).append(cylinder)
    if len(order) == 1:
        return next(iter(alike))
    return "\n".join(f"{cylinder_words(names)}: {taken}" for taken, names in alike.items())


def compared(answer: Record) -> tuple[Compared, ...]:
    """Return the tables of an answer that has any."""
    if isinstance(answer, FitsAnswer):
        return compared_sets(answer)
    return compared_plans(answer) if isinstance(answer, AlternativesAnswer) else ()


def without_compared(answer: Record) -> list[SectionOfReport]:
    """Return the report of an answer without what its tables tell."""
    if isinstance(answer, FitsAnswer) and answer.sets:
        head, *rest = sections(answer.model_copy(update={"sets": ()}))
        return [head._replace(blocks=head.blocks[:1]), *rest]
    told = isinstance(answer, AlternativesAnswer) and len(answer.plans) >= _TWO
    return [part for part in sections(answer) if not (told and part.heading in _PLANS)]
