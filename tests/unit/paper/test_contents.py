"""What a sheet says is what the answer says, escaped and without anything from outside."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Final

import pytest
import segno

from fitsolver import __version__
from fitsolver.base.lengths import TICKS_PER, Unit
from fitsolver.paper.alike import named, paragraphs, together
from fitsolver.paper.checks import bore_fields
from fitsolver.paper.code import code_text
from fitsolver.paper.contents import cautions
from fitsolver.paper.page import css_text
from fitsolver.records.figures import NONE, Figures, money
from fitsolver.records.plan import Answer, Fit
from fitsolver.records.told import dial_reading
from fitsolver.records.words import FIT_WORDS, axis_words, fit_name
from tests.unit.plots.drawn import PLANNED, staged
from tests.unit.reporting.demos import JOBS, picked, planned, undecided, unproven

from .printed import Read, html_of, machined, sheet_of

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
def test_a_row_a_finish_size_with_stops_and_dial_readings(job: str, unit: Unit) -> None:
    figures = Figures(unit)
    names = [plan.cylinder for plan in staged(job).cylinders]
    told = machined(Read(sheet_of(job, "a4", unit)), names)
    assert list(told) == names
    wanted = [(plan, target) for plan in staged(job).cylinders for target in plan.targets or [None]]
    rows = [row for cylinder in told.values() for row in cylinder.rows]
    assert len(rows) == len(wanted)
    for (_, parts, stops, everywhere), (plan, target) in zip(rows, wanted, strict=True):
        item = next(c for c in planned(job).cylinders if c.cylinder == plan.cylinder)
        if target is None:
            assert "nothing is cut" in stops and "left as it is" in parts
            assert everywhere == figures.expected(item.bore_low, item.bore_high)
            continue
        now = figures.nominal(plan.start.low, plan.start.high)
        assert f"now {now}" in told[plan.cylinder].own
        if target is plan.targets[0]:
            size = figures.near(item.oversize, sign=True) if item.oversize else "standard"
            assert parts.startswith(f"{item.piston.marked} {size}")
            assert item.route in parts
        if target.skirt is not None and target.piston != "any":
            assert f"{target.piston} piston, {figures.stated(target.skirt)}" in parts
        for cut in target.cuts:
            low, high = figures.permitted(cut.lowest, cut.highest)
            block = [cut.stage, figures.aim(cut.diameter, cut.lowest, cut.highest)]
            for label, reading in (("dial", cut.dial), ("new piston", cut.dial_on_piston)):
                if reading is not None:
                    block.append(f"{label} {dial_reading(cut, reading, figures)}")
            assert " ".join((*block, f"({low} to {high})")) in stops
        if plan.ahead is not None and target is plan.targets[0]:
            for cut in plan.ahead.cuts:
                size = figures.aim(cut.diameter, cut.lowest, cut.highest)
                assert f"{cut.stage} to {size}" in stops
            assert f"wait: {', '.join(plan.ahead.waits)}" in stops


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("job", PLANNED)
def test_permitted_everywhere_is_said_in_size_and_dial(job: str, unit: Unit) -> None:
    """The local sizes that keep the finish in its window, and the dial on them, zero by zero."""
    figures = Figures(unit)
    names = [plan.cylinder for plan in planned(job).cylinders]
    told = machined(Read(sheet_of(job, "a4", unit)), names)
    for plan in planned(job).cylinders:
        if not plan.machined:
            continue
        own = [row[3] for row in told[plan.cylinder].rows]
        edges = [(plan.lowest, plan.highest)]
        if plan.finish_small != plan.finish_large:
            edges.insert(0, (plan.finish_small, plan.highest_small))
        elif plan.highest_small is not None and plan.highest is not None:
            edges = [(plan.lowest, min(plan.highest, plan.highest_small))]
        for said, (low, high) in zip(own, edges, strict=True):
            assert low is not None and high is not None
            least, most = low - plan.half_width, high + plan.half_width
            assert said.startswith(" to ".join(figures.permitted(least, most)))
            if plan.dial_zero is not None:
                dial = [least - plan.dial_zero, most - plan.dial_zero]
                assert f"dial {' to '.join(figures.permitted(*dial, sign=True))}" in said
        assert plan.stock_worst is not None and plan.stock_tightest is not None
        most = figures.up(max(plan.stock_tightest, plan.removal))
        assert f"to remove {figures.down(plan.stock_worst)} to {most}" in told[plan.cylinder].own


def fields_of(read: Read, caption: str, cylinder: str) -> list[tuple[list[str], str, bool]]:
    """The rows of a table as one cylinder sees them: cells, its field, whether it is open."""
    found = []
    for name, rows in read.tables.items():
        if name.startswith(caption) and cylinder in rows[0]:
            place = rows[0].index(cylinder)
            for row, looks in zip(rows[1:], read.classes[name][1:], strict=True):
                found.append((row, row[place], looks[place] == "blank"))
    return found


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("job", PLANNED)
def test_every_fit_has_its_limits_and_a_field_of_its_cylinder(job: str, unit: Unit) -> None:
    figures = Figures(unit)
    read = Read(sheet_of(job, "a4", unit))
    for plan in planned(job).cylinders:
        mine = [row for row, _, is_open in fields_of(read, "Check", plan.cylinder) if is_open]
        assert sum(row[0].startswith(f"skirt {plan.piston.number}") for row in mine) == 1
        filed = {ring.groove for ring in plan.rings}
        for fit in plan.fits:
            if fit.fit == "end_gap" and fit.groove in filed:
                continue
            low, high = figures.fit(guarded(fit))[:2]
            name = FIT_WORDS[fit.fit] if fit.fit == "ring_seat" else ""
            name = name or fit_name(fit.fit, fit.groove, fit.port)
            edges = [low.lstrip("+"), high.lstrip("+")]  # one limit, with its sign or without
            (row,) = [
                row
                for row in mine
                if row[0].startswith(name) and [edge.lstrip("+") for edge in row[1:3]] == edges
            ]
            if fit.fit == "ring_seat":
                assert str(fit.groove) in row[0].removeprefix(name).replace(",", " ").split()
            least, _, most = row[3].partition(" to ")
            assert Decimal(least) <= Decimal(figures.fit(fit)[2])
            assert Decimal(most or least) >= Decimal(figures.fit(fit)[3])
            if fit.said_by:
                assert f"{row[4]}: {fit.said_by}" in read.text


def guarded(fit: Fit) -> Fit:
    low = None if fit.low is None else fit.low + fit.guard
    high = None if fit.high is None else fit.high - fit.guard
    return fit.model_copy(update={"low": low, "high": high, "guard": 0})


def test_limits_are_never_looser_than_the_plan() -> None:
    """The pump's clearance has a guard of 2 µm: the paper's limits lie inside it."""
    fit = planned("pump/job").cylinders[1].fits[0]
    assert fit.low is not None and fit.high is not None and fit.guard == 200
    mine = fields_of(Read(sheet_of("pump/job")), "Check", "2")
    row = next(row for row, _, is_open in mine if is_open and row[0] == "clearance")
    low, high = (round(float(cell) * 100_000) for cell in row[1:3])
    assert fit.low + 200 <= low and high <= fit.high - 200


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("job", PLANNED)
def test_rings_with_their_gaps_and_filing(job: str, unit: Unit) -> None:
    figures = Figures(unit)
    read = Read(sheet_of(job, "a4", unit))
    for plan in planned(job).cylinders:
        mine = [item for item in fields_of(read, "Rings", plan.cylinder) if item[2]]
        assert len(mine) == len(plan.rings)
        for (row, filing, _), ring in zip(mine, plan.rings, strict=True):
            gap = next(f for f in plan.fits if f.fit == "end_gap" and f.groove == ring.groove)
            held = guarded(gap)
            limits = list(figures.permitted(held.low, held.high))
            assert row[:4] == [str(ring.groove), ring.marked, *limits]
            assert filing == (f"≤ {figures.up(ring.filing)}" if ring.filing else "no filing")


@pytest.mark.parametrize("job", PLANNED)
def test_finished_bore_has_a_field_for_every_place(job: str) -> None:
    read = Read(sheet_of(job))
    rows = [row for table in read.all_of("Finished bore") for row in table]
    for form in picked(job).forms:
        for axis in form.by_axis:
            name = f"{form.cylinder}, {axis_words(axis.angle).removesuffix(' axis')}"
            (row,) = [row for row in rows if row[0] == name]
            assert row[1:] == [""] * len(form.by_depth)
        heads = [[head.split() for head in row[1:]] for row in rows if row[0] == "Cylinder, axis"]
        assert {unit for row in heads for _, unit in row} == {picked(job).unit}
        typed = [[Decimal(said) * TICKS_PER[picked(job).unit] for said, _ in row] for row in heads]
        assert [at.depth for at in form.by_depth] in typed


def test_many_depths_run_down_the_page() -> None:
    form = picked("pump/job").forms[0]
    depths = tuple(
        form.by_depth[0].model_copy(update={"depth": place * 100_000}) for place in range(1, 13)
    )
    (table,) = bore_fields([form.model_copy(update={"by_depth": depths})], "mm")
    assert [row[0] for row in table.rows] == [f"{place} mm" for place in range(1, 13)]
    assert [column.name for column in table.columns] == ["Depth", "1, thrust", "1, pin"]


@pytest.mark.parametrize("job", PLANNED)
def test_gaskets_are_named(job: str) -> None:
    text = Read(sheet_of(job)).text
    for plan in planned(job).cylinders:
        for gasket in plan.gaskets:
            assert f"{gasket.place} {gasket.count} x {gasket.number}" in text


def test_alike_cylinders_are_named_together() -> None:
    order = [str(place) for place in range(1, 9)]
    assert named(["3"], order) == "cylinder 3"
    assert named(["1", "2"], order) == "cylinders 1, 2"
    assert named(["5", "1", "2", "3", "7", "8"], order) == "cylinders 1 to 3, 5, 7, 8"
    assert named(order, order) == "all cylinders"
    assert list(together([("1", "a."), ("2", "b."), ("3", "a.")], order)) == [
        "Cylinders 1, 3: a.",
        "Cylinder 2: b.",
    ]


def test_notes_of_the_same_cylinders_are_one_paragraph() -> None:
    notes = [("1", "a."), ("2", "a."), ("1", "b."), ("2", "b."), ("2", "c.")]
    assert list(paragraphs(notes, ["1", "2"])) == ["All cylinders: a. B.", "Cylinder 2: c."]


def test_a_depth_is_said_as_it_was_typed() -> None:
    form = picked("pump/job").forms[0]
    told = []
    for depth in (1_500_000, 1_016_000, 160 * 100_000):  # 15 mm, 0.4 in (10.16 mm), 160 mm
        at = (form.by_depth[0].model_copy(update={"depth": depth}),)
        for unit in UNITS:
            (table,) = bore_fields([form.model_copy(update={"by_depth": at})], unit)
            told.append(table.columns[1].name)
    assert told == ["15 mm", "15 mm", "10.16 mm", "0.4 in", "160 mm", "160 mm"]


def test_a_caution_of_several_cylinders_stands_once_with_all() -> None:
    alike = tuple(f"Cylinder {name}: look there." for name in "12")
    told = (*alike, "Stop in time.", "Cylinder 2: b.")
    answer = picked("pump/job").model_copy(update={"cautions": told})
    assert list(cautions(answer)) == [
        "All cylinders: look there.",
        "Stop in time.",
        "Cylinder 2: b.",
    ]


@pytest.mark.parametrize("job", JOBS)
def test_cautions_and_what_ties_paper_to_files(job: str) -> None:
    read, answer = Read(sheet_of(job)), picked(job)
    for caution in answer.cautions:
        said = re.sub(r"^Cylinder [^:]+: ", "", caution)
        assert any(text.endswith(said) for text in read.texts), caution
    assert answer.job_fingerprint in read.texts and answer.catalogue_fingerprint in read.texts
    assert len(answer.job_fingerprint) == 64
    assert f"fitsolver {__version__}" in read.texts
    assert ("time", {"datetime": "2027-03-01"}) in read.tags
    assert "on diameter" in read.text
    assert answer.job_fingerprint[:12] in sheet_of(job).split("@bottom-left")[1].split(";")[0]


@pytest.mark.parametrize("job", JOBS)
def test_the_code_holds_both_fingerprints_whole(job: str) -> None:
    """Its modules are those of a QR code of that text, drawn once, at 0.35 mm or more each."""
    answer, html = picked(job), sheet_of(job)
    text = code_text(answer, "2027-03-01")
    for part in (answer.job_fingerprint, answer.catalogue_fingerprint, __version__, "2027-03-01"):
        assert part in text.split()
    code = segno.make_qr(text, error="m")
    (drawn,) = re.findall(r'<svg viewBox="0 0 (\d+) \1" class="code">.*?</svg>', html)
    assert int(drawn) == code.symbol_size(border=2)[0]
    assert 23 / int(drawn) >= 0.35
    (path,) = re.findall(r'class="code">.*? d="([^"]+)"', html)
    dark = sum(int(run) for run in re.findall(r"h(\d+)", path))
    assert dark == sum(sum(row) for row in code.matrix)


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
