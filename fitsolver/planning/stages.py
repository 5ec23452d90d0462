"""A plan's routes split into stages: the diameter after each, and where the metal is.

A stage leaves part of the stock for later stages: its diameter is `finish - leaves`. This is
the boring rule of workshop manuals, boring size = finish size - what is left for honing
(common practice, no source). Lengths are in ticks of 10 nm, on diameter.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from fitsolver.choices.asked import question_cautions
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, RouteKind, Stage
from fitsolver.records.form import BoreForm, ShapeName
from fitsolver.records.heading import head_like
from fitsolver.records.plan import Answer, CylinderPlan
from fitsolver.records.stages import (
    CylinderStages,
    DepthStock,
    ForPiston,
    GoAhead,
    LeftOut,
    StageCut,
    StagesAnswer,
    Target,
)

_NOTHING: Final = Range(low=0, high=0)
_BORED: Final = "the boring bar takes this by itself: it cuts to one size at every depth"
_EVEN: Final = "once the sizes agree, even strokes over the whole length"
#: Where the metal is, and how the stroke should dwell (common practice, no source).
_WORDS: Final[dict[ShapeName, tuple[str, str]]] = {
    "straight": ("about the same at every depth", "even strokes over the whole length"),
    "tapered": (
        "most at the {tight}, less and less towards the {wide}",
        "short strokes at the {tight} first, longer ones as it opens; no dwell at the {wide}",
    ),
    "bell-mouthed": (
        "most from the {tight} up to the mouth at the {wide}, little in the mouth",
        "more strokes away from the {wide}; do not let the stones run far out of the {wide}",
    ),
    "barrel": (
        "most at both ends, least in the middle",
        "short strokes at each end in turn, quickly through the middle",
    ),
    "waisted": (
        "most in the middle, least at both ends",
        "short strokes in the middle first, longer ones as it opens",
    ),
    "irregular": (
        "unevenly, as the table shows",
        "short strokes where the table shows most, and read again often",
    ),
}


class _Size(NamedTuple):
    """The finish size for one piston: its permitted range, and the dial's reference."""

    piston: ForPiston
    skirt: int | None
    finish: int
    lowest: int | None
    highest: int | None


def in_stages(answer: Answer, catalogue: Catalogue) -> StagesAnswer:
    """Return the machining plan of an answer that `decide` gave with this catalogue."""
    return StagesAnswer(
        **head_like(answer),
        finishing=answer.finishing,
        status=answer.status,
        cylinders=stages(answer, catalogue),
        no_fit=answer.no_fit,
        cautions=(*question_cautions(answer.question), *answer.cautions),
    )


def stages(answer: Answer, catalogue: Catalogue) -> tuple[CylinderStages, ...]:
    """Return the machining plan of every cylinder of an answer; none where nothing fits."""
    if answer.plan is None:
        return ()
    forms = {form.cylinder: form for form in answer.forms}
    kinds = {route.name: route.kind for route in catalogue.routes}
    return tuple(
        _cylinder(plan, catalogue, kinds.get(plan.route, "as is"), forms.get(plan.cylinder))
        for plan in answer.plan.cylinders
    )


def _cylinder(
    plan: CylinderPlan, catalogue: Catalogue, kind: RouteKind, form: BoreForm | None
) -> CylinderStages:
    start = Range(low=plan.bore_low, high=plan.bore_high)
    if plan.stock_worst is not None and plan.stock_tightest is not None:
        large = plan.finish_large
        start = Range(low=large - plan.stock_tightest, high=large - plan.stock_worst)
    bare = CylinderStages(
        cylinder=plan.cylinder,
        route=plan.route,
        machined=plan.machined,
        start=start,
        dial_zero=plan.dial_zero,
        dial_zero_on_piston=plan.dial_zero_on_piston,
        warm_bore=None if plan.warm_dial is None else plan.warm_dial.bore,
    )
    if not plan.machined:
        return bare
    steps = steps_of(plan, catalogue)
    targets = tuple(_target(plan, steps, start.low, size) for size in _sizes(plan))
    found: dict[str, object] = {
        "targets": targets,
        "ahead": _ahead(plan, steps, start.low, targets),
    }
    if form is not None and not plan.restored:
        bored = kind == "bore and hone" and targets[-1].cuts[0].stage == steps[0].name
        found |= {
            "shape": form.shape,
            "depths": _depths(form, plan.finish_large),
            "dwell": _dwell(form, bored=bored),
        }
    return bare.model_copy(update=found)


def steps_of(plan: CylinderPlan, catalogue: Catalogue) -> tuple[Stage, ...]:
    """Return the stages of a plan's route; a route without any is one stage of its own name."""
    steps = tuple(stage for stage in catalogue.stages if stage.route == plan.route)
    steps = steps or (Stage(route=plan.route, name=plan.route, leaves=_NOTHING),)
    last = steps[-1].model_copy(update={"half_width": plan.half_width})
    return (*steps[:-1], last)


def no_honing(catalogue: Catalogue) -> frozenset[str]:
    """Return the names of a shop's stages that are a boring bar's cut, not honing.

    They are the first of several stages of a route of kind `bore and hone`, and every stage whose
    name begins with `bor`.
    """
    bored = {route.name for route in catalogue.routes if route.kind == "bore and hone"}
    first: dict[str, str] = {}
    for stage in reversed(catalogue.stages):
        first[stage.route] = stage.name
    several = {name for name in bored if sum(s.route == name for s in catalogue.stages) > 1}
    named = {stage.name for stage in catalogue.stages if stage.name.lower().startswith("bor")}
    return frozenset(named | {first[name] for name in several})


def cut_before_honing(plan: CylinderPlan, catalogue: Catalogue) -> str:
    """Return the name of the bar's stage or restoring route before honing; empty: none."""
    route = next((route for route in catalogue.routes if route.name == plan.route), None)
    if not plan.machined or route is None or plan.stock_tightest is None:
        return ""
    start, bars = plan.finish_large - plan.stock_tightest, no_honing(catalogue)
    steps = steps_of(plan, catalogue)
    for step in steps:
        if step.name in bars and plan.finish_large - _aimed_stock(step) > start:
            return step.name
    if plan.restored:
        return plan.route
    return "bore" if route.kind == "bore and hone" and len(steps) == 1 else ""


def _sizes(plan: CylinderPlan) -> tuple[_Size, ...]:
    """Return the finish sizes to plan for: two where the piston's size decides between them."""
    small, large, skirt = plan.finish_small, plan.finish_large, plan.skirt
    if small == large:
        known = skirt.high if skirt.known else None
        tops = [top for top in (plan.highest, plan.highest_small) if top is not None]
        return (_Size("any", known, large, plan.lowest, min(tops, default=None)),)
    return (
        _Size("smallest", skirt.low, small, small, plan.highest_small),
        _Size("largest", skirt.high, large, plan.lowest, plan.highest),
    )


def _target(plan: CylinderPlan, steps: Sequence[Stage], start: int, size: _Size) -> Target:
    cuts: list[StageCut] = []
    left_out: list[LeftOut] = []
    here = start
    for step in steps:
        aim = size.finish - _aimed_stock(step)
        if aim <= here and step is not steps[-1]:
            left_out.append(LeftOut(stage=step.name, diameter=aim))
            continue
        low, high = size.lowest, size.highest
        if step is not steps[-1]:
            low, high = _permitted(step, size.finish)
        cuts.append(_cut(plan, step, here, aim, low, high, size.skirt))
        here = aim
    return Target(
        piston=size.piston,
        skirt=size.skirt,
        start=start,
        finish=size.finish,
        cuts=tuple(cuts),
        left_out=tuple(left_out),
    )


def _aimed_stock(step: Stage) -> int:
    """Return the stock that a stage aims to leave: the middle of its range, rounded up."""
    return (step.leaves.low + step.leaves.high + 1) // 2


def _permitted(step: Stage, finish: int) -> tuple[int, int]:
    """Return the permitted diameters of a stage: every local size leaves the required stock."""
    half = step.half_width or 0
    return finish - step.leaves.high + half, finish - step.leaves.low - half


def _cut(
    plan: CylinderPlan,
    step: Stage,
    start: int,
    aim: int,
    low: int | None,
    high: int | None,
    skirt: int | None,
) -> StageCut:
    return StageCut(
        stage=step.name,
        start=start,
        diameter=aim,
        stock=aim - start,
        lowest=low,
        highest=high,
        half_width=step.half_width,
        dial=None if plan.dial_zero is None else aim - plan.dial_zero,
        dial_on_piston=None if skirt is None else aim - skirt,
        dial_warm=_dial_warm(plan, aim),
    )


def _dial_warm(plan: CylinderPlan, aim: int) -> int | None:
    if plan.warm_dial is None or plan.dial_zero is None:
        return None
    from fitsolver.metrology.correct import dial_on

    return dial_on(plan.warm_dial, plan.dial_zero, aim)


def _ahead(
    plan: CylinderPlan, steps: Sequence[Stage], start: int, targets: Sequence[Target]
) -> GoAhead | None:
    """Return the size permitted before the piston is measured; None once it is measured.

    A stage goes ahead to a size permitted for the smallest and the largest piston. Where the first
    cut has no such size, it goes to that of the smallest piston, which is safe for both, and the
    other stages wait. The last stage always waits.
    """
    if len(targets) == 1:
        return None
    small, large = (target.finish for target in targets)
    cuts: list[StageCut] = []
    waits = [step.name for step in steps]
    here, both = start, True
    for step in steps[:-1]:
        low, high = _permitted(step, large)[0], _permitted(step, small)[1]
        aim = small - _aimed_stock(step)
        common = low <= high
        if not common and cuts:
            break
        if common:
            aim = max(aim, low)
        waits.remove(step.name)
        if aim > here:
            low = low if common else _permitted(step, small)[0]
            cuts.append(_cut(plan, step, here, aim, low, high, None))
            here, both = aim, common
        if not common:
            break
    return GoAhead(cuts=tuple(cuts), serves_both=both, waits=tuple(waits))


def _depths(form: BoreForm, finish: int) -> tuple[DepthStock, ...]:
    return tuple(
        DepthStock(depth=at.depth, least=finish - at.largest, most=finish - at.smallest)
        for at in form.by_depth
    )


def _dwell(form: BoreForm, *, bored: bool) -> tuple[str, ...]:
    """Return where the metal is and how the stroke should dwell (common practice, no source)."""
    where, stroke = _WORDS[form.shape]
    tight = "bottom" if form.shape_at == "top" else "top"
    lines = [where.format(tight=tight, wide=form.shape_at)]
    if bored:
        return (*lines, _BORED)
    lines.append(stroke.format(tight=tight, wide=form.shape_at))
    return (*lines, _EVEN) if form.shape != "straight" else tuple(lines)
