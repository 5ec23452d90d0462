"""`fitsolver allot`: report, document, start from an earlier one, exit codes."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from .run import ROOT, Run


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A shop of three small jobs, two of which fit on the shelf."""
    demo = ROOT / "catalogs_demo" / "workshop"
    folder = tmp_path / "shop"
    shutil.copytree(demo / "catalogue", folder / "catalogue")
    shutil.copy(demo / "template.toml", folder)
    (folder / "shop.toml").write_text(
        'format = 1\nname = "three jobs"\nunits = "mm"\ncatalogue = "catalogue"\n'
        'shelf = "shelf.csv"\n[bores]\nfile = "bores.csv"\ntemplate = "template.toml"\n'
    )
    rows = [f"{name},1,52.300,52.320,{prio}" for name, prio in (("a", ""), ("b", 2), ("c", 1))]
    (folder / "bores.csv").write_text(
        "job,cylinder,smallest,largest,priority\n" + "\n".join(rows) + "\n"
    )
    (folder / "shelf.csv").write_text("number,count\nWP-050A,1\nWP-050B,1\nWR1-050,3\nWR2-050,3\n")
    return folder


def test_report(run: Run, shop: Path) -> None:
    ran = run("allot", str(shop))
    assert (ran.code, ran.err) == (0, "")
    assert "Result: proven best" in ran.out
    text = " ".join(ran.out.split())
    assert "left out 0 of 1 of priority 1" in text and "1 of 1 without priority" in text
    assert " needed, none left" in text
    assert "1 more of WP-050A" in text and "would serve it" in text
    assert "From the shelf" in ran.out


def test_document_and_start(run: Run, shop: Path, tmp_path: Path) -> None:
    week = tmp_path / "week.json"
    assert run("allot", str(shop), "--json", "--output", str(week)).code == 0
    told = json.loads(week.read_text())
    assert [job["status"] for job in told["jobs"]] == ["served", "served", "left out"]
    again = run("allot", str(shop), "--json", "--start", str(week))
    assert again.code == 0
    assert json.loads(again.out) == told


def test_inches(run: Run, shop: Path) -> None:
    assert "lengths in inches" in run("allot", str(shop), "--unit", "in").out


def test_bad_input_is_one_message(run: Run, shop: Path) -> None:
    (shop / "shelf.csv").write_text("number,count\nWP-050A,\n")
    ran = run("allot", str(shop))
    assert ran.code == 2
    assert ran.err.count("\n") == 1
    assert "row 2, field 'count': the count is missing" in ran.err
