"""The counter's answer: the advised set, then a line for every size; 25 lines of 80 columns."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby
from textwrap import wrap
from typing import TYPE_CHECKING, Final, NamedTuple

from fitsolver.records.figures import NONE, Figures, money
from fitsolver.records.words import counted, ready_words, size_words
from fitsolver.reporting.layout import Columns, text
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.counter import (
        CounterAnswer,
        CounterBore,
        CounterCylinder,
        CounterLine,
        CounterPlan,
    )
    from fitsolver.records.plan import OrderLine

_WIDTH: Final = 78
#: Lines of a report, of these those above its body, and those of a table's head.
_LINES, _ABOVE, _HEAD = 25, 5, 2
_OPEN_LINES: Final = 2
#: Sentence for a catalogue and shop without a route that cuts.
_NO_WORK: Final = (
    "No work is known here for {}, so bores are answered as they are: list the shop's routes in "
    "routes.csv of the catalogue, or in a table that shop.toml names."
)
_AS_THEY_ARE: Final = "No work is known here for {}: bores are answered as they are."
_NOTHING: Final = "NOTHING FITS of what is sold here."
#: Most characters of two columns: longer texts are cut.
_ANSWER, _PARTS = 21, 12
_OF_PARTS: Final = "kit or parts"
#: What stands behind a text that is cut.
_MARK: Final = " ..."
_LAST: Final = "The maker's sheet outranks this; rings whose ends butt seize an engine."
#: Letters of a work that tell it from others.
_SHORTEST: Final = 8
#: Blanks between two columns of a table.
_BETWEEN: Final = 2
_COLUMNS: Final[Columns] = (
    ("size", "figure"),
    ("answer", "word"),
    ("removal", "figure"),
    (_OF_PARTS, "word"),
    ("from", "word"),
    ("total", "figure"),
    ("left", "figure"),
)


def counter_view(answer: CounterAnswer, figures: Figures) -> Iterator[RenderableType]:
    """Yield the advised plan with its reason, a line a size, and what to measure first."""
    above, below = _above(answer, figures), _below(answer, figures)
    room = _LINES - _ABOVE - _HEAD
    least = sum(min(len(_wrapped(said.text)), said.most) for said in (*above, *below))
    shown = _near_advised(answer.lines, room - least - _OPEN_LINES)
    left_open = _Said(_left_open(answer, len(shown)), _OPEN_LINES)
    below.insert(-1 - len(answer.warnings), left_open)
    told = _in_room([*above, *below], room - len(shown))
    for place, said in enumerate(told[: len(above)]):
        yield text(said, "bold" if place == 1 else "")
    yield table(_COLUMNS, _rows(shown, figures))
    yield from map(text, told[len(above) :])


class _Said(NamedTuple):
    """A paragraph, and the lines it is cut to where the whole report has too many."""

    text: str
    most: int


def _above(answer: CounterAnswer, figures: Figures) -> list[_Said]:
    """Return what stands above the table: the advised plan in the second place."""
    advised = answer.advised
    said = [_Said(_bores(answer, figures), 2)]
    advice = _NOTHING if advised is None else _advice(advised, answer.currency, figures)
    said += [_Said(advice, 4), _Said(f"Why: {answer.why}.", 2)]
    if answer.no_work:
        no_work = _AS_THEY_ARE if answer.warnings else _NO_WORK
        said.append(_Said(no_work.format(answer.no_work), 3))
    if answer.doubted:
        said.append(_Said(_doubted(answer), 2))
    if answer.look_up:
        said.append(_Said(f"Doubtful, look up: {'; '.join(answer.look_up)}.", 2))
    return said


def _below(answer: CounterAnswer, figures: Figures) -> list[_Said]:
    """Return what stands below the table, without what one size leaves open."""
    said = [_Said(_larger(answer, figures), 2)]
    if answer.measure:
        said.append(_Said(f"Measure before ordering: {'; '.join(answer.measure)}.", 2))
    said += [_Said(caution, 2) for caution in answer.warnings]
    return [*said, _Said(_LAST, 1)]


def _in_room(said: Sequence[_Said], room: int) -> list[str]:
    """Return paragraphs whole where they take no more than `room` lines.

    Else the last ones are cut first, each to its own number of lines.
    """
    told = [_wrapped(one.text) for one in said]
    over = sum(map(len, told)) - room
    for at in reversed(range(len(told))):
        most = max(said[at].most, len(told[at]) - max(over, 0))
        over -= len(told[at]) - min(most, len(told[at]))
        told[at] = _cut_at_a_word(told[at], most)
    return ["\n".join(lines) for lines in told]


def _wrapped(said: str) -> list[str]:
    """Return a text in lines of the width: part numbers stay whole."""
    return wrap(said, _WIDTH, break_long_words=True, break_on_hyphens=False)


def _cut_at_a_word(lines: list[str], most: int) -> list[str]:
    """Return the first lines: where more are left out, the last one ends with a mark."""
    if len(lines) <= most:
        return lines
    last = f"{lines[most - 1]} "[: _WIDTH - len(_MARK) + 1].rpartition(" ")[0].rstrip(" ,;:(/")
    return [*lines[: most - 1], f"{last or lines[most - 1][: _WIDTH - len(_MARK)]}{_MARK}"]


class CounterSaid(NamedTuple):
    """The same answer without a limit on its lines, for a screen that has room.

    `rows` has a row of `columns` for each of the answer's lines.
    """

    bores: str
    advice: str
    why: str
    columns: Columns
    rows: tuple[tuple[str, ...], ...]
    larger: str
    measure: str
    left_open: str


def counter_said(answer: CounterAnswer, figures: Figures) -> CounterSaid:
    """Return the counter's answer sentence by sentence, uncut."""
    advised = answer.advised
    return CounterSaid(
        bores=_bores(answer, figures),
        advice=_NOTHING if advised is None else _advice(advised, answer.currency, figures),
        why=f"{answer.why}.",
        columns=_COLUMNS,
        rows=tuple(_row(line, figures, _WIDTH, _WIDTH) for line in answer.lines),
        larger=_larger(answer, figures),
        measure="; ".join(answer.measure),
        left_open=_not_told(answer),
    )


def _doubted(answer: CounterAnswer) -> str:
    """Return the doubted rows left out: the first row with its doubt, and the number of others."""
    rows = counted(answer.set_aside, "row", "rows")
    return f"Doubted, {rows} left out, see fitsolver catalogue: {'; '.join(answer.doubted)}."


def _bores(answer: CounterAnswer, figures: Figures) -> str:
    sizes = [bore.size for bore in answer.bores]
    least, most = min(sizes), max(sizes)
    standard = f"standard bore {figures.near(answer.standard_bore)}"
    if len(sizes) == 1:
        (bore,) = answer.bores
        return (
            f"Bore {figures.near(least)}: {_over(bore.over, figures)} {standard}; "
            f"{_between(bore, answer, figures)}."
        )
    worst = max(answer.bores, key=lambda bore: bore.size)
    return (
        f"{counted(len(sizes), 'bore', 'bores')}, {figures.nominal(least, most)}: up to "
        f"{_over(most - answer.standard_bore, figures)} {standard} (cylinder {worst.cylinder}); "
        f"{_between(worst, answer, figures)}."
    )


def _over(over: int, figures: Figures) -> str:
    return f"{figures.near(abs(over))} {'below' if over < 0 else 'above'}"


def _between(bore: CounterBore, answer: CounterAnswer, figures: Figures) -> str:
    below, above = (
        None if one is None else size_words(one - answer.standard_bore, figures.unit)
        for one in bore.between
    )
    if below is None and above is None:
        return "no size of it is for sale"
    if below is None:
        return f"below the smallest size, {above}"
    if above is None:  # the largest size may fit as it is made or worn
        plan = () if answer.advised is None else answer.advised.cylinders
        fits = any(c.cylinder == bore.cylinder and c.finish >= bore.size for c in plan)
        return f"the largest size is {below}" if fits else f"past the largest size, {below}"
    return f"between {below} and {above}"


def _advice(plan: CounterPlan, currency: str, figures: Figures) -> str:
    work = plan.price - plan.parts_price
    price = f"{money(plan.parts_price, currency)}" + (
        f" and {money(work, currency)} of work" if work else ""
    )
    return f"{_groups(plan, figures)}. {_ordered(plan.order)}; {price}; {ready_words(plan.days)}."


def _groups(plan: CounterPlan, figures: Figures) -> str:
    """Return the sizes and the work of a plan, each with its cylinders where they differ."""
    groups: dict[tuple[int, str], list[CounterCylinder]] = {}
    for item in plan.cylinders:
        groups.setdefault((item.oversize, item.route), []).append(item)
    return "; ".join(_group(found, len(plan.cylinders), figures) for found in groups.values())


def _group(found: Sequence[CounterCylinder], count: int, figures: Figures) -> str:
    size, where = size_words(found[0].oversize, figures.unit), ""
    if len(found) < count:
        where = f" in {_names([item.cylinder for item in found])}"
    if not found[0].machined:
        return f"{size}{where}: fits as it is"
    finish = figures.expected(min(i.finish for i in found), max(i.finish for i in found))
    removal = figures.up(max(item.removal for item in found))
    return f"{size}{where}: {found[0].route} to {finish}, {removal} off"


def _names(names: Sequence[str]) -> str:
    """Return cylinders, those that follow each other as a range: 1-3, 5."""
    if not all(name.isdecimal() for name in names):
        return ", ".join(names)
    numbers = sorted(map(int, names))
    runs = groupby(enumerate(numbers), key=lambda pair: pair[1] - pair[0])
    found = [[number for _, number in run] for _, run in runs]
    return ", ".join(f"{run[0]}-{run[-1]}" if len(run) > 1 else f"{run[0]}" for run in found)


def _ordered(order: Sequence[OrderLine]) -> str:
    return ", ".join(
        f"{line.count} x {line.number} ({'in stock' if line.source != 'order' else _days(line)})"
        for line in order
    )


def _days(line: OrderLine) -> str:
    return f"in {counted(line.days, 'day', 'days')}"


def _near_advised(lines: Sequence[CounterLine], most: int) -> Sequence[CounterLine]:
    """Return the lines to show; if there are too many, those around the advised one."""
    if len(lines) <= most:
        return lines
    advised = [at for at, line in enumerate(lines) if line.advised]
    fitting = [at for at, line in enumerate(lines) if line.plan is not None]
    at = (advised or fitting or [0])[0]
    first = max(0, min(at - 1, len(lines) - most))
    return lines[first : first + most]


def _rows(lines: Sequence[CounterLine], figures: Figures) -> list[tuple[str, ...]]:
    """Return a row for each line; the work of sizes that do not fit takes what the table leaves."""
    rows = [_row(line, figures, miss_width=0) for line in lines]
    heads = [title for title, _ in _COLUMNS]
    widths = [max(map(len, column)) for column in zip(heads, *rows, strict=True)]
    parts = widths[heads.index(_OF_PARTS)]
    room = _WIDTH - sum(widths) - _BETWEEN * (len(widths) - 1) + parts
    return [_row(line, figures, miss_width=max(room, parts)) for line in lines]


def _misses(line: CounterLine, most: int) -> str:
    """Return the work that comes nearest to a size, cut to its room, and the cylinder of it."""
    if not line.work or not line.cylinder:
        return _cut(line.work or (f"cylinder {line.cylinder}" if line.cylinder else ""), most)
    where = f", cyl. {line.cylinder}"
    return _cut(_cut(line.work, max(most - len(where), _SHORTEST)) + where, most)


def _row(
    line: CounterLine,
    figures: Figures,
    answer_width: int = _ANSWER,
    parts_width: int = _PARTS,
    miss_width: int = _WIDTH,
) -> tuple[str, ...]:
    size, plan = size_words(line.oversize, figures.unit), line.plan
    if plan is None:
        where = _misses(line, miss_width)
        return size, _cut(line.short, answer_width), "no", where, "", "", ""
    machined = list(dict.fromkeys(c.route for c in plan.cylinders if c.machined))
    words = "fits as it is" if not machined else _cut(", ".join(machined), answer_width)
    waits = max((order.days for order in plan.order if order.source == "order"), default=0)
    left = figures.down(plan.left_to_limit)
    if plan.left_to_limit is None:
        left = counted(plan.larger_sizes, "size", "sizes")
    return (
        f"{'> ' if line.advised else ''}{size}",
        words,
        figures.up(plan.removal) if machined else "0",
        _cut(_parts(plan.order), parts_width),
        "stock" if plan.in_stock else f"{waits} d",
        money(plan.price),
        left,
    )


def _parts(order: Sequence[OrderLine]) -> str:
    """Return kits and parts in few letters: the first number, and how many more there are."""
    counts: Counter[str] = Counter()
    for line in order:
        counts[line.number] += line.count
    (first, count), *others = counts.items() if counts else [(NONE, 1)]
    said = first if count == 1 else f"{count} {first}"
    return f"{said} +{len(others)}" if others else said


def _cut(said: str, most: int) -> str:
    return said if len(said) <= most else f"{said[: most - 2]}.." if most > 2 else ""


def _larger(answer: CounterAnswer, figures: Figures) -> str:
    larger = answer.larger
    by = f"Were {'the bore' if len(answer.bores) == 1 else 'every bore'} {figures.up(larger.by)} "
    by += "larger: "
    if larger.plan is None:
        return f"{by}nothing would fit."
    removal = figures.up(larger.plan.removal)
    if larger.same:
        return f"{by}the same parts and work, {removal} off."
    return f"{by}{_groups(larger.plan, figures)}. {_ordered(larger.plan.order)}."


def _not_told(answer: CounterAnswer) -> str:
    said = ""
    if answer.left_open:
        one = "One size" if len(answer.bores) == 1 else "One size a bore"
        said = f"{one} does not tell: {', '.join(answer.left_open)}."
    if answer.question.not_asked:
        said += f" Not asked, for no sheet has a window: {', '.join(answer.question.not_asked)}."
    return said.strip()


def _left_open(answer: CounterAnswer, shown: int) -> str:
    said = _not_told(answer)
    hidden = len(answer.lines) - shown
    if hidden > 0:
        said += f" {counted(hidden, 'size', 'sizes')} not shown here: --json has all."
    return said.strip()
