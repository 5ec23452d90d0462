"""A catalogue of several families on one screen, doubts of a list told once."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.usecases.tables import review_catalogue
from tests.unit.cli.run import Run, runner

SCREEN = 24


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.setenv("COLUMNS", "80")
    return runner(monkeypatch, capsys)


def folder(tmp_path: Path, families: int) -> Path:
    (tmp_path / "families").mkdir()
    (tmp_path / "catalogue.toml").write_text('name = "counter"\nunits = "mm"\n')
    rows = ["number,family,oversize,for_bore,for_clearance_low,for_clearance_high,price,stock"]
    for at in range(families):
        bore = 50 + at
        sheet = f'family = "F{bore}"\nunits = "mm"\nstandard_bore = {bore}\n'
        (tmp_path / "families" / f"f{bore}.toml").write_text(sheet)
        for size in (0.0, 0.25, 0.5, 1.0):  # 0.75 is skipped
            rows.append(f"A{at}-{size},F{bore},{size},{bore + size},0.04,0.06,50.00,{at % 2}")
    (tmp_path / "pistons.csv").write_text("\n".join(rows) + "\n")
    return tmp_path


@pytest.mark.parametrize("families", [2, 12, 20])
def test_one_screen_for_all(tmp_path: Path, run: Run, families: int) -> None:
    shown = run("catalogue", str(folder(tmp_path, families)))
    lines = shown.out.splitlines()
    assert len(lines) <= SCREEN, shown.out
    assert max(map(len, lines)) <= 80
    assert sum(line.startswith("  F") for line in lines) == families
    assert "4 sizes 50.000 to 51.000, 1 skipped" in shown.out


def test_the_summary_counts_what_each_family_has(tmp_path: Path) -> None:
    place = folder(tmp_path, 3)
    review = review_catalogue(place)
    assert [one.family for one in review.families] == ["F50", "F51", "F52"]
    assert review.counts.pistons == 12
    for one in review.families:
        alone = review_catalogue(place, family=one.family)
        assert one.doubts == len(alone.doubtful)
        assert one.sizes == len(alone.sizes) == 4
        assert set(alone.doubtful) <= set(review.doubtful)
    assert [one.in_stock for one in review.families] == [0, 4, 0]
    assert len(set(review.doubtful)) == len(review.doubtful)


def test_a_doubt_is_told_once_with_its_count(tmp_path: Path, run: Run) -> None:
    place = folder(tmp_path, 2)
    short = run("catalogue", str(place), "--family", "F50").out
    assert short.count("no grooves given") == 1
    assert "and 3 more like it" in " ".join(short.split())
    full = run("catalogue", str(place), "--family", "F50", "--full").out
    assert full.count("no grooves given") == 4
    every = run("catalogue", str(place), "--full").out
    assert every.count("no grooves given") == 8


def test_a_family_without_parts_does_not_hide_the_others(tmp_path: Path) -> None:
    place = folder(tmp_path, 2)
    (place / "families" / "none.toml").write_text(
        'family = "None"\nunits = "mm"\nstandard_bore = 40\n'
    )
    review = review_catalogue(place)
    assert {one.family: one.note for one in review.families} == {
        "F50": "",
        "F51": "",
        "None": "no piston is of this family",
    }


def test_a_folder_that_cannot_be_read_is_refused(tmp_path: Path) -> None:
    place = folder(tmp_path, 2)
    (place / "pistons.csv").write_text("number,oversize\nA,x\n")
    with pytest.raises(InputError, match=r"empty|number"):
        review_catalogue(place)


def test_an_unknown_family_names_a_near_one(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="did you mean 'F51'"):
        review_catalogue(folder(tmp_path, 3), family="F511")
