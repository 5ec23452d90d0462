"""Old part numbers in a catalogue's tables: the columns `replaces` and `same_as`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any, Final, NamedTuple, TypeVar

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_row import Row
from fitsolver.reading.hints import unknown
from fitsolver.records.catalogue import Gasket, Kit, KitItem, OldNumber, Piston, Ring, Sold

#: Fields in which two numbers of one part may differ.
_OWN: Final = frozenset(Sold.model_fields) | {"stated"}
_FEW: Final = 12  # more names than these would hide the message

Article = TypeVar("Article", Piston, Ring, Gasket, Kit)


class Step(NamedTuple):
    """An old number and its replacement, with the row and column that state it."""

    old: str
    now: str
    row: Row
    field: str


def steps_of(tables: Mapping[str, Sequence[Row]]) -> dict[str, Step]:
    """Return the direct replacement of each old number of the tables.

    Raises InputError for a number that two parts claim, for one of another table, for a circle,
    and for a `same_as` that no row of its table has (with a near one named).
    """
    table_of = {row.text("number"): name for name, rows in tables.items() for row in rows}
    found: dict[str, Step] = {}
    for name, rows in tables.items():
        own = dict.fromkeys(row.text("number") for row in rows)
        for row in rows:
            for step in _named(row):
                _check(step, name, own, table_of)
                if step.old in found:
                    other = found[step.old]
                    raise row.error(
                        step.field,
                        f"{other.now} stands for {step.old} already "
                        f"({other.row.table.file}, row {other.row.number})",
                        "one part for each old number",
                        step.now if step.field == "same_as" else step.old,
                    )
                found[step.old] = step
    for start in found:
        _refuse_circle(start, found)
    return found


def _named(row: Row) -> Iterator[Step]:
    number = row.text("number")
    for old in _listed(row, "replaces"):
        yield Step(old, number, row, "replaces")
    same = _listed(row, "same_as")
    if len(same) > 1:
        raise row.error("same_as", "a part is the same as one other", "one part number")
    for now in same:
        yield Step(number, now, row, "same_as")


def _listed(row: Row, field: str) -> list[str]:
    named = (name.strip() for name in row.text(field).split(";"))
    return list(dict.fromkeys(name for name in named if name))


def _check(step: Step, table: str, own: Collection[str], table_of: Mapping[str, str]) -> None:
    row = step.row
    if step.old == step.now:
        raise row.error(step.field, "a part does not stand for itself", "another part number")
    if step.field == "same_as" and step.now not in own:
        near = unknown("part", step.now, own, file=row.table.file, row=row.number, field="same_as")
        if len(own) <= _FEW:
            raise near
        raise row.error("same_as", near.message, f"a number of the table {table}")
    if table_of.get(step.old, table) != table:
        raise row.error(
            step.field, f"{step.old} stands in another table", f"a number of {table}", step.old
        )


def _refuse_circle(start: str, steps: Mapping[str, Step]) -> None:
    path = [start]
    while path[-1] in steps:
        path.append(steps[path[-1]].now)
        if path[-1] == start:
            step = steps[start]
            raise step.row.error(
                step.field,
                "these part numbers replace each other in a circle",
                "a last one that none replaces",
                ", ".join(path),
            )
        if path.count(path[-1]) > 1:
            return  # a circle further on, which is refused from its own start


def last_of(number: str, steps: Mapping[str, Step]) -> str:
    """Return the final replacement of a number."""
    while number in steps:
        number = steps[number].now
    return number


def current(articles: tuple[Article, ...], steps: Mapping[str, Step]) -> tuple[Article, ...]:
    """Return the articles without old numbers; the stock of an old number counts for its
    replacement.

    A price that this one lacks is the old one's, and so is a lead time of the same part. Raises
    InputError where an old number has a row of other figures than the new one.
    """
    known = {article.number: article for article in articles}
    changed: dict[str, Article] = dict(known)
    for number, article in known.items():
        if number not in steps:
            continue
        now = last_of(number, steps)
        new = changed[now]
        _check_alike(steps[number], article, new)
        lead = article.lead_days if steps[number].field == "same_as" else None
        changed[now] = new.model_copy(
            update={
                "stock": new.stock + article.stock,
                "price": article.price if new.price is None else new.price,
                "lead_days": lead if new.lead_days is None else new.lead_days,
            }
        )
        del changed[number]
    return tuple(changed.values())


def _check_alike(step: Step, old: Article, new: Article) -> None:
    for name in type(old).model_fields:
        if name not in _OWN and getattr(old, name) != getattr(new, name):
            raise _differ(step, new.number, name)


def _differ(step: Step, now: str, name: str) -> InputError:
    return step.row.error(
        step.field,
        f"{step.old} and {now} differ in {name}: one is not the other",
        "the same figures, or no row for the old number",
        f"{step.old}, {now}",
    )


def with_current_contents(kits: tuple[Kit, ...], steps: Mapping[str, Step]) -> tuple[Kit, ...]:
    """Return the kits with the old numbers among their contents replaced."""
    if not any(item.number in steps for kit in kits for item in kit.contents):
        return kits
    found = []
    for kit in kits:
        counts: Counter[str] = Counter()
        for item in kit.contents:
            counts[last_of(item.number, steps)] += item.count
        contents = tuple(KitItem(number=number, count=count) for number, count in counts.items())
        found.append(kit.model_copy(update={"contents": contents}))
    return tuple(found)


def old_numbers(steps: Mapping[str, Step], articles: Sequence[Sold]) -> tuple[OldNumber, ...]:
    """Return the old numbers with the pieces on the shelf that carry them."""
    stock = {article.number: article.stock for article in articles}
    how: dict[str, Any] = {"replaces": "replaced", "same_as": "same"}
    return tuple(
        OldNumber(number=step.old, now=step.now, how=how[step.field], stock=stock.get(step.old, 0))
        for step in steps.values()
    )
