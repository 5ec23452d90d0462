"""Every drawing: equal bytes, whole files, a text alternative, nothing from outside."""

from __future__ import annotations

import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import matplotlib as mpl
import pytest
from PIL import Image

from fitsolver import plots
from tests.unit.reporting.demos import picked

from .drawn import MAKERS, SVG, drawing_of, honed, laddered, path, ready, references, words

PRINTED = """
import sys
from fitsolver import plots
from fitsolver.usecases import files as service
found = service.ladder(sys.argv[1])
sys.stdout.buffer.write(plots.size_ladder(found).svg())
sys.stderr.write(str("matplotlib.pyplot" in sys.modules))
"""


@pytest.mark.parametrize("kind", MAKERS)
def test_equal_records_give_equal_bytes(kind: str) -> None:
    first, second = drawing_of(kind, "pump/job"), MAKERS[kind]("pump/job")
    svg = second.svg()
    assert first.png() == second.png()
    assert first.svg() == svg == second.svg()  # also after the other form was written


def test_bytes_do_not_depend_on_settings_or_process(tmp_path: Path) -> None:
    """Another process, another hash seed, and a user who likes large red text."""
    (tmp_path / "matplotlibrc").write_text("font.size: 30\ntext.color: red\nsvg.fonttype: path\n")
    surroundings = {**os.environ, "MPLCONFIGDIR": str(tmp_path), "PYTHONHASHSEED": "7"}
    done = subprocess.run(
        [sys.executable, "-c", PRINTED, str(path("pump/ladder"))],
        capture_output=True,
        env=surroundings,
        cwd=path("pump/job").parents[2],
        check=True,
        timeout=120,
    )
    assert done.stdout == plots.size_ladder(laddered("pump/ladder")).svg()
    assert done.stderr.decode().endswith("False")  # no global figures


def test_settings_are_left_as_they_were() -> None:
    before = dict(mpl.rcParams)
    drawing_of("fits", "brushsaw/job").png()
    assert dict(mpl.rcParams) == before


@pytest.mark.parametrize("kind", MAKERS)
def test_svg_is_whole_dateless_and_told_in_words(kind: str) -> None:
    drawing = drawing_of(kind, "pump/job")
    text = drawing.svg().decode("utf-8")
    tree = ElementTree.fromstring(text)
    assert tree.tag == f"{SVG}svg"
    assert tree.get("role") == "img"
    told = {tree.get("aria-labelledby"): drawing.title}
    told[tree.get("aria-describedby")] = drawing.description
    for node in tree[:2]:
        assert told[node.get("id")] == node.text
    assert drawing.title and "on diameter" in drawing.title
    assert "Cylinder 1" in drawing.description and "mm" in drawing.description
    assert "20" not in tree.get("date", "") and "<dc:date" not in text
    addresses = {part.split('"')[0] for part in text.split("http")[1:]}
    assert addresses <= {"://www.w3.org/2000/svg", "://www.w3.org/1999/xlink"}


def test_png_is_sharp_and_carries_its_text() -> None:
    drawing = drawing_of("fits", "pump/job")
    with Image.open(BytesIO(drawing.png())) as image:
        assert image.format == "PNG"
        assert image.width == 1400  # 7 in of 200 dots
        assert image.text["Title"] == drawing.title  # type: ignore[attr-defined]
        assert image.text["Description"] == drawing.description  # type: ignore[attr-defined]
        assert set(image.text) == {"Title", "Description"}  # type: ignore[attr-defined]


def test_several_stand_in_one_page() -> None:
    """Ids are unique over two elements, and every reference finds its id in its own."""
    drawing = drawing_of("profile", "pump/job")
    first, second = drawing.inline_svg("a"), drawing.inline_svg("b")
    assert first.startswith("<svg") and "<style" not in first
    ids, used = references(first)
    others, _ = references(second)
    assert used and used <= set(ids)
    assert len(ids + others) == len(set(ids + others))


def test_names_are_text_and_nothing_else() -> None:
    name = "<script>alert(1)</script> & $x^2$ \x1b\x07"
    job = ready("pump/job")
    cylinders = tuple(c.model_copy(update={"name": name}) for c in job.cylinders[:1])
    ports = (cylinders[0].ports[0].model_copy(update={"name": name}),)
    cylinders = (cylinders[0].model_copy(update={"ports": ports}),)
    forms = (picked("pump/job").forms[0].model_copy(update={"cylinder": name}),)
    changed = job.model_copy(update={"name": name, "cylinders": cylinders})
    drawing = plots.bore_profile(changed, forms)
    text = drawing.svg().decode("utf-8")
    assert "<script" not in text and "\x1b" not in text
    assert words(text).count("<script>alert(1)</script> & $x^2$ ··") >= 4
    drawing.png()


def test_the_hone_log_is_drawn_alike(tmp_path: Path) -> None:
    answer = honed(tmp_path)
    assert plots.hone_log(answer).svg() == plots.hone_log(answer).svg()
    assert plots.hone_log(answer).png() == plots.hone_log(answer).png()


def test_threads_may_draw_at_once() -> None:
    alone = drawing_of("ladder", "pump/job").svg()
    with ThreadPoolExecutor(4) as pool:
        drawn = pool.map(lambda _: MAKERS["ladder"]("pump/job").svg(), range(8))
    assert set(drawn) == {alone}
