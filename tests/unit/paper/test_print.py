"""Sheets printed by a browser: page count and size, nothing cut off, rows and heads whole."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path
from typing import Final

import pytest
from matplotlib.colors import to_hex
from PIL import Image, ImageChops, ImageStat
from zxingcpp import read_barcodes

from fitsolver.base.lengths import Unit
from fitsolver.paper import PAPERS, Paper, work_sheet
from fitsolver.paper.code import code_text
from fitsolver.picking.decide import decided
from fitsolver.planning.stages import in_stages
from fitsolver.plots import fit_bars, inline_profiles, style
from fitsolver.verbs.sheet import sheet_of as sheet_of_records
from tests.unit.plots.drawn import DRAWN, boxes, drawing_of
from tests.unit.reporting.demos import picked, planned

from .engines import engine
from .printed import (
    DAY,
    SIZES,
    Read,
    artefact,
    html_of,
    pages,
    pictures,
    printed,
    run,
    sheet_of,
    tool,
    words,
)

#: Pages of each demo sheet on A4 and Letter.
PRINTS: Final = {
    "pump/job": (1, 1),
    "launch/job": (1, 1),
    "brushsaw/job": (1, 1),
    "pump/worn_out": (1, 1),
}
#: Cylinders of a whole engine, and the pages of its sheet.
PAGES: Final = {1: 1, 2: 1, 4: 1, 8: 2, 16: 3}
_MARGIN: Final = 0.3  # inches at each edge that hold nothing
#: Points of the smallest type, but for what rounding takes.
_SMALLEST: Final = 6.95


def flat(text: str) -> str:
    """A text without any blanks: where lines break is the paper's own business."""
    return "".join(text.split())


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("job", PRINTS)
def test_printed_whole(job: str, paper: Paper, tmp_path: Path) -> None:
    html = sheet_of(job, paper)
    pdf = printed(html, f"{job.replace('/', '_')}_{paper}", tmp_path)
    told = run(tool("pdfinfo"), str(pdf))
    size = re.search(r"Page size: +([\d.]+) x ([\d.]+) pts", told)
    assert size is not None
    assert (float(size[1]), float(size[2])) == pytest.approx(SIZES[paper], abs=1)
    found = pages(pdf)
    assert len(found) == PRINTS[job][PAPERS.index(paper)]
    text = flat("".join(found))
    for said in shown_texts(html):
        assert flat(said) in text, said
    said = code_text(picked(job), DAY.isoformat())
    with Image.open(pictures(pdf, 200)[0]) as first:
        assert [code.text for code in read_barcodes(first.convert("L"))] == [said]
    mark = picked(job).job_fingerprint[:12]
    for number, page in enumerate(found, start=1):
        assert f"page {number} of {len(found)}" in page and mark in page
    legible(pdf)
    for picture in pictures(pdf):
        clear_edges(picture)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("count", PAGES)
def test_pages_of_an_engine(count: int, unit: Unit, paper: Paper, tmp_path: Path) -> None:
    """Bores of the harbour launch, over and over: few pages, with everything on them."""
    job, parts = engine("launch/job", count)
    made = sheet_of_records(job, parts, made_on=DAY, paper=paper, unit=unit)
    pdf = printed(made.html, f"engine_{count}_{unit}_{paper}", tmp_path)
    found = pages(pdf)
    assert len(found) == PAGES[count]
    text = flat("".join(found))
    for said in shown_texts(made.html):
        assert flat(said) in text, said
    order = flat(found[0])
    for said in Read(made.html).tables["Order list"][1]:
        assert flat(said) in order
    legible(pdf)
    for picture in pictures(pdf):
        clear_edges(picture)


@pytest.mark.parametrize("paper", PAPERS)
def test_pistons_not_measured_take_no_page_more(paper: Paper, tmp_path: Path) -> None:
    """Each has a line for both ends of its tolerance."""
    for count, most in ((4, 1), (8, 2)):
        job, parts = engine("pump/job", count)
        made = sheet_of_records(job, parts, made_on=DAY, paper=paper)
        pdf = printed(made.html, f"pump_{count}_{paper}", tmp_path)
        assert len(pages(pdf)) <= most
        text = flat("".join(pages(pdf)))
        assert all(flat(said) in text for said in shown_texts(made.html))
        legible(pdf)
        for picture in pictures(pdf):
            clear_edges(picture)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("count", [4, 8])
def test_three_grooves_and_pistons_not_measured(
    count: int, unit: Unit, paper: Paper, tmp_path: Path
) -> None:
    """Alike cylinders, four on one page, eight on two; cautions are never a page of their own."""
    job, parts = engine("pump/job", count)
    ready, answer = decided(job, parts, rows_back=False)
    assert answer.plan is not None
    grooves = tuple(range(1, 4))
    plan = answer.plan.cylinders[0]
    cylinders = tuple(
        plan.model_copy(
            update={
                "cylinder": other.cylinder,
                "rings": tuple(plan.rings[0].model_copy(update={"groove": g}) for g in grooves),
                "fits": (
                    *(fit for fit in plan.fits if fit.groove is None),
                    *(
                        fit.model_copy(update={"groove": g})
                        for g in grooves
                        for fit in plan.fits
                        if fit.groove == plan.rings[0].groove
                    ),
                ),
            }
        )
        for other in answer.plan.cylinders
    )
    whole = answer.plan.model_copy(update={"cylinders": cylinders})
    answer = answer.model_copy(update={"plan": whole})
    profiles = inline_profiles(ready.job, unit)
    stages = in_stages(answer, parts)
    html = work_sheet(ready.job, answer, stages, profiles, made_on=DAY, paper=paper, unit=unit).html
    pdf = printed(html, f"grooves_{count}_{unit}_{paper}", tmp_path)
    found = pages(pdf)
    assert len(found) <= PAGES[count]
    text = flat("".join(found))
    assert all(flat(said) in text for said in shown_texts(html))
    (last,) = [page for page in found if "Cautions" in page]
    assert "Check before assembly" in last
    legible(pdf)


def shown_texts(html: str) -> list[str]:
    """Texts of a sheet that stand in cells, lists and headings, figures of drawings too."""
    hidden = {"title", "desc"}
    read = Read(html)
    told = {text for tag in hidden for text in re.findall(rf"<{tag}[^>]*>([^<]*)</{tag}>", html)}
    told = {unescape(text).strip() for text in told}
    return [text for text in read.texts if text not in told and text != "html"]


def legible(pdf: Path) -> None:
    """No type is below 7 points, which is read at arm's length, and no word lies on another."""
    for page in words(pdf):
        small = [word.said for word in page if len(word.said) > 1 and word.size < _SMALLEST]
        assert small == []
        rows = sorted(page, key=lambda word: word.top)
        for place, word in enumerate(rows):
            for other in rows[place + 1 :]:
                if other.top > word.bottom:
                    break
                assert not word.on(other), (word.said, other.said)


def clear_edges(picture: Path) -> None:
    """Nothing is drawn at the edges of the paper, and something inside them."""
    with Image.open(picture) as image:
        grey = image.convert("L")
        ink = ImageChops.invert(grey).point(lambda level: 255 if level > 24 else 0).getbbox()
        assert ink is not None, f"{picture.name} is empty"
        edge = _MARGIN * 75
        left, top, right, bottom = ink
        assert left >= edge and top >= edge, picture.name
        assert right <= image.width - edge and bottom <= image.height - edge, picture.name


def test_long_tables_repeat_their_head_and_split_no_row(tmp_path: Path) -> None:
    plan = planned("pump/job")
    line = plan.order[0]
    words = " ".join(f"word{place}" for place in range(40))
    lines = tuple(
        line.model_copy(update={"number": f"P{place:03}", "what": f"<{place}> {words} end{place}."})
        for place in range(60)
    )
    long = plan.model_copy(update={"order": lines})
    answer = picked("pump/job").model_copy(update={"plan": long})
    pdf = printed(html_of(answer, "pump/job"), "long_order", tmp_path)
    found = pages(pdf, laid_out=True)
    held = [
        [place for place in range(60) if re.search(rf"\bP{place:03}\b", page)] for page in found
    ]
    assert [place for places in held for place in places] == list(range(60))
    assert sum(map(bool, held)) > 2
    for page, places in zip(found, held, strict=True):
        if places:
            assert re.search(r"Number +What +Count", page)
        for place in places:
            assert f"<{place}>" in page and f"end{place}." in page  # the whole row


def test_long_names_are_broken_not_cut(tmp_path: Path) -> None:
    """A part number without a blank that no line can hold."""
    number = "".join(f"N{place:03}" for place in range(60))
    plan = planned("brushsaw/job")
    cylinder = plan.cylinders[0]
    fits = tuple(fit.model_copy(update={"part": number}) for fit in cylinder.fits)
    piston = cylinder.piston.model_copy(update={"number": number})
    order = tuple(line.model_copy(update={"number": number}) for line in plan.order)
    changed = cylinder.model_copy(update={"fits": fits, "piston": piston})
    long = plan.model_copy(update={"cylinders": (changed,), "order": order})
    update = {"plan": long, "job": number, "catalogue": number}
    answer = picked("brushsaw/job").model_copy(update=update)
    pdf = printed(html_of(answer, "brushsaw/job"), "long_names", tmp_path)
    text = flat("".join(pages(pdf)))
    assert text.count(number) >= len(order) + 4  # title, catalogue, the piston and its skirt
    for picture in pictures(pdf):
        clear_edges(picture)


@pytest.mark.parametrize("kind", DRAWN)
def test_drawings_in_a_browser(kind: str, tmp_path: Path) -> None:
    """The SVG file by itself: its figures are there and none lies outside the picture."""
    drawing = drawing_of(kind, "launch/job")
    width, height = drawing.figure.get_size_inches()
    page = (
        f"<!doctype html><style>@page {{ size: {width + 1}in {height + 1}in; margin: .5in }} "
        "svg { display: block }</style>" + drawing.inline_svg("drawing")
    )
    pdf = printed(page, f"drawing_{kind}", tmp_path)
    text = flat("".join(pages(pdf)))
    assert len(pages(pdf)) == 1
    for said in Read(drawing.inline_svg("drawing")).texts[2:]:
        assert flat(said) in text
    (picture,) = pictures(pdf)
    clear_edges(picture)
    artefact(f"drawing_{kind}_as_png.png", tmp_path).write_bytes(drawing.png())


def test_guard_and_bar_are_seen_without_colour(tmp_path: Path) -> None:
    """In grey the guard is streaked, the bar dark, and the rest of the window even and light."""
    drawing = fit_bars(planned("brushsaw/job"), "mm")
    target = artefact("fits_grey.png", tmp_path)
    target.write_bytes(drawing.png())
    with Image.open(target) as image:
        grey = image.convert("L")
    grey.save(target)
    (axes,) = drawing.figure.axes
    window, guard = boxes(axes)[0], next(box for box in boxes(axes) if box.get_hatch())
    bar = next(box for box in boxes(axes) if to_hex(box.get_facecolor()) == style.INK)
    looks = {}
    for name, box, share in (("window", window, 0.8), ("guard", guard, 0.5), ("bar", bar, 0.5)):
        left, bottom = box.get_x() + share * box.get_width(), box.get_y() + box.get_height() / 2
        x, y = axes.transData.transform((left, bottom))
        around = grey.crop(
            (int(x) - 6, int(grey.height - y) - 6, int(x) + 6, int(grey.height - y) + 6)
        )
        looks[name] = ImageStat.Stat(around)
    assert looks["window"].stddev[0] < 1 and looks["window"].mean[0] > 220
    assert looks["guard"].stddev[0] > 20
    assert looks["bar"].stddev[0] < 1 and looks["bar"].mean[0] < 60
