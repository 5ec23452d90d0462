"""`fitsolver book ...`: what it says, its documents, its exit codes, what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fitsolver.records.book import FoundAnswer, HistoryAnswer
from fitsolver.reporting.schema import to_json
from tests.unit.cli.run import DEMOS, Ran, Run, runner

LADDER = DEMOS / "pump" / "ladder.toml"
LOG = "1, 10, 180, 20, 10 thrust 62.100, 70 pin 62.080\n1, 12, 180\n"


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], file: str) -> Run:
    """Run the command line in this process, with a book of its own."""
    monkeypatch.setenv("FITSOLVER_BOOK", file)
    return runner(monkeypatch, capsys)


@pytest.fixture
def liner(tmp_path: Path) -> Path:
    """The demonstration liner, with a marking."""
    text = LADDER.read_text(encoding="utf-8")
    text = text.replace('\nname = "1"', '\nname = "1"\nmarking = "liner 12"')
    text = text.replace('catalogue = "."', f'catalogue = "{DEMOS / "pump"}"')
    job = tmp_path / "liner.toml"
    job.write_text(text, encoding="utf-8")
    return job


def key(ran: Ran) -> str:
    """The key that an answer begins with."""
    assert (ran.code, ran.err) == (0, "")
    return ran.out.split()[0]


def test_a_job_with_its_plan_its_passes_and_parts(run: Run, liner: Path) -> None:
    added = run("book", "add", liner, "--date", "2024-05-02")
    assert added.out.endswith("job of 2024-05-02: liner 12\n")
    assert "was there already" in run("book", "add", liner, "--date", "2024-05-02").out
    liner.with_suffix(".hone").write_text(LOG, encoding="utf-8")
    assert run("book", "passes", liner, "--date", "2024-05-03").out.count("\n") == 2
    again = run("book", "passes", liner, "--date", "2024-05-04")
    assert again.out.count("was there already") == 2
    key(run("book", "fit", "liner 12", "--piston", "PP-025A", "--skirt", "62.18", "--ring", "R1"))
    shown = run("book", "history", "liner 12").out
    assert "62.064" in shown and "62.100" in shown and "fitted: PP-025A (skirt 62.180)" in shown
    picked = run("pick", liner, "--json").out
    assert run("book", "show", key(added), "plan").out == picked


def test_a_plan_that_was_written_before(run: Run, liner: Path, tmp_path: Path) -> None:
    answer = tmp_path / "plan.json"
    run("pick", liner, "--json", "--output", answer)
    added = key(run("book", "add", liner, "--plan", answer, "--date", "2024-05-02"))
    assert run("book", "show", added, "plan").out == answer.read_text(encoding="utf-8")
    assert run("book", "add", liner, "--plan", answer, "--no-plan").code == 2


def test_readings_alone_need_no_catalogue(run: Run, liner: Path) -> None:
    text = "\n".join(
        line for line in liner.read_text().splitlines() if not line.startswith("catalogue")
    )
    liner.write_text(text)
    assert run("book", "add", liner).code == 2
    added = key(run("book", "add", liner, "--no-plan"))
    assert list(json.loads(run("book", "show", added).out)) == ["job"]


def test_a_final_check(run: Run, tmp_path: Path) -> None:
    text = (DEMOS / "brushsaw" / "finished.toml").read_text(encoding="utf-8")
    text = text.replace('{ name = "1",', '{ name = "1", marking = "saw 3",')
    assert 'marking = "saw 3"' in text
    done = tmp_path / "done.toml"
    done.write_text(text.replace('catalogue = "."', f'catalogue = "{DEMOS / "brushsaw"}"'))
    ran = run("book", "final", done, "--date", "2026-02-01")
    passes = run("final", done).code == 0
    assert ran.out.endswith("The final check passes.\n" if passes else "does not pass.\n")
    shown = " ".join(run("book", "history", "saw 3").out.split())
    assert "known by" in shown and "check, " in shown and ("does not pass" in shown) != passes


def test_documents(run: Run, liner: Path) -> None:
    key(run("book", "add", liner, "--date", "2024-05-02"))
    history = run("book", "history", "liner 12", "--json").out
    assert to_json(HistoryAnswer.model_validate_json(history)) == history
    found = run("book", "search", "liner", "--json", "--kind", "job", "--until", "2024-05-02").out
    assert to_json(FoundAnswer.model_validate_json(found)) == found
    assert len(json.loads(found)["lines"]) == 1
    assert "nothing" in run("book", "search", "liner", "--since", "2024-05-03").out


def test_withdraw_export_import(run: Run, liner: Path, tmp_path: Path) -> None:
    added = key(run("book", "add", liner, "--date", "2024-05-02"))
    gone = run("book", "withdraw", added, "--reason", "a try", "--date", "2024-05-03")
    assert gone.out.endswith("withdrawal of 2024-05-03\n")
    file = tmp_path / "all.jsonl"
    assert run("book", "export", file).code == 0
    assert run("book", "export", file).code == 2  # nothing is overwritten
    other = tmp_path / "other.sqlite"
    assert run("book", "import", file, "--book", other).out.startswith("Added: 2.")
    assert run("book", "import", file).out == "Added: 0. In the book already: 2.\n"


def test_nothing_is_written_into_the_book_unless_asked(run: Run, liner: Path, file: str) -> None:
    for command in ("pick", "ladder", "bore", "plan"):
        assert run(command, liner).code == 0
    assert not Path(file).exists()


def test_what_is_refused(run: Run, liner: Path, tmp_path: Path, file: str) -> None:
    for words in (
        ("history", "liner 12"),
        ("search",),
        ("show", "12345678"),
        ("export", tmp_path / "new.jsonl"),
        ("withdraw", "12345678", "--reason", "x"),
        ("fit", "liner 12", "--piston", "P"),
        ("passes", liner),
    ):
        assert run("book", *words).code == 2
    assert not Path(file).exists() and not (tmp_path / "new.jsonl").exists()
    key(run("book", "add", liner, "--date", "2024-05-02"))
    before = Path(file).read_bytes()
    nonsense = tmp_path / "nonsense.jsonl"
    nonsense.write_bytes(b"\xff\xfe\x00nonsense")
    refusals = {
        ("add", LADDER): "marking",
        ("add", liner, "--date", "2.5.2024"): "2.5.2024",
        ("add", liner, "--date", "2024-06-01"): "holds this job already",
        ("history", "liner 21"): "did you mean 'liner 12'",
        ("show", "zz"): "no such entry",
        ("show", "0000"): "no such entry",
        ("import", nonsense): "no text",
        ("import", LADDER): "row 1",
        ("import", tmp_path / "none"): "no such file",
        ("fit", "liner 12"): "no part is named",
        ("fit", "liner 12", "--skirt", "wide"): "skirt",
        ("passes", liner, "--log", tmp_path / "none"): "holds no pass",
        ("search", "--book", LADDER): "not a SQLite file",
        ("search", "--book", "ftp://host/book"): "no place for a book",
    }
    for words, said in refusals.items():
        ran = run("book", *words)
        assert ran.code == 2 and said in " ".join(ran.err.split()), ran.err
    assert Path(file).read_bytes() == before


def test_the_book_s_wear_in_the_ladder(run: Run, liner: Path, tmp_path: Path) -> None:
    liner.with_suffix(".hone").write_text(LOG, encoding="utf-8")
    key(run("book", "add", liner, "--date", "2021-05-02"))
    assert run("book", "passes", liner, "--date", "2021-05-03").code == 0
    later = tmp_path / "later.toml"
    text = liner.read_text(encoding="utf-8").replace("62.064", "62.121")
    text = text.replace("format = 1", 'format = 1\naccept = ["reading 1"]')
    later.write_text(text.replace("wear_per_rebuild = 0.010", ""), encoding="utf-8")
    key(run("book", "add", later, "--date", "2024-05-02"))
    answer = json.loads(run("book", "ladder", later, "--json").out)
    told = answer["cylinders"][0]["earlier_wear"]
    assert (told["count"], told["mean"]) == (1, 2_100)  # 62.121 less 62.100
    assert answer["cylinders"][0]["wear_per_rebuild"] == told["most"]
    assert answer["cylinders"][0]["wear_source"] == "earlier records"
    assert answer["cautions"][0] == "Cylinder 1: the earlier record is the book's."
    assert answer["cylinders"] != json.loads(run("ladder", later, "--json").out)["cylinders"]
    # Pasted into the job, the same records give the same figures.
    pasted = run("book", "earlier", later)
    assert (pasted.code, pasted.err) == (0, "")
    with later.open("a", encoding="utf-8") as file:
        file.write(pasted.out)
    assert answer["cylinders"] == json.loads(run("ladder", later, "--json").out)["cylinders"]
    # What the job states outranks what the book knows.
    later.write_text(text.replace("= 0.010", "= 0.777"), encoding="utf-8")
    stated = json.loads(run("book", "ladder", later, "--json").out)
    assert stated["cylinders"][0]["wear_per_rebuild"] == 77_700
    assert "the wear that the job states counts" in stated["cautions"][0]


def test_no_wear_to_hand_over(run: Run, liner: Path) -> None:
    key(run("book", "add", liner, "--date", "2021-05-02"))
    ran = run("book", "earlier", liner)
    assert (ran.code, ran.out) == (2, "")
    assert "the book knows no wear of these cylinders" in ran.err
    assert "allowed: " in ran.err
