"""The contents of a sheet: the whole answer as texts and tables."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from itertools import groupby
from math import ceil
from typing import Final

from fitsolver.base.lengths import Unit
from fitsolver.paper.alike import together
from fitsolver.paper.checks import bore_fields, check_tables, half_wide, ring_tables
from fitsolver.paper.code import code_svg
from fitsolver.paper.machining import finish_notes, work_groups
from fitsolver.paper.parts import BLANK, Bores, Column, Pairs, Section, Sheet, Table, Work
from fitsolver.records.figures import Figures, likely, money
from fitsolver.records.form import BoreForm
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer, NoFit, Plan, Status
from fitsolver.records.stages import StagesAnswer
from fitsolver.records.told import headlines, order_rows
from fitsolver.records.words import RULE_WORDS, UNIT_WORDS, counted

#: Signs of a fingerprint that stand on the foot of every page; the whole of it stands on the first.
_SHORT: Final = 12
#: Bores beside each other, and the most cylinders of a sheet that is one page.
BESIDE: Final = 4
_STATUS: Final[dict[Status, str]] = {
    "proven best": "Proven best, and checked again without the solver.",
    "best found": "Best found in the time given, not proven best; it keeps every rule.",
    "nothing fits": "Nothing fits: no choice of parts and work keeps every rule. Do not cut.",
    "undecided": "Undecided: no plan was found in the time given. Do not cut.",
}


#: Draws measured bores, with the plan if there is one, as an `svg` element whose ids bear a name,
#: and taller where a page has room.
Profiles = Callable[[Sequence[BoreForm], Plan | None, str, bool], str]
#: Width (mm) of a sign in the table of work, and the least of the column with the ranges.
_SIGN, _NARROWEST = 1.32, 32
#: Rows of the table of work that leave room for large pictures.
_FEW_ROWS: Final = 2
#: Pictures that stand beside each other.
_ONE_ROW: Final = 2


def contents(
    job: Job,
    answer: Answer,
    stages: StagesAnswer,
    profiles: Profiles,
    made_on: date,
    unit: Unit | None,
) -> Sheet:
    """Return the contents of a job's sheet, in `unit` or the job's own; see `work_sheet`."""
    figures = Figures(unit or answer.unit)
    plan = answer.plan
    marks = _marks(answer)
    short = [answer.job_fingerprint[:_SHORT], answer.catalogue_fingerprint[:_SHORT]]
    drawn = profiles(answer.forms, None, "profiles", False) if plan is None and answer.forms else ""
    cylinders = () if plan is None else plan.cylinders
    finish = work_groups(cylinders, stages.cylinders, figures)
    dense = 1 < len(cylinders) <= BESIDE
    tall = _tall(finish, len(cylinders))
    return Sheet(
        title=answer.job,
        note=job.note,
        made_on=made_on.isoformat(),
        status=_STATUS[answer.status],
        headlines=tuple(line[:1].upper() + line[1:] for line in headlines(answer)),
        facts=(
            ("Catalogue", answer.catalogue),
            ("Finishing", answer.finishing),
            (
                "Lengths",
                f"in {UNIT_WORDS[figures.unit]}; all sizes and metal to remove on diameter",
            ),
        ),
        order=None if plan is None else _order(plan),
        totals=() if plan is None else tuple(_totals(plan, answer.currency)),
        finish=finish,
        finish_notes=tuple(finish_notes(cylinders, stages.cylinders, figures)),
        bores=() if plan is None else tuple(_bores(answer, profiles, tall=tall)),
        fields=(*ring_tables(cylinders, figures), *check_tables(cylinders, figures)),
        narrow=len(cylinders) <= BESIDE,
        dense=dense,
        folded=any(len(group.own) > 1 for group in finish),
        everywhere=_everywhere_width(finish),
        reasons=() if answer.no_fit is None else tuple(_reasons(answer.no_fit)),
        profiles=drawn,
        cautions=tuple(cautions(answer)),
        marks=marks,
        mark=f"job {short[0]}, catalogue {short[1]}, fitsolver {answer.program_version}, "
        f"{made_on.isoformat()}",
        code=code_svg(answer, made_on.isoformat()),
    )


def _marks(answer: Answer) -> Pairs:
    return (
        ("Job", answer.job_fingerprint or "not read from a file"),
        ("Catalogue", answer.catalogue_fingerprint or "not read from a file"),
        ("Program", f"fitsolver {answer.program_version}"),
    )


def _order(plan: Plan) -> Table:
    columns = (
        Column("Number", "word"),
        Column("What", "text"),
        Column("Count"),
        Column("From", "word"),
        Column("Each"),
        Column("Price"),
        Column("Days"),
        Column("Here", "narrow blank"),
    )
    rows = [(*cells, BLANK) for cells in order_rows(plan)]
    return Table("Order list", columns, tuple(rows))


def _totals(plan: Plan, currency: str) -> Iterator[tuple[str, str]]:
    yield "Parts", money(plan.parts_price, currency)
    yield "Work", money(plan.route_price, currency)
    yield "Together", money(plan.price, currency)
    yield "Ready in", counted(plan.days, "day", "days")
    if plan.probability is not None:
        yield "All fits in their windows", likely(plan.probability, plan.odds_of)


def _everywhere_width(work: Sequence[Work]) -> int:
    """Return the width (mm) that the longest line of the ranges permitted everywhere takes."""
    pairs = [pair for group in work for row in group.rows for pair in row.permitted]
    pairs += [pair for group in work for pair in group.own[0].remove]
    signs = max((len(label) + 1 + len(said) for label, said in pairs), default=0)
    return max(_NARROWEST, ceil(signs * _SIGN) + 2)


def _tall(work: Sequence[Work], cylinders: int) -> bool:
    """Tell whether the table of work leaves room for large pictures of the bores."""
    rows = sum(len(group.rows) for group in work)
    return rows <= (2 * _FEW_ROWS if cylinders <= _ONE_ROW else _FEW_ROWS)


def _bores(answer: Answer, profiles: Profiles, *, tall: bool) -> Iterator[Bores]:
    """Yield the measured bores of a plan, four beside each other."""
    for start in range(0, len(answer.forms), BESIDE):
        some = answer.forms[start : start + BESIDE]
        drawn = profiles(some, answer.plan, f"profile-{start // BESIDE}", tall)
        fields = tuple(bore_fields(some, answer.unit))
        yield Bores(drawn, fields, all(map(half_wide, fields)))


def cautions(answer: Answer) -> Iterator[str]:
    """Yield every caution of an answer; a caution of several cylinders appears once, with their
    names.
    """
    names = [] if answer.plan is None else [item.cylinder for item in answer.plan.cylinders]
    heads = {f"Cylinder {name}": name for name in names}
    said: dict[str, list[str]] = {}
    for line in answer.cautions:
        head, _, rest = line.partition(": ")
        said.setdefault(rest if head in heads else line, []).append(heads.get(head, ""))
    for text, of in said.items():
        yield next(together(((name, text) for name in of), names)) if of[0] else text


def _reasons(no_fit: NoFit) -> Iterator[Section]:
    for name, reasons in groupby(no_fit.reasons, key=lambda reason: reason.cylinder):
        heading = f"Cylinder {name}: why nothing fits" if name else "Why nothing fits them together"
        yield Section(heading, tuple(f"{RULE_WORDS[r.rule]}: {r.sentence}" for r in reasons))
    if no_fit.near_misses:
        misses = tuple(f"cylinder {miss.cylinder}: {miss.sentence}" for miss in no_fit.near_misses)
        yield Section("Nearest miss", misses)
    none = ("None was found in this job and this catalogue.",)
    yield Section("Ways left", no_fit.ways_left or none)
