"""Every report opens with its answer on one screen, whatever the number of cylinders."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from typing import Any

import pytest

from fitsolver.base.lengths import Unit
from fitsolver.records.base import Range
from fitsolver.records.ladder import CylinderLadder, LadderAnswer
from fitsolver.records.plan import Reason
from fitsolver.records.screening import FaultyRow, ScreenAnswer, Share
from fitsolver.records.stages import CylinderStages, GoAhead, StageCut, StagesAnswer, Target
from fitsolver.records.why import ChoiceReason, Opening, WhyAnswer
from fitsolver.reporting.sections import Opened
from fitsolver.verbs.registry import verb_of
from fitsolver.verbs.report import report as report_of

from . import answers
from .answers import flat, mm, shown
from .drawn_views import OTHERS

HEAD = {"program_version": "0", "job": "invented", "catalogue": "shelf", "unit": "mm"}
COUNTS = (1, 2, 4, 8, 16)
UNITS: tuple[Unit, ...] = ("mm", "in")
CLOSED = Opened()
SCREEN = 24
#: Lines of the whole report by default; with cautions and what needs attention.
MOST = 60
#: Two cylinders at the hone are told with their checks.
TWO_AT_THE_HONE = 80
#: Verbs that tell one cylinder as shortly as many.
ALWAYS = ("plan", "screen", "firm", "allot", "catalogue", "alternatives")
SURELY = (
    "NEEDS ATTENTION",
    "Cautions",
    "Jobs served",  # sections that are short enough to come with it
    "From the shelf",
    "As ordered, and now",
    "Why the ordered parts do not serve",  # below what to order and to do
    "The best plans, what matters most first",  # below the front, where it is asked for
)


def names(count: int) -> list[str]:
    return [str(number + 1) for number in range(count)]


def cut(stage: str, start: int, stock: int) -> StageCut:
    end = start + stock
    return StageCut(
        stage=stage, start=start, diameter=end, stock=stock, lowest=end - 400, highest=end + 400,
        half_width=400, dial=end - mm("62.25"), dial_on_piston=end - mm("62.43"),
    )  # fmt: skip


def cylinder_stages(dice: random.Random, name: str, *, measured: bool) -> CylinderStages:
    steps = ("bore", "rough hone", "finish hone", "plateau")[dice.randrange(3) :]
    start = mm("62.2") + dice.randrange(5_000)
    targets = []
    for end in ("any",) if measured else ("smallest", "largest"):
        here, cuts = start, []
        for place, step in enumerate(steps):
            cuts.append(cut(step, here, (20_000, 2_600, 400, 100)[place] + dice.randrange(50)))
            here = cuts[-1].diameter
        skirt = here - 6_000
        targets.append(
            Target(piston=end, skirt=skirt, start=start, finish=here, cuts=tuple(cuts))  # type: ignore[arg-type]
        )
    ahead = GoAhead(cuts=(targets[0].cuts[0],), serves_both=True, waits=tuple(steps[1:]))
    return CylinderStages(
        cylinder=name, route="hone", machined=True, start=Range(low=start, high=start + 1_000),
        dial_zero=mm("62.25") if dice.random() < 0.7 else None, dial_zero_on_piston=False,
        targets=tuple(targets), ahead=None if measured else ahead,
    )  # fmt: skip


def plan(count: int) -> StagesAnswer:
    dice = random.Random(count)
    found = [
        cylinder_stages(dice, name, measured=dice.random() < 0.5)
        if dice.random() < 0.8
        else CylinderStages(
            cylinder=name, route="as is", machined=False, dial_zero=None,
            start=Range(low=mm("62"), high=mm("62")), dial_zero_on_piston=False,
        )
        for name in names(count)
    ]  # fmt: skip
    return StagesAnswer(
        **HEAD, finishing="piston in hand", status="proven best", cylinders=tuple(found)
    )


def screen(count: int) -> ScreenAnswer:
    return ScreenAnswer(
        program_version="0", table="bores.csv", like="invented job", catalogue="shelf", unit="mm",
        finishing="set size", status="bad rows", not_asked=("squish",), rows=9_000, fits=8_000,
        nothing_fits=990, bad=10, out="rows.parquet", bad_rows="bad.csv",
        first_bad=FaultyRow(row=7, field="largest", found="x", reason="not a length"),
        pistons=tuple(Share(name=f"P-{n}", bores=10 * (20 - n)) for n in range(count)),
        routes=tuple(Share(name=f"route {n}", bores=10 * (20 - n)) for n in range(count)),
    )  # fmt: skip


def bores(count: int) -> object:
    dice = random.Random(count)
    forms = []
    for name in names(count):
        more = dice.randrange(9_000)
        changes: dict[str, Any] = {"cylinder": name, "largest": mm("62.27") + more}
        forms.append(answers.form(**changes, smallest=mm("62.25") + more))
    return answers.forms(*forms)


def ladder(count: int) -> LadderAnswer:
    ladders = tuple(
        CylinderLadder(
            cylinder=name, smallest=mm("62.2"), largest=mm("62.3") + 200 * place,
            bore_limit=mm("63"), wear_per_rebuild=None, bore_low=mm("62.49"),
            bore_high=mm("62.51") + 200 * place, rebuilds_left=3, light_hones=1, rungs=(),
        )
        for place, name in enumerate(names(count))
    )  # fmt: skip
    return LadderAnswer(**HEAD, status="proven best", cylinders=ladders)


def fits(count: int) -> object:
    sets = [
        each.model_copy(update={"cylinder": name, "price": 100 * place})
        for place, name in enumerate(names(count))
        for each in (answers.part_set(), *[answers.missing_set()] * 8)
    ]
    return answers.fits_answer(*sets)


def why(count: int) -> WhyAnswer:
    choices = [
        ChoiceReason(cylinder=name, subject=subject, sentence=f"{subject} of {6 + place}.25 mm")
        for place, name in enumerate(names(count))
        for subject in ("size", "finish", "ring", "ring", "edge", "edge")
    ]
    return WhyAnswer(**HEAD, currency="EUR", status="proven best", choices=tuple(choices))


def refused(count: int) -> WhyAnswer:
    reasons = tuple(
        Reason(rule="clean_up", cylinder=name, sentence=f"at least 63.0{place} mm asked")
        for place, name in enumerate(names(count))
    )
    openings = tuple(
        Opening(
            kind="window", cylinder=name, by=place + 1, measure="ticks", opens_job=count == 1,
            sentence=f"the edge moved by 0.0{place + 1} mm",
        )
        for place, name in enumerate(names(count))
    )  # fmt: skip
    return WhyAnswer(
        **HEAD, currency="EUR", status="nothing fits", conflicts=reasons, openings=openings
    )


VIEWS: dict[str, Callable[[int], Any]] = {
    "plan": plan, "screen": screen, "bore": bores, "ladder": ladder, "fits": fits, "why": why,
    "why nothing fits": refused, **OTHERS,
}  # fmt: skip


def answer_of(lines: list[str]) -> list[str]:
    """The lines above what needs attention, the cautions and the line that names the rest.

    Above what else was asked for, or what says why, too.
    """
    ends = (n for n, line in enumerate(lines) if line in SURELY or line.startswith("More ("))
    return lines[: next(ends, len(lines) + 1) - 1]


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("count", COUNTS)
@pytest.mark.parametrize("name", VIEWS)
def test_the_answer_is_one_screen(name: str, count: int, unit: Unit) -> None:
    lines = shown(report_of(VIEWS[name](count), unit, CLOSED)).splitlines()
    assert max(map(len, lines)) <= 80
    assert len(lines) <= (MOST if name != "hone" else TWO_AT_THE_HONE), "\n".join(lines)
    if count > 2 or name in ALWAYS:  # of one or two the details come too
        assert len(answer_of(lines)) <= SCREEN, "\n".join(lines)


@pytest.mark.parametrize("count", COUNTS)
@pytest.mark.parametrize("name", VIEWS)
def test_forty_columns_hold_every_word(name: str, count: int) -> None:
    """What is told at 80 columns is told at 40, headers and lines of tables apart."""
    answer = VIEWS[name](count)
    narrow = shown(report_of(answer, "mm"), 40)
    assert max(map(len, narrow.splitlines())) <= 40
    wide = flat(report_of(answer, "mm"))
    assert _figures(wide) <= _figures(narrow)


def _figures(text: str) -> set[str]:
    """The words that are figures: none is broken, whatever the width."""
    bare = (word.strip(",;:.()") for word in text.split())
    return {word for word in bare if re.fullmatch(r"[+-]?\d+(\.\d+)?%?", word)}


@pytest.mark.parametrize("name", VIEWS)
def test_nothing_is_lost_in_the_whole(name: str) -> None:
    answer = VIEWS[name](16)
    whole = flat(report_of(answer, "mm"))
    assert "More (--show" not in whole and " more: --show" not in whole
    if name == "why nothing fits":
        assert all(reason.sentence in whole for reason in answer.conflicts)
    if name == "why":
        assert all(choice.sentence in whole for choice in answer.choices)
    if name == "screen":
        assert all(share.name in whole for share in (*answer.pistons, *answer.routes))


@pytest.mark.parametrize("count", COUNTS)
def test_where_a_stage_stops_is_the_plans(count: int) -> None:
    """Of cylinders that are shown by themselves: each stage's size and dial, to 0.001 mm."""
    answer = plan(count)
    text = flat(report_of(answer, "mm", CLOSED))
    told = [item for item in answer.cylinders if item.machined]
    if "cylinders more: --show stages" in text:
        told = told[:1]
    for item in told:
        for target in item.targets:
            size = target.cuts[-1].diameter / 100_000
            assert any(f"{size + off:.3f}" in text for off in (-0.0005, 0, 0.0005)), size
        if item.ahead is not None:
            assert f"until then {item.ahead.cuts[-1].stage} may go to" in text


def test_bars_stand_on_a_terminal_with_colours_only() -> None:
    answer = ladder(4)
    report = report_of(answer, "mm", CLOSED)
    assert "█" in shown(report, 80, colour=True)
    assert "█" not in shown(report, 80)
    narrow = shown(report, 40, colour=True)
    assert "█" not in narrow


def test_no_color_has_no_bars(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    assert "█" not in shown(report_of(ladder(4), "mm", CLOSED), 80, colour=True)


def left_out(text: str) -> list[str]:
    """The sections that the last line of a report names."""
    _, found, named = " ".join(text.split()).rpartition("More (--show NAME or --full): ")
    return named.split(", ") if found else []


@pytest.mark.parametrize("name", VIEWS)
def test_each_section_that_is_left_out_opens_by_its_name(name: str) -> None:
    answer = VIEWS[name](8)
    closed = shown(report_of(answer, "mm", CLOSED))
    known = verb_of(answer).all_sections
    assert left_out(closed), "8 of anything leave nothing out"
    for section in left_out(closed):
        assert section in known, f"--show {section} would be refused"
        report = shown(report_of(answer, "mm", Opened(frozenset({section}))))
        assert section not in left_out(report)
        assert len(report.splitlines()) > len(closed.splitlines()), section
    assert not left_out(shown(report_of(answer, "mm")))
