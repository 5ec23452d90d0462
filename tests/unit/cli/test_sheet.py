"""The command `sheet`: the page, exit codes, and what is refused."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from fitsolver.verbs.sheet import sheet

from .run import BRUSHSAW, LAUNCH, PUMP, WORN_OUT, Run, content, process

DATED = ("--date", "2027-03-01")


def test_page_is_that_of_the_library(run: Run, tmp_path: Path) -> None:
    day = date(2027, 3, 1)
    ran = run("sheet", BRUSHSAW, *DATED)
    assert (ran.code, ran.err) == (0, "")
    assert ran.out == sheet(BRUSHSAW, made_on=day).html
    target = tmp_path / "sheet.html"
    args = ("--paper", "letter", "--unit", "mm", "--output", target)
    ran = run("sheet", LAUNCH, *DATED, *args)
    assert (ran.code, ran.out, ran.err) == (0, "", "")
    wanted = sheet(LAUNCH, made_on=day, paper="letter", unit="mm").html
    assert target.read_text(encoding="utf-8") == wanted


def test_nothing_fits_is_a_sheet_with_its_code(run: Run) -> None:
    ran = run("sheet", WORN_OUT, *DATED)
    assert (ran.code, ran.err) == (3, "")
    assert "why nothing fits" in ran.out and ran.out.endswith("</html>\n")


def test_date_is_today_unless_given(run: Run) -> None:
    before = date.today()
    out = run("sheet", BRUSHSAW).out
    assert any(f'datetime="{day.isoformat()}"' in out for day in (before, date.today()))


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (("--date", "yesterday"), "allowed: year-month-day"),
        (("--date", "2027-02-30"), "2027-02-30"),
        (("--paper", "a5"), "a4"),
        (("--unit", "furlong"), "furlong"),
    ],
)
def test_what_is_refused(run: Run, args: tuple[str, ...], says: str) -> None:
    ran = run("sheet", PUMP, *args)
    assert (ran.code, ran.out) == (2, "")
    assert says in ran.err and "Traceback" not in ran.err


def test_nothing_is_overwritten(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "sheet.html"
    target.write_text("mine", encoding="utf-8")
    ran = run("sheet", PUMP, "--output", target)
    assert (ran.code, ran.out) == (2, "")
    assert run("sheet", tmp_path / "none.toml", "--output", tmp_path / "new.html").code == 2
    assert content(tmp_path) == {"sheet.html": b"mine"}


def test_commands_without_a_drawing_load_no_plotting() -> None:
    script = (
        "import sys; from fitsolver.cli.app import main; sys.argv[0] = 'fitsolver'\n"
        "try:\n    main()\n"
        "finally:\n    print([m for m in ('matplotlib', 'jinja2') if m in sys.modules])"
    )
    for command in ("pick", "bore", "plan"):
        assert process("-c", script, command, BRUSHSAW).out.rstrip().endswith("[]")
