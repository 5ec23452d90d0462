"""Questions of `intake` on a terminal and without one, and `--undo` without a list."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pytest

from fitsolver.base.errors import InputError
from fitsolver.cli.intake_asking import Given, answered, told_by
from fitsolver.records.intake import Asked

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
    ],
)
def test_an_answer_that_is_none(key: str, answer: str) -> None:
    with pytest.raises(InputError):
        answered(Given(), question(key), answer)


@pytest.mark.skipif(sys.platform == "win32", reason="no pseudo terminal")
def test_asked_on_a_terminal(tmp_path: Path) -> None:
    pexpect: Any = pytest.importorskip("pexpect")
    (tmp_path / "list.csv").write_text(LIST)
    child = pexpect.spawn(
        sys.executable,
        ["-m", "fitsolver", "intake", str(tmp_path / "list.csv"), "--into", str(tmp_path / "s")],
        cwd=str(ROOT), encoding="utf-8", timeout=60, dimensions=(200, 200),
    )  # fmt: skip
    for words, answer in (
        (r"holds the price.*sure\) \[List price\]", ""),  # Enter takes the proposal
        ("which currency", "EUR"),
        ("how many days", "6"),
        ("What is 'dugattyu'", "piston kit"),
        ("Which clearance", "0.045 0.055"),
        ("Take 2 rows in", ""),
    ):
        child.expect(words)
        child.sendline(answer)
    child.expect(pexpect.EOF)
    child.close()
    assert "TAKEN IN" in child.before
    assert child.exitstatus == 0
    assert "K-2,P54,0.25,54.25,0.045,0.055,A,52.50,0,6" in (tmp_path / "s/pistons.csv").read_text()
    assert 'dugattyu = "piston kit"' in (tmp_path / "s" / "intake.toml").read_text()
