"""The verbs of a job: what each answers, where it runs, how its answer is shown."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Final

from fitsolver.base.exit_codes import DONE, NOT_PROVEN, NOTHING_FITS, code_of
from fitsolver.verbs.verb import More, Tab, Verb, by_status

if TYPE_CHECKING:
    from fitsolver.paper import WorkSheet
    from fitsolver.records.alternatives import AlternativesAnswer
    from fitsolver.records.arrived import ArrivedAnswer
    from fitsolver.records.budget import BudgetAnswer
    from fitsolver.records.final import FinalAnswer
    from fitsolver.records.firm import FirmAnswer
    from fitsolver.records.forms_answer import FormsAnswer
    from fitsolver.records.hone import HoneAnswer
    from fitsolver.records.ladder import LadderAnswer
    from fitsolver.records.plan import Answer
    from fitsolver.records.stages import StagesAnswer
    from fitsolver.records.verdicts import FitsAnswer
    from fitsolver.records.why import WhyAnswer


def _catalogue(answer: Any) -> tuple[str, ...]:
    return (f"catalogue: {answer.catalogue}",)


PICK: Verb[Answer] = Verb(
    name="pick",
    answer="fitsolver.records.plan:Answer",
    document="answer",
    on_files="fitsolver.usecases.files:pick",
    on_records="fitsolver.picking.decide:decide",
    of_job="fitsolver.usecases.pick:best_plan",
    facts=lambda answer: (*_catalogue(answer), f"finishing: {answer.finishing}"),
    view="fitsolver.reporting.answer_view:answer_view",
    sections=("best", "rings", "order", "work", "fits", "left", "form", "reasons"),
    attends=True,
    drawing="fitsolver.verbs.drawings:fits_of",
    code=by_status,
    tab=Tab(1, "Plan"),
    route="job",
    summary="The best plan, proven and checked, or why nothing fits",
)
WHY: Verb[WhyAnswer] = Verb(
    name="why",
    answer="fitsolver.records.why:WhyAnswer",
    document="why",
    on_files="fitsolver.usecases.files:why",
    on_records="fitsolver.usecases.why:reasons",
    facts=_catalogue,
    later=True,
    view="fitsolver.reporting.why_view:why_view",
    sections=("cylinders", "rings"),
    code=lambda answer: code_of(answer.status) if answer.complete else NOT_PROVEN,
    tab=Tab(2, "Why"),
    route="job",
    summary="Why nothing fits and what would open it, or why the plan is as it is",
)
ALTERNATIVES: Verb[AlternativesAnswer] = Verb(
    name="alternatives",
    answer="fitsolver.records.alternatives:AlternativesAnswer",
    document="alternatives",
    on_files="fitsolver.usecases.files:alternatives",
    on_records="fitsolver.usecases.alternatives:next_plans",
    facts=lambda answer: (*_catalogue(answer), f"finishing: {answer.finishing}"),
    later=True,
    view="fitsolver.reporting.alternatives_view:alternatives_view",
    sections=("changes", "front", "reasons"),
    code=lambda answer: (
        code_of(answer.status) if answer.front is None or answer.front_complete else NOT_PROVEN
    ),
    tab=Tab(3, "Alternatives"),
    route="own",
    summary="The next best plans, with what each costs",
)
LADDER: Verb[LadderAnswer] = Verb(
    name="ladder",
    answer="fitsolver.records.ladder:LadderAnswer",
    document="ladder",
    on_files="fitsolver.usecases.files:ladder",
    on_records="fitsolver.usecases.ladder:sizes_left",
    facts=lambda answer: (*_catalogue(answer), f"today's plan: {answer.status}"),
    later=True,
    view="fitsolver.reporting.ladder_view:ladder_view",
    sections=("sizes",),
    drawing="fitsolver.verbs.drawings:sizes_of",
    code=by_status,
    tab=Tab(5, "What is left"),
    route="job",
    summary="Larger sizes and rebuilds left",
)
PLAN: Verb[StagesAnswer] = Verb(
    name="plan",
    answer="fitsolver.records.stages:StagesAnswer",
    document="stages",
    on_files="fitsolver.usecases.files:machining_plan",
    on_records="fitsolver.planning.stages:in_stages",
    of_job="fitsolver.usecases.plan:planned",
    facts=lambda answer: ("machining plan", f"finishing: {answer.finishing}"),
    view="fitsolver.reporting.stages_report:stages_report",
    sections=("stages", "reasons"),
    drawing="fitsolver.verbs.drawings:stages_of",
    code=by_status,
    tab=Tab(4, "Machining"),
    route="job",
    summary="The route of every cylinder in stages",
)
FIRM: Verb[FirmAnswer] = Verb(
    name="firm",
    answer="fitsolver.records.firm:FirmAnswer",
    document="firm",
    on_files="fitsolver.usecases.files:firm",
    on_records="fitsolver.usecases.firm:how_firm",
    facts=_catalogue,
    later=True,
    view="fitsolver.reporting.firm_view:firm_view",
    sections=(
        "margins",
        "picked",
    ),
    code=by_status,
    tab=Tab(6, "How firm"),
    route="job",
    summary="How far figures may go before other parts are picked",
)


def _each_has_a_set(answer: FitsAnswer) -> bool:
    """Tell whether every cylinder has a part set that fits."""
    cylinders = {item.cylinder for item in answer.sets}
    return bool(cylinders) and cylinders == {i.cylinder for i in answer.sets if i.holds}


FITS: Verb[FitsAnswer] = Verb(
    name="fits",
    answer="fitsolver.records.verdicts:FitsAnswer",
    document="fits",
    on_files="fitsolver.usecases.files:part_sets",
    on_records="fitsolver.usecases.fits:sets_for",
    facts=_catalogue,
    view="fitsolver.reporting.fits_view:fits_view",
    sections=("sets", "misses"),
    code=lambda answer: DONE if _each_has_a_set(answer) else NOTHING_FITS,
    tab=Tab(8, "Part sets"),
    route="job",
    summary="Part sets that fit the bores as they are",
)
BUDGET: Verb[BudgetAnswer] = Verb(
    name="budget",
    answer="fitsolver.records.budget:BudgetAnswer",
    document="budget",
    on_files="fitsolver.usecases.files:budget",
    on_records="fitsolver.usecases.budget:budget_of",
    facts=lambda _: ("uncertainty budgets",),
    later=True,
    view="fitsolver.reporting.budget_view:budget_view",
    sections=("batch", "corrections", "sources"),
    tab=Tab(9, "Uncertainty"),
    route="own",
    summary="What makes each fit uncertain",
)
FINAL: Verb[FinalAnswer] = Verb(
    name="final",
    answer="fitsolver.records.final:FinalAnswer",
    document="final",
    on_files="fitsolver.usecases.files:final",
    on_records="fitsolver.usecases.final:final_verdict",
    facts=lambda answer: (*_catalogue(answer), "final check"),
    later=True,
    view="fitsolver.reporting.final_view:final_view",
    sections=("fits", "corrections"),
    code=lambda answer: DONE if answer.passes else NOTHING_FITS,
    tab=Tab(10, "Final check"),
    route="job",
    summary="Pass or fail for every fit of finished cylinders",
)
BORE: Verb[FormsAnswer] = Verb(
    name="bore",
    answer="fitsolver.records.forms_answer:FormsAnswer",
    document="forms",
    on_files="fitsolver.usecases.files:bore",
    on_records="fitsolver.usecases.bore:forms_of",
    facts=lambda _: ("form of the bores",),
    view="fitsolver.reporting.form_view:forms_view",
    sections=("form", "places"),
    drawing_of_files="fitsolver.verbs.profile:draw_bores",
    tab=Tab(7, "Form"),
    route="job",
    summary="The form of the measured bores",
)
ARRIVED: Verb[ArrivedAnswer] = Verb(
    name="arrived",
    answer="fitsolver.records.arrived:ArrivedAnswer",
    document="arrived",
    on_files="fitsolver.usecases.files:arrived",
    on_records="fitsolver.usecases.arrived:when_arrived",
    facts=lambda answer: (*_catalogue(answer), "parts on the bench"),
    view="fitsolver.reporting.arrived_view:arrived_view",
    sections=("ordered", "best", "rings", "order", "work", "fits", "left"),
    code=lambda answer: {"undecided": NOT_PROVEN, "ordered parts serve": DONE}.get(
        answer.status, NOTHING_FITS
    ),
    route="own",
    summary="Whether ordered parts serve as they were measured",
)


def _picked_again(answer: HoneAnswer) -> Iterator[More]:
    if answer.repick is not None:
        line = "Picked again, for the bores as they are now:"
        yield More("What is now possible", line, answer.repick)
    if answer.other_parts is not None:
        yield More("", "With other parts than those the job pins:", answer.other_parts)


HONE: Verb[HoneAnswer] = Verb(
    name="hone",
    answer="fitsolver.records.hone:HoneAnswer",
    document="hone",
    on_files="fitsolver.usecases.files:hone",
    facts=lambda answer: ("at the hone", f"log: {answer.log}"),
    view="fitsolver.reporting.hone_view:hone_view",
    sections=("cylinders",),
    more=_picked_again,
    drawing="fitsolver.verbs.drawings:log_of",
    code=lambda answer: DONE if answer.repick is None else code_of(answer.repick.status),
    route="own",
    summary="Where the bores stand at the hone, and how far next",
)
SHEET: Verb[WorkSheet] = Verb(
    name="sheet",
    answer="fitsolver.paper.page:WorkSheet",
    on_files="fitsolver.verbs.sheet:sheet",
    on_records="fitsolver.verbs.sheet:sheet_of",
    code=by_status,
)

OF_A_JOB: Final[tuple[Verb[Any], ...]] = (
    *(PICK, WHY, ALTERNATIVES, LADDER, PLAN, FIRM, FITS, BUDGET, FINAL, BORE),
    *(ARRIVED, HONE, SHEET),
)
