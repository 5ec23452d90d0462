"""What a sheet says is what the answer says, escaped and without anything from outside."""

from __future__ import annotations

import re
from typing import Final

import pytest

from fitsolver import __version__
from fitsolver.base.lengths import Unit
from fitsolver.paper.page import css_text
from fitsolver.records.figures import NONE, Figures, money
from fitsolver.records.plan import Answer, Fit
from fitsolver.records.told import dial_reading
from fitsolver.records.words import axis_words
from tests.unit.plots.drawn import PLANNED, staged
from tests.unit.reporting.demos import JOBS, picked, planned, undecided, unproven

from .printed import Read, html_of, sheet_of

UNITS: Final[tuple[Unit, ...]] = ("mm", "in")
NASTY: Final = "</style><script>alert('1')</script> & \"q\" {{ 7*7 }} \x1b[31m \\"


@pytest.mark.parametrize("job", PLANNED)
def test_order_list(job: str) -> None:
    rows = Read(sheet_of(job)).tables["Order list"][1:]
    assert len(rows) == len(planned(job).order)
    for row, line in zip(rows, planned(job).order, strict=True):
        assert row[:4] == [line.number, line.what, str(line.count), line.source]
        bought = line.source != "in hand"
        assert row[4:6] == ([money(line.price_each), money(line.price)] if bought else [NONE] * 2)
        assert row[-1] == ""
    text = Read(sheet_of(job)).text
    assert f"Together {money(planned(job).price, picked(job).currency)}" in text


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("job", PLANNED)
def test_machining_stages_with_dial_readings(job: str, unit: Unit) -> None:
    figures = Figures(unit)
    tables = Read(sheet_of(job, "a4", unit)).tables
    for plan in staged(job).cylinders:
        found = [
            rows for name, rows in tables.items() if name.startswith(f"Cylinder {plan.cylinder}: M")
        ]
        assert len(found) == len(plan.targets)
        if any(target.cuts for target in plan.targets):  # one finish size on the whole sheet
            stops = dict.fromkeys(rows[-1][4] for rows in found)
            assert f"finish size {' to '.join(stops)} " in Read(sheet_of(job, "a4", unit)).text
        for rows, target in zip(found, plan.targets, strict=True):
            assert rows[0][-2:] == ["Read, least", "Read, most"]
            for row, cut in zip(rows[1:], target.cuts, strict=True):
                wanted = [
                    cut.stage,
                    figures.near(cut.stock),
                    *figures.permitted(cut.lowest, cut.highest),
                    figures.aim(cut.diameter, cut.lowest, cut.highest),
                ]
                if cut.dial is not None:
                    wanted.append(dial_reading(cut, cut.dial, figures))
                if cut.dial_on_piston is not None:
                    wanted.append(dial_reading(cut, cut.dial_on_piston, figures))
                assert row == [*wanted, "", ""]
        ahead = tables.get(
            f"Cylinder {plan.cylinder}: What may go ahead before the piston is measured"
        )
        assert (ahead is not None) == (plan.ahead is not None)


def guarded(fit: Fit) -> Fit:
    low = None if fit.low is None else fit.low + fit.guard
    high = None if fit.high is None else fit.high - fit.guard
    return fit.model_copy(update={"low": low, "high": high, "guard": 0})


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("job", PLANNED)
def test_check_table_has_limits_and_a_blank_beside_each(job: str, unit: Unit) -> None:
    figures = Figures(unit)
    tables = Read(sheet_of(job, "a4", unit)).tables
    for plan in planned(job).cylinders:
        head, skirt, *rows = tables[f"Cylinder {plan.cylinder}: Check before assembly"]
        assert head[5:7] == ["Measured", "OK"]
        assert skirt[1].startswith(plan.piston.number)
        assert len(rows) == len(plan.fits)
        for row, fit in zip(rows, plan.fits, strict=True):
            assert row[1] == fit.part
            assert row[2:4] == list(figures.fit(guarded(fit))[:2])
            least, most = figures.fit(fit)[2:4]
            assert row[4] == (least if least == most else f"{least} to {most}")
            assert row[5:7] == ["", ""]


def test_limits_are_never_looser_than_the_plan() -> None:
    """The pump's clearance has a guard of 2 µm: the paper's limits lie inside it."""
    fit = planned("pump/job").cylinders[1].fits[0]
    assert fit.low is not None and fit.high is not None and fit.guard == 200
    row = Read(sheet_of("pump/job")).tables["Cylinder 2: Check before assembly"][2]
    low, high = (round(float(cell) * 100_000) for cell in row[2:4])
    assert fit.low + 200 <= low and high <= fit.high - 200


@pytest.mark.parametrize("job", PLANNED)
def test_ring_filing_table(job: str) -> None:
    figures = Figures(picked(job).unit)
    for plan in planned(job).cylinders:
        rows = Read(sheet_of(job)).tables[f"Cylinder {plan.cylinder}: Ring filing"][1:]
        for row, ring in zip(rows, plan.rings, strict=True):
            gap = next(f for f in plan.fits if f.fit == "end_gap" and f.groove == ring.groove)
            assert row[0] == str(ring.groove) and row[1].startswith(ring.number)
            assert row[2:4] == list(figures.fit(guarded(gap))[:2])
            assert row[4] == (figures.up(ring.filing) if ring.filing else "no filing")
            assert row[5:] == ["", ""]


@pytest.mark.parametrize("job", PLANNED)
def test_finished_bore_has_a_field_for_every_place(job: str) -> None:
    read = Read(sheet_of(job))
    figures = Figures(picked(job).unit)
    for form in picked(job).forms:
        head, *rows = read.tables[f"Cylinder {form.cylinder}: Finished bore, at 20 °C"]
        assert head[1:] == [figures.near(at.depth) for at in form.by_depth]
        assert [row[0] for row in rows] == [axis_words(axis.angle) for axis in form.by_axis]
        assert all(row[1:] == [""] * len(form.by_depth) for row in rows)
    plan = planned("pump/job").cylinders[1]
    assert plan.lowest is not None and plan.highest is not None
    low, high = Figures("mm").permitted(
        plan.lowest - plan.half_width, plan.highest + plan.half_width
    )
    assert f"Permitted everywhere: {low} to {high} mm." in Read(sheet_of("pump/job")).text


@pytest.mark.parametrize("job", JOBS)
def test_cautions_and_what_ties_paper_to_files(job: str) -> None:
    read, answer = Read(sheet_of(job)), picked(job)
    for caution in answer.cautions:
        assert caution in read.texts
    assert answer.job_fingerprint in read.texts and answer.catalogue_fingerprint in read.texts
    assert len(answer.job_fingerprint) == 64
    assert f"fitsolver {__version__}" in read.texts
    assert ("time", {"datetime": "2027-03-01"}) in read.tags
    assert "on diameter" in read.text
    mark = f"job {answer.job_fingerprint[:12]}, catalogue {answer.catalogue_fingerprint[:12]}"
    assert read.text.count(mark) == len(planned(job).cylinders if answer.plan else ())
    assert answer.job_fingerprint[:12] in sheet_of(job).split("@bottom-left")[1].split(";")[0]


def test_nothing_fits_says_why() -> None:
    answer = picked("pump/worn_out")
    read = Read(sheet_of("pump/worn_out"))
    assert answer.no_fit is not None
    assert "Nothing fits" in read.text and "Do not cut" in read.text
    for sentence in (
        *(reason.sentence for reason in answer.no_fit.reasons),
        *(miss.sentence for miss in answer.no_fit.near_misses),
        *answer.no_fit.ways_left,
    ):
        assert sentence in read.text
    assert read.tables == {} and read.blanks == 0
    assert any(tag == "svg" and "aria-labelledby" in found for tag, found in read.tags)


@pytest.mark.parametrize(
    ("answer", "says"),
    [
        (undecided("pump/job"), "Undecided"),
        (unproven("pump/job"), "Best found in the time given, not proven best"),
        (picked("pump/job"), "Proven best"),
    ],
)
def test_status_is_said(answer: Answer, says: str) -> None:
    assert says in Read(html_of(answer, "pump/job")).text


def renamed(value: object) -> object:
    """Every free text of a document replaced by one that would be markup."""
    if isinstance(value, dict):
        return {key: NASTY if key in FREE else renamed(item) for key, item in value.items()}
    return [renamed(item) for item in value] if isinstance(value, list) else value


FREE: Final = ("number", "part", "source", "sentence", "place", "piece", "currency")


def test_texts_from_files_are_never_markup() -> None:
    for job in ("pump/job", "pump/worn_out"):
        document = renamed(picked(job).model_dump(mode="json"))
        assert isinstance(document, dict)
        document |= {"job": NASTY, "catalogue": NASTY, "cautions": [NASTY]}
        for line in (document["plan"] or {"order": []})["order"]:
            line["source"] = "stock"
        html = html_of(Answer.model_validate(document), job)
        plain = Read(sheet_of(job))
        read = Read(html)
        assert {tag for tag, _ in read.tags} == {tag for tag, _ in plain.tags}
        assert "<script" not in html and "\x1b" not in html and "49" not in read.texts
        assert html.count("</style>") == 1
        assert NASTY.replace("\x1b", "·") in read.texts


def test_text_of_css_is_letters_and_numbers_only() -> None:
    assert css_text("job 1a, x") == '"job 1a\\2c  x"'
    assert re.fullmatch(r'"(?:[A-Za-z0-9 ]|\\[0-9a-f]+ )*"', css_text(NASTY))


@pytest.mark.parametrize("job", JOBS)
def test_nothing_comes_from_outside(job: str) -> None:
    html, read = sheet_of(job), Read(sheet_of(job))
    assert not {tag for tag, _ in read.tags} & {"script", "link", "iframe", "img", "object", "base"}
    for tag, found in read.tags:
        assert not any(name.startswith("on") for name in found)
        for name in ("src", "href", "xlink:href", "action", "data"):
            assert found.get(name, "#").startswith("#"), (tag, found)
    assert not re.search(r"@import|@font-face|url\((?!#)", html)
    addresses = {part.split('"')[0] for part in html.split("http:")[1:]}
    assert addresses <= {"//www.w3.org/2000/svg", "//www.w3.org/1999/xlink"}
    assert "https:" not in html
    ids = [found["id"] for _, found in read.tags if "id" in found]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("job", JOBS)
def test_equal_jobs_give_equal_bytes(job: str) -> None:
    assert html_of(picked(job), job) == sheet_of(job)


def test_paper_and_only_the_paper_differs() -> None:
    a4, letter = sheet_of("pump/job"), sheet_of("pump/job", "letter")
    assert "size: A4;" in a4 and "size: Letter;" in letter
    assert a4.replace("size: A4;", "size: Letter;") == letter
