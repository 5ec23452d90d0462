"""Questions of `intake` on a terminal and without one, and `--undo` without a list."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pytest

from fitsolver.base.errors import InputError
from fitsolver.cli.intake_asking import Given, answered, ask_all, told_by
from fitsolver.records.intake import Asked, IntakeAnswer
from fitsolver.usecases.intake import intake

from .run import ROOT

LIST = """Part no;Description;Engine;List price;Trade price;Stock
K-1;Dugattyú 54.00 STD (A);P54;50.00;40.00;2
K-2;Dugattyú 54.00 +0.25 (A);P54;52.50;41.00;0
"""


def question(key: str) -> Asked:
    return Asked(key=key, question="?", option="--x", line="x = 1")


@pytest.mark.parametrize(
    ("key", "answer", "field", "value"),
    [
        ("column price", "Net", "columns", {"price": "Net"}),
        ("column stock", "-", "columns", {"stock": ""}),
        ("kind dugattyu", "piston kit", "kinds", {"dugattyu": "piston kit"}),
        ("kind dugattyu", "-", "kinds", {"dugattyu": "none"}),
        ("lead_days", "none", "stock_only", True),
        ("lead_days", "6", "lead_days", 6),
        ("decimal", "comma", "decimal", ","),
        ("currency", "EUR", "currency", "EUR"),
        ("clearance", "0.045 0.055", "clearance", {"": (4_500, 5_500)}),
        ("clearance", "P62: 0.045 0.055", "clearance", {"P62": (4_500, 5_500)}),
        ("standard_bore Tug V8", "4.000 in", "standard_bore", {"Tug V8": 10_160_000}),
        ("units", "in", "units", "in"),
        ("skip Info", "description", "columns", {"description": "Info"}),
    ],
)
def test_an_answer(key: str, answer: str, field: str, value: object) -> None:
    assert getattr(told_by(answered(Given(), question(key), answer)), field) == value


@pytest.mark.parametrize(
    ("key", "answer"),
    [
        ("kind dugattyu", "wheel"),
        ("lead_days", "soon"),
        ("decimal", ";"),
        ("clearance", "wide"),
        ("column family", "-"),
        ("column description", "Itme"),
        ("column description", "25"),
        ("standard_bore Tug V8", "4.000"),  # without a unit in mm
        ("standard_bore Tug V8", "wide"),
        ("skip Item", "y=Item"),
        ("currency", "trade"),
    ],
)
def test_an_answer_that_is_none(key: str, answer: str) -> None:
    with pytest.raises(InputError) as refused:
        answered(Given(), question(key), answer, ("Part no.", "Item"))
    assert "--" not in str(refused.value)  # nobody typed an option


def test_a_mistyped_heading_is_told_with_the_nearest() -> None:
    with pytest.raises(InputError) as refused:
        answered(Given(), question("column description"), "Itme", ("Part no.", "Item"))
    said = "no such heading: Itme (did you mean 'Item'?); allowed: Part no., Item"
    assert str(refused.value) == said


@pytest.mark.parametrize(
    ("key", "words", "proposed", "answer", "kinds"),
    [
        ("kind piston", "Do rings come with 'piston'?", "", "y", {"piston": "piston kit"}),
        ("kind piston", "Do rings come with 'piston'?", "", "No", {"piston": "piston"}),
        ("kind orig", "Does it mean none: standard?", "standard", "Y", {"orig": "standard"}),
        ("kind orig", "Does it mean none: standard?", "standard", "n", {}),
    ],
)
def test_yes_and_no(
    key: str, words: str, proposed: str, answer: str, kinds: dict[str, str]
) -> None:
    asked = Asked(key=key, question=words, option="--x", line="x = 1", proposed=proposed)
    assert told_by(answered(Given(), asked, answer)).kinds == kinds


def on_a_terminal(folder: Path, text: str, dialogue: tuple[tuple[str, str], ...]) -> Any:
    """Run `intake` of a list at a pseudo terminal; each answer after the words it is given to."""
    pexpect: Any = pytest.importorskip("pexpect")
    (folder / "list.csv").write_text(text)
    child = pexpect.spawn(
        sys.executable,
        ["-m", "fitsolver", "intake", str(folder / "list.csv"), "--into", str(folder / "s")],
        cwd=str(ROOT), encoding="utf-8", timeout=60, dimensions=(200, 200),
    )  # fmt: skip
    for words, answer in dialogue:
        child.expect(words)
        child.sendline(answer)
    child.expect(pexpect.EOF)
    child.close()
    return child


@pytest.mark.skipif(sys.platform == "win32", reason="no pseudo terminal")
def test_asked_on_a_terminal(tmp_path: Path) -> None:
    child = on_a_terminal(
        tmp_path,
        LIST,
        (
            (r"holds the price.*none of them\).*sure\) \[List price\]", "Trade prise"),
            (r"no such heading: Trade prise \(did you mean 'Trade price'", ""),  # the proposal
            ("which currency", "EUR"),
            ("how many days", ""),  # nothing is proposed: told, and asked again
            ("An answer is needed: a number of days, or none", "6"),
            ("What is 'dugattyu'", "piston kit"),
            ("Which clearance", "0.045 0.055"),
            ("Take 2 rows in", ""),
        ),
    )
    # The report stands before the question; after it only what was taken in and what is next.
    assert child.before.split()[2:4] == ["TAKEN", "IN"]
    assert "fitsolver counter P54 std" in child.before and len(child.before.splitlines()) < 6
    assert child.exitstatus == 0
    assert "K-1,P54,0,54,0.045,0.055,A,50.00,2,6" in (tmp_path / "s/pistons.csv").read_text()
    assert 'dugattyu = "piston kit"' in (tmp_path / "s" / "intake.toml").read_text()


OVERSIZES = """Part no.;Item;Engine;Oversize;Price;Stock
T-0;Piston;Tug V8;STD;41.50;8
T-1;Piston;Tug V8;0.25 mm;42.50;0
T-2;Piston;Scow 4;STD;31.50;8
T-3;Piston;Scow 4;0.50 mm;32.50;0
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no pseudo terminal")
def test_standard_bores_and_clearances_of_each_type(tmp_path: Path) -> None:
    (tmp_path / "s" / "families").mkdir(parents=True)
    (tmp_path / "s" / "routes.csv").write_text("")
    (tmp_path / "s" / "catalogue.toml").write_text(
        'format = 1\nname = "s"\nunits = "mm"\ncurrency = "EUR"\nlead_days = 25\n'
    )
    child = on_a_terminal(
        tmp_path,
        OVERSIZES,
        (
            (r"holds the description.*sure\) \[Item\]", ""),
            (r"which currency.*\[EUR\]", ""),
            (r"how many days.*\[25\]", ""),
            ("Which bore has oversize 0 in Tug V8", "101.6"),
            ("Which bore has oversize 0 in Scow 4", "80"),
            ("Do rings come", "y"),
            ("Which clearance.*Tug V8, Scow 4", "Tug V8: 0.09 0.12"),
            (r"Which clearance.*\(Scow 4\)", "Scow 4: 0.06 0.08"),
            ("Take 4 rows in", ""),
        ),
    )
    assert child.exitstatus == 0
    pistons = (tmp_path / "s" / "pistons.csv").read_text()
    assert "T-1,Tug V8,0.25,101.85,0.09,0.12,,42.50,0,25" in pistons
    assert "T-3,Scow 4,0.5,80.5,0.06,0.08,,32.50,0,25" in pistons
    assert '"Tug V8" = "101.6 mm"' in (tmp_path / "s" / "intake.toml").read_text()


def test_a_question_that_may_stay_open_is_left_by_enter(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its rows stay named; nothing is answered, and it is not asked again."""
    asked = question("kind chain oil").model_copy(update={"needed": False})
    looked = intake_looked(tmp_path).model_copy(update={"asked": (asked,)})
    prompts: list[str] = []

    def enter(text: str, **_: object) -> str:
        prompts.append(text)
        return ""

    monkeypatch.setattr("typer.prompt", enter)
    given, _ = ask_all(Given(unit="mm"), lambda _: looked)
    assert given == Given(unit="mm")
    assert len(prompts) == 1
    assert "Enter to leave its rows out" in prompts[0]


def intake_looked(folder: Path) -> IntakeAnswer:
    file = folder / "list.csv"
    file.write_text(LIST.replace("Dugattyú", "Piston kit"), encoding="utf-8")
    return intake(file, folder / "shelf")
