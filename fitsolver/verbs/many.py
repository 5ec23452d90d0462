"""The verbs of shops, tables, catalogues and the book, registered as those of a job are."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from fitsolver.base.exit_codes import BAD_INPUT, DONE, NOT_PROVEN, NOTHING_FITS
from fitsolver.verbs.verb import Tab, Verb, by_status

if TYPE_CHECKING:
    from fitsolver.records.allotment import AllotmentAnswer
    from fitsolver.records.book import FoundAnswer, HistoryAnswer
    from fitsolver.records.counter import CounterAnswer
    from fitsolver.records.gauge import GaugeStudy
    from fitsolver.records.intake import IntakeAnswer
    from fitsolver.records.pairing import PairAnswer
    from fitsolver.records.review import CatalogueReview
    from fitsolver.records.screening import ScreenAnswer

ALLOT: Verb[AllotmentAnswer] = Verb(
    name="allot",
    answer="fitsolver.records.allotment:AllotmentAnswer",
    document="allotment",
    on_files="fitsolver.usecases.tables:allot",
    on_records="fitsolver.usecases.allot:allot_shop",
    title=lambda answer: answer.shop,
    facts=lambda answer: (f"{len(answer.jobs)} jobs, one shelf",),
    view="fitsolver.reporting.allotment_view:allotment_view",
    sections=("order", "left", "jobs", "shelf"),
    code=by_status,
)
SCREEN: Verb[ScreenAnswer] = Verb(
    name="screen",
    answer="fitsolver.records.screening:ScreenAnswer",
    document="screen",
    on_files="fitsolver.usecases.tables:screen",
    title=lambda answer: answer.table,
    facts=lambda answer: (
        f"like: {answer.like}",
        f"catalogue: {answer.catalogue}",
        f"finishing: {answer.finishing}",
    ),
    view="fitsolver.reporting.screen_view:screen_view",
    sections=("pistons", "work"),
    code=lambda answer: BAD_INPUT if answer.bad else DONE,
)


def _of_pairs(answer: PairAnswer) -> int:
    if not answer.proven:
        return NOT_PROVEN
    return DONE if answer.status == "all bores served" else NOTHING_FITS


PAIR: Verb[PairAnswer] = Verb(
    name="pair",
    answer="fitsolver.records.pairing:PairAnswer",
    document="pair",
    on_files="fitsolver.usecases.tables:pair",
    on_records="fitsolver.usecases.pair:pair_measured",
    title=lambda answer: answer.bores,
    facts=lambda answer: (
        f"pieces: {answer.pieces}",
        *(() if answer.like is None else (f"like: {answer.like}",)),
    ),
    view="fitsolver.reporting.pair_view:pair_view",
    code=_of_pairs,
    route="own",
    summary="The best pairing of measured bores and pieces",
)
COUNTER: Verb[CounterAnswer] = Verb(
    name="counter",
    answer="fitsolver.records.counter:CounterAnswer",
    document="counter",
    on_files="fitsolver.usecases.counter_files:counter",
    on_records="fitsolver.usecases.at_counter:at_counter",
    title=lambda answer: answer.family,
    facts=lambda answer: (
        f"catalogue: {answer.catalogue}",
        *(("kits only",) if answer.kits_only else ()),
        *(("in stock",) if answer.in_stock else ()),
    ),
    view="fitsolver.reporting.counter_view:counter_view",
    code=by_status,
    tab=Tab(11, "Counter"),
    route="own",
    summary="Every size of the shelf for bores of which one size is known",
)
GAUGE: Verb[GaugeStudy] = Verb(
    name="gauge",
    answer="fitsolver.records.gauge:GaugeStudy",
    document="gauge",
    on_files="fitsolver.usecases.tables:gauge_study",
    title=lambda _: "Gauge study",
    facts=lambda _: ("analysis of variance",),
    view="fitsolver.reporting.gauge_view:gauge_view",
    route="own",
    summary="What repeated readings tell of a gauge",
)
CATALOGUE: Verb[CatalogueReview] = Verb(
    name="catalogue",
    answer="fitsolver.records.review:CatalogueReview",
    document="review",
    on_files="fitsolver.usecases.tables:review_catalogue",
    title=lambda answer: answer.catalogue,
    facts=lambda answer: (
        (f"families: {len(answer.families)}", f"doubtful entries: {len(answer.doubtful)} (--full)")
        if answer.families
        else (f"family: {answer.family}",)
    ),
    view="fitsolver.reporting.review_view:review_view",
    sections=("sizes", "doubts"),
)
HISTORY: Verb[HistoryAnswer] = Verb(
    name="book history",
    answer="fitsolver.records.book:HistoryAnswer",
    document="history",
    title=lambda answer: answer.marking,
    facts=lambda _: ("cylinder over the years",),
    view="fitsolver.reporting.book_view:history_view",
)
SEARCH: Verb[FoundAnswer] = Verb(
    name="book search",
    answer="fitsolver.records.book:FoundAnswer",
    document="found",
    title=lambda _: "Found in the book",
    facts=lambda answer: (f"asked for: {answer.asked or 'everything'}",),
    view="fitsolver.reporting.book_view:found_view",
)
INTAKE: Verb[IntakeAnswer] = Verb(
    name="intake",
    answer="fitsolver.records.intake:IntakeAnswer",
    document="intake",
    on_files="fitsolver.usecases.intake:intake",
    title=lambda answer: answer.file,
    facts=lambda answer: (f"into: {answer.folder}",),
    view="fitsolver.reporting.intake_view:intake_view",
    code=lambda answer: DONE if answer.taken_in else BAD_INPUT,
)
NEW: Verb[None] = Verb(name="new", answer="", on_files="fitsolver.usecases.beginning:new_job")

OF_MANY: Final[tuple[Verb[Any], ...]] = (
    *(COUNTER, ALLOT, SCREEN, PAIR, GAUGE, CATALOGUE, INTAKE, HISTORY, SEARCH, NEW),
)
