"""Gauge studies: by hand, against the textbook's sums, and against known scatter."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import product
from math import inf, sqrt
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitsolver.base.errors import InputError
from fitsolver.metrology.gauge_study import NOT_SHOWN, study
from fitsolver.metrology.variance import one_way
from fitsolver.reading.job_file import read_job
from fitsolver.records.gauge import GaugeReading, VarianceRow
from tests.published.derived import r_squared

Read = dict[tuple[str, str], list[int]]


def readings(cells: Read) -> list[GaugeReading]:
    return [
        GaugeReading(bore=bore, person=who, reading=value)
        for (bore, who), values in cells.items()
        for value in values
    ]


def rows(table: tuple[VarianceRow, ...]) -> dict[str, VarianceRow]:
    return {row.source: row for row in table}


#: Bores 100 apart; A reads 10 more than B; every pair 6 apart: about the means 155, 150 +- 5.
CROSSED: Read = {
    ("1", "A"): [107, 113],
    ("1", "B"): [97, 103],
    ("2", "A"): [207, 213],
    ("2", "B"): [197, 203],
}


def test_one_person_by_hand() -> None:
    """Bores about 110 and 210: within 4 x 3**2 = 36 of 2 degrees, between 4 x 50**2 of 1."""
    found = study(readings({("1", ""): [107, 113], ("2", ""): [207, 213]}), window=180)
    bores, repeats = found.table
    assert (bores.degrees, bores.sum_of_squares, bores.mean_square) == (1, 10_000, 10_000)
    assert (repeats.degrees, repeats.sum_of_squares, repeats.mean_square) == (2, 36, 18)
    assert bores.f == pytest.approx(10_000 / 18)
    assert found.bores_deviation == pytest.approx(sqrt((10_000 - 18) / 2))
    assert (found.reproducibility, found.reproducibility_share) == (None, None)
    assert found.repeatability == found.combined == pytest.approx(sqrt(18))
    assert found.share == found.repeatability_share == pytest.approx(6 * sqrt(18) / 180)
    assert found.distinct_sizes == 23  # sqrt(2) x 70.65 / 4.243 = 23.5
    assert (found.bores, found.people, found.readings) == (("1", "2"), ("",), 4)


def test_several_people_by_hand() -> None:
    """No interaction at all, so its variance comes out as -18 / 2 and is set to 0."""
    found = study(readings(CROSSED), window=180)
    table = rows(found.table)
    assert [row.degrees for row in found.table] == [1, 1, 1, 4]
    assert [row.sum_of_squares for row in found.table] == [20_000, 200, 0, 72]
    assert table["bores x people"].negative
    assert table["bores x people"].f == 0
    assert table["people"].f is None  # against an interaction of zero
    assert table["people"].deviation == pytest.approx(sqrt(200 / 4))
    assert table["bores"].deviation == pytest.approx(sqrt(20_000 / 4))
    assert found.reproducibility == pytest.approx(sqrt(50))
    assert found.combined == pytest.approx(sqrt(50 + 18))
    assert found.share == pytest.approx(6 * sqrt(68) / 180)
    assert found.reproducibility_share == pytest.approx(6 * sqrt(50) / 180)
    assert any("bores x people" in note and "set to 0" in note for note in found.notes)


def test_unequal_repeats_of_one_person() -> None:
    """Per bore there count (9 - (4 + 9 + 16) / 9) / 2 readings."""
    cells: Read = {("1", ""): [0, 2], ("2", ""): [10, 12, 14], ("3", ""): [5, 7, 9, 3]}
    found = study(readings(cells))
    bores, repeats = found.table
    counted = (9 - 29 / 9) / 2
    assert repeats.mean_square == pytest.approx((2 + 8 + 20) / 6)
    assert bores.deviation == pytest.approx(
        sqrt((bores.mean_square - repeats.mean_square) / counted)
    )
    assert (found.window, found.share) == (None, None)


@given(st.data())
def test_sums_are_the_textbooks(data: st.DataObject) -> None:
    """Uncorrected sums of squares of totals, exactly: another way to the same table."""
    b, p, n = (data.draw(st.integers(2, 4)) for _ in range(3))
    bores, people = [f"b{i}" for i in range(b)], [f"p{i}" for i in range(p)]
    value = st.integers(6_200_000, 6_200_500)
    cells = {
        key: data.draw(st.lists(value, min_size=n, max_size=n)) for key in product(bores, people)
    }
    every = [x for values in cells.values() for x in values]
    correction = Fraction(sum(every) ** 2, len(every))
    of_bores = (
        sum(Fraction(sum(sum(cells[i, j]) for j in people) ** 2, p * n) for i in bores) - correction
    )
    of_people = (
        sum(Fraction(sum(sum(cells[i, j]) for i in bores) ** 2, b * n) for j in people) - correction
    )
    of_cells = sum(Fraction(sum(values) ** 2, n) for values in cells.values()) - correction
    of_repeats = sum(x * x for x in every) - correction - of_cells
    found = study(readings(cells), resolution=1)
    assert [row.sum_of_squares for row in found.table] == [
        float(s) for s in (of_bores, of_people, of_cells - of_bores - of_people, of_repeats)
    ]
    mean = [row.mean_square for row in found.table]
    own = ((mean[0] - mean[2]) / (p * n), (mean[1] - mean[2]) / (b * n), (mean[2] - mean[3]) / n)
    assert [row.deviation for row in found.table] == pytest.approx(
        [sqrt(max(0, variance)) for variance in (*own, mean[3])], rel=1e-6, abs=1e-2
    )


def test_known_scatter_is_found_again() -> None:
    """Forty bores, thirty people, three readings: deviations 500, 60, 40 and 50 come back."""
    dice = random.Random(3)
    bores = [dice.gauss(0, 500) for _ in range(40)]
    people = [dice.gauss(0, 60) for _ in range(30)]
    cells: Read = {}
    for (i, bore), (j, person) in product(enumerate(bores), enumerate(people)):
        both = bore + person + dice.gauss(0, 40)
        cells[str(i), str(j)] = [round(both + dice.gauss(0, 50)) for _ in range(3)]
    found = study(readings(cells))
    table = rows(found.table)
    assert table["repeats"].deviation == pytest.approx(50, rel=0.05)
    assert table["bores x people"].deviation == pytest.approx(40, rel=0.08)
    assert table["people"].deviation == pytest.approx(60, rel=0.35)  # of 29 degrees only
    assert table["bores"].deviation == pytest.approx(500, rel=0.3)
    assert found.notes == (NOT_SHOWN,)


def test_the_instrument_can_be_pasted_into_a_job(tmp_path: Path) -> None:
    """What differs between people is no repeatability: it does not average out."""
    found = study(readings(CROSSED), name='gauge "2"', resolution=100)
    text = (
        'format = 1\nname = "n"\nunits = "in"\n[measuring]\ndecision = "guarded"\n'
        f'{found.instrument_lines}\n[[cylinder]]\nname = "1"\nmaterial = "iron"\n'
        'readings = [[1, "pin", 2.5]]\n'
    )
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    measuring = read_job(tmp_path / "job.toml").measuring
    assert measuring is not None
    (gauge,) = measuring.instruments
    assert (gauge.kind, gauge.name, gauge.resolution) == ("bore gauge", 'gauge "2"', 100)
    assert (gauge.reproducibility, gauge.repeatability) == (8, 5)  # 7.07 and 4.24, up
    assert gauge.standard_uncertainty is None
    assert gauge.basis == ("8 readings of 2 bores by 2 people, 4 degrees; no calibration")


@pytest.mark.parametrize(
    "cells", [CROSSED, {key: CROSSED[key] for key in (("1", "A"), ("2", "A"))}]
)
def test_what_repeats_cannot_show_stands_beside(cells: Read) -> None:
    found = study(readings(cells), permissible_error=30)
    assert 'permissible_error = "0.3 um"\n' in found.instrument_lines
    assert "error 0.3 um" in found.instrument_lines
    assert "standard_uncertainty" not in found.instrument_lines
    assert NOT_SHOWN not in found.notes
    assert found.combined == study(readings(cells)).combined


def test_a_coarse_scale_counts_as_its_resolution() -> None:
    """No scatter at all: the step of 12 counts as 12 / sqrt(12); without it nothing is known."""
    cells: Read = {("1", ""): [0, 0], ("2", ""): [12, 12]}
    found = study(readings(cells), resolution=12)
    assert (found.repeatability, found.combined) == (0, pytest.approx(sqrt(12)))
    assert found.table[0].f is None
    assert "repeatability" not in found.instrument_lines
    assert any("resolves" in note for note in found.notes)
    with pytest.raises(InputError, match="too coarse") as caught:
        study(readings(cells), file="table.csv")
    assert caught.value.file == "table.csv"


def test_bores_that_cannot_be_told_apart() -> None:
    found = study(readings({("1", ""): [100, 110], ("2", ""): [101, 109]}))
    assert (found.bores_deviation, found.distinct_sizes) == (0, 1)
    assert found.table[0].negative


def test_notes() -> None:
    found = study(readings(CROSSED), window=100)
    text = " ".join(found.notes)
    assert "4 degrees of freedom" in text
    assert "to about 35 %" in text  # 1 / sqrt(2 x 4)
    assert "2 people read: what differs between people is only roughly known" in text
    assert "49 % of the window" in text
    one = study(readings({(str(i), ""): [i * 10, i * 10 + 1] for i in range(12)}))
    assert one.notes[:-1] == ("One person read: what differs between people is not known.",)


BAD: dict[str, tuple[Read, str, str]] = {
    "nothing": ({}, "several bores", "none"),
    "one bore": ({("1", ""): [1, 2, 3]}, "several bores", "1"),
    "read once": ({("1", ""): [1, 2], ("2", ""): [3]}, "twice or more", "1 reading"),
    "each read once by each": (
        {(bore, who): [1] for bore in "12" for who in "AB"},
        "twice or more",
        "1 reading",
    ),
    "not crossed": (
        {("1", "A"): [1, 2], ("2", "B"): [1, 2]},
        "every person reads every bore",
        "0 readings",
    ),
    "not equally often": (
        {**CROSSED, ("2", "B"): [197, 203, 200]},
        "equally often",
        "2 readings",
    ),
}


@pytest.mark.parametrize("case", BAD)
def test_refused(case: str) -> None:
    cells, words, what = BAD[case]
    with pytest.raises(InputError, match=words) as caught:
        study(readings(cells), file="t.csv")
    assert (caught.value.file, caught.value.found) == ("t.csv", what)
    assert caught.value.allowed


@pytest.mark.parametrize("window", [0, -5])
def test_a_window_without_width(window: int) -> None:
    with pytest.raises(InputError, match="width"):
        study(readings(CROSSED), window)


def test_a_cell_that_is_refused_is_named() -> None:
    with pytest.raises(InputError) as caught:
        study(readings({**CROSSED, ("2", "B"): [197]}))
    assert caught.value.row == "bore '2', person 'B'"


@pytest.mark.parametrize("groups", [[], [[1, 2]], [[1], [2]], [[1, 2], []]])
def test_no_one_way_analysis(groups: list[list[int]]) -> None:
    with pytest.raises(ValueError, match="two or more"):
        one_way(groups)


def test_one_way_without_scatter() -> None:
    assert (one_way([[1, 1], [2, 2]]).f, r_squared(one_way([[1, 1], [2, 2]]))) == (None, 1)
    assert r_squared(one_way([[1, 1], [1, 1]])) is None
    with pytest.raises((ValueError, OverflowError)):
        one_way([[1, inf], [1, 2]])
