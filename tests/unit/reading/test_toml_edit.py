"""Values changed in a TOML file line by line: what reads it sees the change and nothing else."""

from __future__ import annotations

import tomllib

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.toml_edit import with_values

SHEET = """\
# Invented: the sheet of one engine.
family = "one"                    # its name
standard_bore = 54.00

[engine]
stroke = 48                       # from the sheet

[[window]]
fit = "clearance"
low = 0.04

# the second one
[[window]]
fit = "end_gap"
groove = 1
low = "0.2 mm # no comment"
"""


def test_a_value_is_changed_on_its_line_and_comments_stay() -> None:
    new = with_values(SHEET, {"engine.stroke": "48.5", "window.1.low": "0.25"})
    assert new == SHEET.replace("stroke = 48 ", "stroke = 48.5 ").replace(
        'low = "0.2 mm # no comment"', "low = 0.25"
    )


def test_keys_come_and_go() -> None:
    values = {
        "engine.bore_limit": "55",
        "window.0.low": "",
        "zone.top": "6",
        "window.2.fit": '"squish"',
    }
    new = tomllib.loads(with_values(SHEET, values))
    old = tomllib.loads(SHEET)
    old["engine"]["bore_limit"] = 55
    del old["window"][0]["low"]
    old["zone"] = {"top": 6}
    old["window"].append({"fit": "squish"})
    assert new == old


def test_a_repeated_section_is_taken_out() -> None:
    new = with_values(SHEET, {"window.1.low": "1"}, dropped=["window.0"])
    assert [item["fit"] for item in tomllib.loads(new)["window"]] == ["end_gap"]
    assert new.startswith("# Invented")


@pytest.mark.parametrize(
    "text",
    [
        'note = """\nlow = 1\n"""\nlow = 2\n',  # a line of a text that looks like a key
        "engine = { stroke = 48 }\n",  # a section on one line
        "engine.stroke = 48\n",
    ],
)
def test_what_no_line_shows_is_written_anew(text: str) -> None:
    path = "low" if "low" in text else "engine.stroke"
    new = tomllib.loads(with_values(text, {path: "49"}))
    expected = tomllib.loads(text)
    (expected if path == "low" else expected["engine"])[path.rpartition(".")[2]] = 49
    assert new == expected


def test_what_is_no_value_is_refused() -> None:
    with pytest.raises(InputError):
        with_values(SHEET, {"engine.stroke": "]["})
