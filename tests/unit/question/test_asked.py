"""Every fit that the parts form is asked or left open by name; what is missing comes at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.choices.asked import Place, missing, question
from fitsolver.page.bench import on_the_bench
from fitsolver.page.shelf import Shelf
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.job_file import read_job
from fitsolver.reading.toml_file import parse_toml
from fitsolver.usecases import files as service
from fitsolver.usecases import tables

from ..reading.files import CYLINDER, HEAD, catalogue_files, job_file

CLEARANCE = '[[window]]\nfit = "clearance"\nlow = 0.05\nhigh = 0.08\n'
GAP = '[[window]]\nfit = "end_gap"\nlow = 0.2\nhigh = 0.6\n'
FORM = '[[window]]\nfit = "out_of_round"\nhigh = 0.03\n[[window]]\nfit = "taper"\nhigh = 0.05\n'
SQUISH = "[squish]\nmeasured = 0.81\nold_gaskets = 0.75\nold_compression_height = 34\n"
TOP = HEAD + 'catalogue = "shelf"\n'


def job(folder: Path, text: str, top: str = "") -> Path:
    catalogue_files(folder)
    return job_file(folder, TOP + top + text + CYLINDER)


def lacking(folder: Path, text: str, top: str = "") -> list[str]:
    path = job(folder, text, top)
    found = missing(read_job(path), read_catalogue(folder / "shelf"))
    return [place.name for place in found]


def test_a_whole_question_lacks_nothing(tmp_path: Path) -> None:
    assert lacking(tmp_path, CLEARANCE + GAP + FORM) == []
    assert service.pick(job(tmp_path, CLEARANCE + GAP + FORM)).question.not_asked == (
        "side clearance 1",
    )


def test_everything_is_missing(tmp_path: Path) -> None:
    every = ["clearance", "end_gap 1", "squish", "out_of_round", "taper"]
    assert lacking(tmp_path, SQUISH) == every


@pytest.mark.parametrize(
    ("text", "top", "left"),
    [
        (GAP + FORM, "", ["clearance"]),
        (GAP + FORM, 'no_window = ["clearance"]\n', []),
        (CLEARANCE + FORM, 'no_window = ["end_gap"]\n', []),
        (CLEARANCE + FORM, 'no_window = ["end_gap 1"]\n', []),
        (CLEARANCE + GAP, 'no_window = ["out_of_round"]\n', ["taper"]),
        (CLEARANCE + GAP, '[finish]\nroutes = ["hone"]\n', []),
        (CLEARANCE + GAP, '[finish]\nhow = "already finished"\n', ["out_of_round", "taper"]),
        (CLEARANCE + GAP + FORM + SQUISH, "", ["squish"]),
    ],
)
def test_what_is_left_open_is_not_missing(
    tmp_path: Path, text: str, top: str, left: list[str]
) -> None:
    assert lacking(tmp_path, text, top) == left


def test_service_limits_alone_ask_nothing_of_new_parts(tmp_path: Path) -> None:
    kept = '[[window]]\nfit = "clearance"\nservice_high = 0.12\n'
    assert lacking(tmp_path, kept + GAP + FORM) == ["clearance"]
    path = job(tmp_path, kept + GAP + FORM)
    text = path.read_text(encoding="utf-8") + 'piston = "P-0"\npiston_kept = true\n'
    path.write_text(text, encoding="utf-8")
    assert missing(read_job(path), read_catalogue(tmp_path / "shelf")) == {}


def test_a_window_of_one_cylinder_does_not_answer_for_the_other(tmp_path: Path) -> None:
    path = job(tmp_path, GAP + FORM)
    own = CLEARANCE.replace("[[window]]", "[[cylinder.window]]")
    second = CYLINDER.replace('"1"', '"2"')
    path.write_text(path.read_text(encoding="utf-8") + own + second, encoding="utf-8")
    whole, parts = read_job(path), read_catalogue(tmp_path / "shelf")
    assert missing(whole, parts) == {Place("clearance"): ("2",)}
    assert "clearance (cylinder 2)" in question(whole, parts).not_asked


@pytest.mark.parametrize(
    "verb",
    [
        service.pick,
        service.why,
        service.part_sets,
        service.machining_plan,
        service.alternatives,
        service.final,
        service.hone,
        service.firm,
    ],
    ids=lambda verb: verb.__name__,
)
def test_every_verb_refuses_with_one_list(tmp_path: Path, verb: object) -> None:
    path = job(tmp_path, "")
    with pytest.raises(InputError) as caught:
        verb(path)  # type: ignore[operator]
    text = str(caught.value)
    assert text.startswith(str(path))
    for said in ("clearance", "end gap 1", "out-of-round", "taper", "ring maker's box"):
        assert said in text
    assert 'no_window = ["clearance", "end_gap 1", "out_of_round", "taper"]' in text


def test_screening_refuses_it_too(tmp_path: Path) -> None:
    path = job(tmp_path, "")
    table = tmp_path / "bores.csv"
    table.write_text("name,largest,smallest\n1,62.1,62.09\n", encoding="utf-8")
    with pytest.raises(InputError, match="no window"):
        tables.screen(table, tmp_path / "shelf", path)


def test_the_page_says_it(tmp_path: Path) -> None:
    text = job(tmp_path, "").read_text(encoding="utf-8")
    content = parse_toml(text.replace('"shelf"', '"here"'), Path("job"))
    shelf = Shelf({"here": tmp_path / "shelf"}, tmp_path / "up")
    bench = on_the_bench(content, shelf)
    assert bench.job is None
    assert "clearance: a window, or left open" in {lack.said for lack in bench.lacks}


@pytest.mark.parametrize(
    ("listed", "found"),
    [
        ('["squish 1"]', "squish 1"),
        ('["end_gap 0"]', "end_gap 0"),
        ('["end_gap x"]', "end_gap x"),
        ('["endgap"]', "endgap"),
        ('["clearance"]', "clearance"),
    ],
)
def test_what_cannot_be_left_open(tmp_path: Path, listed: str, found: str) -> None:
    path = job(tmp_path, CLEARANCE, f"no_window = {listed}\n")
    with pytest.raises(InputError) as caught:
        read_job(path)
    assert caught.value.field == "no_window"
    assert found in str(caught.value)
