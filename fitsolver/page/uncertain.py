"""The uncertainty of each fit of a job that does not say yet what it was measured with.

It is given with each ready-made set of instruments, and nothing of it is kept.
"""

from __future__ import annotations

from typing import NamedTuple

from starlette.concurrency import run_in_threadpool

from fitsolver.metrology.instrument_sets import INSTRUMENT_SETS, instrument_set
from fitsolver.page import entered
from fitsolver.page.bench import understood
from fitsolver.page.content import Content
from fitsolver.page.room import Inquiry
from fitsolver.records.base import FitName
from fitsolver.records.budget import Budget, BudgetAnswer
from fitsolver.records.figures import NONE, Figures
from fitsolver.records.measuring import Instrument
from fitsolver.records.told import cylinder_words
from fitsolver.records.words import fit_name

_Key = tuple[FitName, int | None]


class Set(NamedTuple):
    """A ready-made set of instruments."""

    name: str
    instruments: tuple[Instrument, ...]


class Row(NamedTuple):
    """A fit: the cylinders, and its expanded uncertainty with each of the sets."""

    fit: str
    cylinders: str
    figures: tuple[str, ...]


class Uncertain(NamedTuple):
    """The sets, and a row for each fit."""

    sets: tuple[Set, ...]
    rows: tuple[Row, ...]
    unit: str


async def with_each_set(about: Inquiry) -> Uncertain:
    """Return the uncertainty of each fit with each set; raises InputError for no job."""
    answers = [await _with_set(about, name) for name in INSTRUMENT_SETS]
    figures = Figures(answers[0].unit)
    order = list(dict.fromkeys(one.cylinder for one in answers[0].budgets))
    by_place = [{(b.fit, b.groove, b.cylinder): b for b in one.budgets} for one in answers]
    found: dict[tuple[_Key, tuple[str, ...]], list[str]] = {}
    for one in answers[0].budgets:
        said = tuple(_said(of.get((one.fit, one.groove, one.cylinder)), figures) for of in by_place)
        found.setdefault(((one.fit, one.groove), said), []).append(one.cylinder)
    rows = [
        Row(fit_name(*key), cylinder_words(names) if len(order) > 1 else "", said)
        for (key, said), names in found.items()
    ]
    sets = tuple(Set(name, tuple(instrument_set(name))) for name in INSTRUMENT_SETS)
    return Uncertain(sets, tuple(sorted(rows, key=lambda row: row.fit)), answers[0].unit)


async def _with_set(about: Inquiry, name: str) -> BudgetAnswer:
    job, catalogue = await run_in_threadpool(
        understood, measured_with(about, name), about.room.shelf
    )
    found = await about.room.answer(about.request, "budget", job, catalogue)
    assert isinstance(found, BudgetAnswer)
    return found


def measured_with(about: Inquiry, name: str) -> Content:
    """Return the content of a job with a ready-made set; raises InputError for no such set."""
    instrument_set(name)
    entries = entered.entries_of(about.draft.text)
    return entered.put(entries, entries, about.content, {"measuring.instruments": name})


def _said(budget: Budget | None, figures: Figures) -> str:
    return NONE if budget is None else f"± {figures.up(round(budget.expanded))}"
