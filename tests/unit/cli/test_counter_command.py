"""The command `counter`: how long its answer is, and what it takes to ask."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from fitsolver.reporting.counter_view import _in_room, _Said

from .run import DEMOS, Run

PUMP = DEMOS / "pump"
#: Lines and columns that the answer has at most, keystrokes that the question takes.
LINES, COLUMNS, KEYS = 25, 80, 40


@pytest.mark.parametrize("count", [1, 2, 4, 8, 16])
@pytest.mark.parametrize("unit", ["mm", "um", "in", "thou"])
def test_the_answer_is_short_for_any_number_of_cylinders(run: Run, count: int, unit: str) -> None:
    sizes = [f"{62 + 0.013 * n:.3f}" for n in range(count)]
    done = run("counter", "p62", *sizes, "-c", PUMP, "-u", unit)
    assert done.code in (0, 3), done.err
    shown = done.out.splitlines()
    assert len(shown) <= LINES
    assert max(map(len, shown)) <= COLUMNS


def test_a_question_takes_few_keystrokes() -> None:
    assert len("fitsolver counter heron54 54.12\n") <= KEYS


def test_rows_left_out_as_doubted_are_told(run: Run, tmp_path: Path) -> None:
    """As `pick` tells them: the row, what is left out with it, and what was doubted."""
    shutil.copytree(PUMP, tmp_path / "pump")
    rings = tmp_path / "pump" / "rings.csv"
    rows = rings.read_text(encoding="utf-8").splitlines()
    at = next(n for n, row in enumerate(rows) if row.startswith("PR1-050,"))
    rows[at] = rows[at].replace("62.50", "62.70")
    rings.write_text("\n".join(rows), encoding="utf-8")
    sizes = [f"{62 + 0.013 * n:.3f}" for n in range(8)]
    done = run("counter", "p62", *sizes, "-c", tmp_path / "pump")
    shown = done.out.splitlines()
    assert len(shown) <= LINES
    told = next(line for line in shown if line.startswith("Doubted"))
    assert "3 rows left out" in told and "PR1-050" in " ".join(shown)
    answer = json.loads(run("counter", "p62", "62.31", "-c", tmp_path / "pump", "--json").out)
    (said,) = answer["doubted"]
    assert said.startswith("PR1-050 is left out, and with it PK-050A, PK-050B (")
    assert "gauge_diameter: 62.7 mm" in said
    assert answer["set_aside"] == 3


def test_what_is_doubtful_of_what_it_sells_is_told(run: Run, tmp_path: Path) -> None:
    """Pistons of which no groove is given: no ring is chosen, and the counter says so."""
    shutil.copytree(PUMP, tmp_path / "pump")
    pistons = tmp_path / "pump" / "pistons.csv"
    rows = [row.split(",") for row in pistons.read_text(encoding="utf-8").splitlines()]
    kept = [at for at, name in enumerate(rows[0]) if not name.startswith("groove")]
    text = "\n".join(",".join(row[at] for at in kept) for row in rows)
    pistons.write_text(text, encoding="utf-8")
    (tmp_path / "pump" / "kits.csv").unlink()
    shown = run("counter", "p62", "62.31", "-c", tmp_path / "pump").out.splitlines()
    assert len(shown) <= LINES
    assert any(line.startswith("Doubtful, look up: PP-") for line in shown)
    assert "no grooves given: no ring is chosen" in " ".join(" ".join(shown).split())


def test_a_catalogue_without_routes_says_so(run: Run, tmp_path: Path) -> None:
    """Else 'bore too small' at every size would read as if nothing were sold for it."""
    shutil.copytree(PUMP, tmp_path / "pump")
    for name in ("routes.csv", "stages.csv", "shop.toml"):
        (tmp_path / "pump" / name).unlink()
    shown = run("counter", "p62", "62.31", "-c", tmp_path / "pump").out.splitlines()
    assert len(shown) <= LINES
    assert any(line.startswith("No work is known here for iron") for line in shown)


@pytest.mark.parametrize("typed", ["-0.10", "-.1", "-0,10mm"])
def test_a_bore_below_standard_is_asked_for_whole(run: Run, typed: str) -> None:
    done = run("counter", "p62", typed, "-c", PUMP)
    assert done.code == 2
    assert done.err.startswith("fitsolver: field 'size': a bore below standard is typed whole")
    assert typed in done.err and len(done.err.splitlines()) == 1


def test_a_cut_too_deep_names_its_work(run: Run, tmp_path: Path) -> None:
    """Several works may cut: which one misses by so much is told in the line of the size."""
    shutil.copytree(PUMP, tmp_path / "pump")
    routes = tmp_path / "pump" / "routes.csv"
    text = routes.read_text(encoding="utf-8")
    kept = [row for row in text.splitlines() if not row.startswith(("bore and", "new liner"))]
    routes.write_text("\n".join(kept), encoding="utf-8")
    (tmp_path / "pump" / "stages.csv").unlink()
    (tmp_path / "pump" / "shop.toml").unlink()
    asked = ("counter", "p62", "62.05", "-c", tmp_path / "pump")
    answer = json.loads(run(*asked, "--json").out)
    missed = [line for line in answer["lines"] if line["short"].startswith("cut ")]
    assert missed and {line["work"] for line in missed} == {"rough and finish hone"}
    shown = [line for line in run(*asked).out.splitlines() if " too deep" in line]
    assert len(shown) == len(missed) and all("no  rough and" in line for line in shown)
    two = run("counter", "p62", "62.05", "62.07", "-c", tmp_path / "pump").out
    assert re.search(r"too deep +no +rough .*, cyl\. 1", two)


def test_a_plated_bore_has_its_caution(run: Run, tmp_path: Path) -> None:
    """And no advice to list work for it; the answer keeps its lines."""
    shutil.copytree(PUMP, tmp_path / "pump")
    sheet = tmp_path / "pump" / "family.toml"
    text = sheet.read_text(encoding="utf-8")
    assert 'material = "iron"' in text
    sheet.write_text(text.replace('material = "iron"', 'material = "plated"'), encoding="utf-8")
    shown = run("counter", "p62", "62.01", "-c", tmp_path / "pump").out.splitlines()
    assert len(shown) <= LINES
    assert sum("Plated bore: no ordinary hone past the plating" in line for line in shown) == 1
    assert "No work is known here for plated: bores are answered as they are." in shown
    assert not any("routes.csv" in line for line in shown)


def test_a_catalogue_is_looked_through_by_enough_of_its_family(run: Run) -> None:
    folder = DEMOS / "workshop" / "catalogue"
    assert "pump engine W52" in run("catalogue", folder, "--family", "w52").out
    assert run("catalogue", folder, "--family", "nosuch").code == 2


def test_every_figure_is_in_the_unit_asked_for(run: Run) -> None:
    """In the reason, in what is in the way and in what to measure too."""
    words = ("counter", "h35", "3.507", "-c", DEMOS / "launch")
    shown = run(*words, "-u", "mm").out
    assert "lengths in mm" in shown
    assert not re.search(r"\b[0-4]\.\d{4}\b", shown), shown  # four decimals are inches
    assert json.loads(run(*words, "-u", "mm", "--json").out)["unit"] == "in"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("62.31", "p62"), "the family comes first, then the bores; found: 62.31; allowed: p62 62"),
        (("p62", "62.31", "cm"), "unknown unit; found: cm"),
        (("p62", "62.31,62.4"), "several bores stand apart, with blanks"),
    ],
)
def test_slips_of_the_question(run: Run, words: tuple[str, ...], said: str) -> None:
    done = run("counter", *words, "-c", PUMP)
    assert (done.code, done.out) == (2, "")
    assert said in done.err


def test_a_folder_or_table_that_is_not_there_is_named_with_a_near_one(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(PUMP, tmp_path / "shelf")
    shop = tmp_path / "shop.toml"
    shop.write_text('name = "a"\nunits = "mm"\ncatalogue = "shlf"\n', encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    assert "(did you mean 'shelf'?)" in run("counter", "p62", "62.31", "-c", "shlf").err
    assert "shop.toml, field 'catalogue': there is no such" in run("counter", "p62", "62.31").err
    shop.write_text('name = "a"\nunits = "mm"\ncatalogue = "shelf"\nroutes = "shelf/rotes.csv"\n')
    said = run("counter", "p62", "62.31").err
    assert "shop.toml, field 'routes': there is no such file or folder" in said
    assert "(did you mean 'routes.csv'?)" in said
    shop.write_text('name = "a"\nunits = "mm"\ncatalogue = "shelf"\nfinish.how = "soon"\n')
    assert "shop.toml, [finish], field 'how'" in run("counter", "p62", "62.31").err


def test_a_size_of_a_catalogue_in_mm_is_told_in_inches(run: Run) -> None:
    """The reason names the other size as its line of the table does."""
    shown = run("counter", "p62", "62.31", "-c", PUMP, "-u", "in").out
    assert re.search(r"^Why: .* with \+0\.\d{4}\.", shown, re.MULTILINE)
    assert " mm" not in shown


def test_sentences_are_cut_at_a_word_and_only_where_lines_lack(run: Run) -> None:
    few = run("counter", "p62", "62.31", "62.33", "-c", PUMP).out
    assert "..." not in few
    whole = " ".join(f"ABC-{n:03}" for n in range(60))
    first, last = _in_room([_Said("first", 1), _Said(whole, 2)], 3)
    assert first == "first" and last.endswith(" ...") and last.count("\n") == 1
    assert set(last.split()[:-1]) <= set(whole.split())
    assert max(map(len, last.splitlines())) <= COLUMNS - 2
    assert _in_room([_Said("first", 1), _Said(whole, 2)], 99)[1].split() == whole.split()


def test_a_bore_that_fits_the_largest_size_is_not_past_it(run: Run) -> None:
    assert "the largest size is +1." in run("counter", "p62", "63.00", "-c", PUMP).out
    assert "past the largest size, +1." in run("counter", "p62", "63.08", "-c", PUMP).out


def test_a_bore_little_past_the_clearance_as_made_is_no_mere_refusal(
    run: Run, tmp_path: Path
) -> None:
    """A run-in bore: no wear limit is known, or how far the sheet's takes it; never of far ones."""
    (tmp_path / "pistons.csv").write_text(
        "number,family,oversize,for_bore,for_clearance_low,for_clearance_high,price,stock\n"
        "SA-0,Saw 44,0,44.700,0.030,0.060,39.00,2\n",
        encoding="utf-8",
    )
    (tmp_path / "catalogue.toml").write_text(
        'name = "Saws"\nunits = "mm"\ncurrency = "EUR"\n', encoding="utf-8"
    )
    sheet = (
        'family = "Saw 44"\nunits = "mm"\nstandard_bore = 44.70\n'
        'each_cylinder = { material = "iron" }\n'
        '[[window]]\nfit = "clearance"\nlow = 0.030\nhigh = 0.060\n'
    )

    def why(bore: str, more: str = "") -> str:
        (tmp_path / "family.toml").write_text(sheet + more, encoding="utf-8")
        done = run("counter", "saw", bore, "-c", tmp_path)
        assert done.code == 3, done.err
        return " ".join(done.out.split())

    unknown = "a wear limit is not known: state service_high in the family's sheet"
    assert why("44.705").count(unknown) == 1
    assert unknown not in why("44.90")
    assert "wear limit takes a bore to 44.740" in why("44.705", "service_high = 0.1\n")
