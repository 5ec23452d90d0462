"""Allotment of a shop: solve components, hand out the shelf, check every plan, sum the levels."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from hashlib import sha256
from typing import Final

from fitsolver.allotment.component import Component, components
from fitsolver.allotment.hand_out import Given, HandOut
from fitsolver.allotment.last import taken_before, taken_over, to_keep
from fitsolver.allotment.prepare import prepare
from fitsolver.allotment.prepared import Prepared
from fitsolver.allotment.result import Result
from fitsolver.allotment.serving import due_of, in_order, serving_levels
from fitsolver.allotment.spread import Spread
from fitsolver.allotment.stopping import over, signals_end
from fitsolver.allotment.sums import orders, sums
from fitsolver.allotment.supply import stock_of, strangers, with_stock
from fitsolver.base.deadline import Clock, Progress, seconds
from fitsolver.base.errors import CheckError, InputError
from fitsolver.base.version import __version__
from fitsolver.choices.asked import question
from fitsolver.doubts.set_aside import cautions_of
from fitsolver.records.allotment import (
    AllotmentAnswer,
    JobAllotment,
    JobLeftOut,
    ShelfLine,
    Shop,
    ShopJob,
)
from fitsolver.records.catalogue import Catalogue
from fitsolver.solving.levels import level_order

#: Most part numbers named in one caution.
_SOME: Final = 6
#: Seconds beyond the time limit for making jobs ready.
_PREPARING: Final = 0.5


def allot(
    shop: Shop,
    *,
    time_limit: float | None = None,
    progress: Progress | None = None,
    last: AllotmentAnswer | None = None,
    where: Spread | None = None,
) -> AllotmentAnswer:
    """Return the allotment of a shop's shelf; every plan is checked without the solver.

    `time_limit` is in seconds of wall time for the search; Ctrl-C ends it too. `last` is an earlier
    answer: unchanged components are taken over, the others start from it. `where`: the place of the
    work (None: this machine). Raises InputError for bad input, CheckError when a check disagrees.
    """
    clock = Clock(seconds(time_limit), progress)
    with signals_end(clock):
        return _allot(shop, clock, last, where or Spread())


def _allot(
    shop: Shop, clock: Clock, last: AllotmentAnswer | None, where: Spread
) -> AllotmentAnswer:
    stock = stock_of(shop)
    _check_jobs(shop)
    clock.tell("choices")
    prepared = _prepared(shop, stock, clock)
    order = shop.order
    summed = order[: order.index("part_number")]
    serving = serving_levels(shop.jobs)
    parts = components(prepared, stock, serving, summed)
    results = _results(parts, clock, last, where)
    clock.tell("plans")
    hand_out = HandOut(stock, summed, clock)
    given = _in_all(
        (hand_out.give(part, result) for part, result in zip(parts, results, strict=True)), stock
    )
    by_name = {item.job: item for item in given.jobs}
    jobs = [by_name.get(e.job.name) or _not_looked_at(shop, e) for e in in_order(shop.jobs)]
    taken = given.taken
    unseen = [entry for entry in shop.jobs if entry.job.name not in by_name]
    levels, objective = sums(parts, results, jobs, serving, summed, unseen)
    proven = all(v.proven for v in levels) and all(v.proven for v in objective)
    return AllotmentAnswer(
        program_version=__version__,
        shop=shop.name,
        unit=shop.unit,
        currency=_currency(shop),
        status="proven best" if proven else "best found",
        serving=levels,
        objective=objective,
        jobs=tuple(jobs),
        order=orders(jobs),
        shelf=tuple(
            ShelfLine(number=n, count=count, taken=taken[n], left=count - taken[n])
            for n, count in sorted(stock.items())
        ),
        components=tuple(
            to_keep(part, result)
            for part, result in zip(parts, results, strict=True)
            if len(part.jobs) > 1 and result.proven
        ),
        cautions=_cautions(shop),
    )


def _results(
    parts: Sequence[Component], clock: Clock, last: AllotmentAnswer | None, where: Spread
) -> list[Result]:
    """Return the result of every component: unchanged ones are taken over, the others solved."""
    before = taken_before(last, (job for part in parts for job in part.jobs))
    known = {} if last is None else {c.fingerprint: c for c in last.components}
    kept: dict[int, Result] = {}
    for index, part in enumerate(parts):
        if known and part.fingerprint in known:
            same = taken_over(known[part.fingerprint], before)
            if same is not None:
                kept[index] = same
    left = [part for index, part in enumerate(parts) if index not in kept]
    solved = iter(where.solve(left, clock, before))
    return [kept[index] if index in kept else next(solved) for index in range(len(parts))]


def _not_looked_at(shop: Shop, entry: ShopJob) -> JobAllotment:
    return JobAllotment(
        job=entry.job.name,
        priority=entry.priority,
        due=due_of(entry),
        catalogue=shop.catalogues[entry.catalogue].name,
        status="left out",
        left_out=JobLeftOut(sentence="the time ended before it was looked at"),
    )


def _in_all(given: Iterable[Given], stock: Mapping[str, int]) -> Given:
    """Return the pieces that all components take together; raise CheckError if they exceed the
    shelf.
    """
    whole = Given([], Counter())
    for some in given:
        whole.jobs.extend(some.jobs)
        whole.taken.update(some.taken)
    if any(count > stock.get(number, 0) for number, count in whole.taken.items()):
        raise CheckError("a part was handed out beyond its quantity")
    return whole


def _check_jobs(shop: Shop) -> None:
    if not shop.jobs:
        raise InputError("the shop has no jobs", file=shop.name, allowed="at least one job")
    if "rebuilds_left" in shop.order:
        raise InputError(
            "a shop does not count rebuilds: where they count first a job is decided by itself",
            file=shop.name,
            field="best",
            found="rebuilds_left",
            allowed="anything else, in the shop or in all its jobs",
        )
    names: set[str] = set()
    for entry in shop.jobs:
        if entry.job.name in names:
            raise InputError(
                "two jobs have one name",
                file=shop.name,
                field="name",
                found=entry.job.name,
                allowed="a name of its own for every job",
            )
        names.add(entry.job.name)


def _prepared(shop: Shop, stock: Mapping[str, int], clock: Clock | None = None) -> list[Prepared]:
    """Return the jobs made ready in the time, in the order of serving."""
    stocked = [with_stock(catalogue, stock) for catalogue in shop.catalogues]
    prints = [_print_of(catalogue) for catalogue in shop.catalogues]
    return [
        prepare(entry, stocked[entry.catalogue], shop.order, prints[entry.catalogue])
        for entry in in_order(shop.jobs)
        if clock is None or not over(clock, _PREPARING)
    ]


def _print_of(catalogue: Catalogue) -> str:
    """Return what identifies a catalogue: its fingerprint, and its doubted rows."""
    known = catalogue.fingerprint or sha256(catalogue.model_dump_json().encode()).hexdigest()
    return " ".join((known, *(aside.number for aside in catalogue.set_aside)))


def _currency(shop: Shop) -> str:
    named = {catalogue.currency for catalogue in shop.catalogues}
    return named.pop() if len(named) == 1 else ""


def _cautions(shop: Shop) -> tuple[str, ...]:
    aside = [caution for catalogue in shop.catalogues for caution in cautions_of(catalogue)]
    other = [e.job.name for e in shop.jobs if level_order(e.job) != shop.order]
    names = ", ".join(other)
    own = (f"Decided in the shop's order of what is best, not in their own: {names}.",)
    said = (*_not_asked(shop), *aside, *(own if other else ()), *_strangers(shop))
    return tuple(dict.fromkeys(said))


def _strangers(shop: Shop) -> Iterator[str]:
    """Yield cautions about numbers on the shelf that no job's catalogue has."""
    numbers = strangers(shop)
    if numbers:
        some = ", ".join(numbers[:_SOME])
        more = f" and {len(numbers) - _SOME} more" if len(numbers) > _SOME else ""
        yield f"On the shelf, and in no catalogue of these jobs: {some}{more}. Not used."


def _not_asked(shop: Shop) -> Iterator[str]:
    """Yield cautions about fits that jobs set no window for; jobs with the same ones share a
    caution.
    """
    found: dict[tuple[str, ...], int] = Counter()
    for entry in shop.jobs:
        found[question(entry.job, shop.catalogues[entry.catalogue]).not_asked] += 1
    for places, count in found.items():
        if places:
            of = "every job" if count == len(shop.jobs) else f"{count} jobs"
            yield (
                f"Not asked in {of}: {', '.join(places)}. Only what is physically impossible is "
                "refused there."
            )
