"""The table of a gauge study: units, people, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.reading.gauge_table import SLIP, read_gauge_table
from fitsolver.records.gauge import GaugeReading

from .files import refusal, workbook


def table(folder: Path, text: str) -> Path:
    path = folder / "gauge.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_table(tmp_path: Path) -> None:
    text = "person,bore,reading [in]\nA,1,2.4410\nA,1,62 mm\nB,rear left,2.44105\n"
    found = read_gauge_table(table(tmp_path, text))
    assert (found.file, found.unit) == (str(tmp_path / "gauge.csv"), "in")
    assert found.readings == (
        GaugeReading(bore="1", person="A", reading=6_200_140),
        GaugeReading(bore="1", person="A", reading=6_200_000),
        GaugeReading(bore="rear left", person="B", reading=6_200_267),
    )


def test_dial_deviations_and_decimal_commas(tmp_path: Path) -> None:
    found = read_gauge_table(table(tmp_path, "bore;reading [um]\n1;-2,5\n1;0\n"))
    assert [one.reading for one in found.readings] == [-250, 0]
    assert {one.person for one in found.readings} == {""}


def test_units_in_the_cells(tmp_path: Path) -> None:
    found = read_gauge_table(table(tmp_path, "bore,reading\n1,3 um\n1,0.1 thou\n"))
    assert [one.reading for one in found.readings] == [300, 254]
    assert found.unit == "mm"


def test_a_workbook(tmp_path: Path) -> None:
    path = workbook(tmp_path / "g.xlsx", [["bore", "reading [mm]"], [1, 62.011], [1, 62.013]])
    assert [one.reading for one in read_gauge_table(path).readings] == [6_201_100, 6_201_300]


def test_a_reading_just_near_enough(tmp_path: Path) -> None:
    text = f"bore,reading [mm]\n1,62\n1,62\n1,{62 + SLIP / 100_000}\n"
    assert len(read_gauge_table(table(tmp_path, text)).readings) == 3


HEADER = "bore,person,reading [mm]\n"
BAD: dict[str, tuple[str, int | None, str, str, str]] = {
    "empty": ("\n", None, "", "empty", "gauge.csv"),
    "header only": (HEADER, None, "", "no readings", "a row a reading"),
    "no unit": ("bore,reading\n1,62\n", 2, "reading", "no unit", "reading [mm]"),
    "no bores": ("person,reading [mm]\nA,62\n", 1, "bore", "missing", "person"),
    "unknown column": ("bores,reading [mm]\n1,62\n", 1, "bores", "'bore'", "person"),
    "unit of a bore": ("bore [mm],reading [mm]\n1,62\n", 1, "bore", "no unit", "lengths"),
    "unnamed bore": (HEADER + ",A,62\n", 2, "bore", "not a name", "nothing"),
    "unnamed person": (HEADER + "1,,62\n", 2, "person", "not a name", "nothing"),
    "no reading": (HEADER + "1,A,\n", 2, "reading", "not a number", "nothing"),
    "NaN": (HEADER + "1,A,nan\n", 2, "reading", "not a number", "nan"),
    "unknown unit": (HEADER + "1,A,62 cm\n", 2, "reading", "unknown unit", "62 cm"),
    "decimal comma": (HEADER + '1,A,"62,01"\n', 2, "reading", "ambiguous", "62,01"),
    "finer than the grid": (HEADER + "1,A,62.000001\n", 2, "reading", "finer", "62.000001"),
    "a slip": (
        HEADER + "1,A,62.01\n1,A,6.201\n1,B,62.02\n2,A,70\n",
        3,
        "reading",
        "62.01 meant",
        "about 62.010 mm",
    ),
    "just too far": (
        HEADER + "1,A,62\n1,A,62\n1,A,62.10001\n",
        4,
        "reading",
        "implausible",
        "62.1",
    ),
}


@pytest.mark.parametrize("case", BAD)
def test_refused(tmp_path: Path, case: str) -> None:
    text, row, field, words, more = BAD[case]
    error = refusal(read_gauge_table, table(tmp_path, text))
    assert (error.file, error.row, error.field) == (str(tmp_path / "gauge.csv"), row, field)
    assert words in error.message
    assert more in str(error)
