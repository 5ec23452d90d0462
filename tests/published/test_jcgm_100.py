"""Examples H.1 and H.2 of JCGM 100:2008, through the functions that correct our own readings.

Figures: gum_examples.csv beside this file, which says where each comes from and how far its
printed digits carry. Figures written here are the standard's, from memory where marked.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from math import cos, sqrt
from pathlib import Path
from statistics import covariance as sample_covariance
from statistics import fmean
from typing import Any, NamedTuple

import pytest
from uncertainties import correlated_values, correlation_matrix, ufloat, umath

from fitsolver.metrology.sources import Sources, as_error, standard
from fitsolver.metrology.temperature import size_at_20
from fitsolver.metrology.uncertainty import budget, covariance

with (Path(__file__).parent / "gum_examples.csv").open(encoding="utf-8") as lines:
    PRINTED = {row["id"]: row for row in csv.DictReader(lines)}


def printed(name: str) -> list[float]:
    return [float(text) for text in PRINTED[name]["value"].split("/")]


def tolerance(name: str) -> float:
    return float(PRINTED[name]["tolerance"])


class EndGauge(NamedTuple):
    """The inputs of H.1, nm and 1 °C; differences are small and independent by design."""

    standard: Any
    difference: Any
    expansion: Any
    theta: Any
    expansion_apart: Any
    theta_apart: Any

    def length(self) -> Any:
        """Our correction of a reading: the gauge at `theta` over 20 °C, the standard beside it."""
        return size_at_20(
            self.standard,
            self.difference,
            standard_expansion=self.expansion,
            standard_temperature=20 + self.theta - self.theta_apart,
            part_expansion=self.expansion + self.expansion_apart,
            part_temperature=20 + self.theta,
        )


def end_gauge(number: Callable[[float, float], Any]) -> EndGauge:
    """The inputs with their standard uncertainties as worked out in H.1.3."""
    scatter, random, systematic = 13 / sqrt(5), 10 / 2.57, 20 / 2.99
    return EndGauge(
        standard=number(50_000_623.0, 75 / 3),
        difference=number(215.0, sqrt(scatter**2 + random**2 + systematic**2)),
        expansion=number(11.5e-6, 2e-6 / sqrt(3)),
        theta=number(-0.1, sqrt(0.2**2 + (0.5 / sqrt(2)) ** 2)),
        expansion_apart=number(0.0, 1e-6 / sqrt(3)),
        theta_apart=number(0.0, 0.05 / sqrt(3)),
    )


def test_h1_inputs_are_those_printed() -> None:
    gauge = end_gauge(ufloat)
    assert gauge.standard.std_dev == pytest.approx(25, abs=0.5)
    assert gauge.difference.std_dev == pytest.approx(9.7, abs=0.05)
    assert gauge.expansion.std_dev == pytest.approx(1.2e-6, abs=0.05e-6)
    assert gauge.theta.std_dev == pytest.approx(0.41, abs=0.005)
    assert gauge.expansion_apart.std_dev == pytest.approx(0.58e-6, abs=0.005e-6)
    assert gauge.theta_apart.std_dev == pytest.approx(0.029, abs=0.0005)


def test_h1_length_and_combined_standard_uncertainty() -> None:
    length = end_gauge(ufloat).length()
    assert length.nominal_value == pytest.approx(*printed("H1_length"), abs=0.5)
    assert length.std_dev == pytest.approx(*printed("H1_uc"), abs=tolerance("H1_uc"))
    full = tolerance("H1_uc_full")
    assert length.std_dev == pytest.approx(*printed("H1_uc_full"), abs=full)


def test_h1_contributions() -> None:
    """Table H.1: standard, difference, expansion and temperature apart; the rest drop out."""
    gauge = end_gauge(ufloat)
    parts = gauge.length().error_components()
    counted = (gauge.standard, gauge.difference, gauge.expansion_apart, gauge.theta_apart)
    found = [parts[source] for source in counted]
    assert found == pytest.approx(printed("H1_parts"), abs=tolerance("H1_parts"))
    dropped = [parts.get(gauge.expansion, 0.0), parts.get(gauge.theta, 0.0)]
    assert dropped == pytest.approx([0, 0], abs=0.01)


def test_h1_as_a_budget() -> None:
    sources = Sources()
    gauge = end_gauge(ufloat)
    named = gauge._replace(
        standard=gauge.standard.nominal_value + sources.normal("standard", 25),
        difference=215 + sources.normal("comparison", 9.7),
        expansion=11.5e-6,
        theta=-0.1,
        expansion_apart=sources.rectangular("expansion apart", 1e-6),
        theta_apart=sources.rectangular("temperature apart", 0.05),
    )
    found = budget(as_error(named.length()), cylinder="1", fit="clearance", sources=sources)
    rows = [(row.name, round(row.standard, 1), row.distribution) for row in found.contributions]
    assert rows == [
        ("standard", 25.0, "normal"),
        ("temperature apart", 16.6, "rectangular"),
        ("comparison", 9.7, "normal"),
        ("expansion apart", 2.9, "rectangular"),
    ]
    assert round(found.combined) == 32
    assert found.expanded == 2 * found.combined
    assert sum(row.share for row in found.contributions) == pytest.approx(1)
    assert found.improvement == "standard"


def test_h1_with_the_two_temperatures_taken_as_independent_is_not_the_printed_figure() -> None:
    """The wrong model: gauge and standard lie side by side, their temperatures move together."""
    gauge = end_gauge(ufloat)
    other = ufloat(gauge.theta.nominal_value, gauge.theta.std_dev)
    wrong = size_at_20(
        gauge.standard,
        gauge.difference,
        standard_expansion=gauge.expansion,
        standard_temperature=20 + other,
        part_expansion=gauge.expansion,
        part_temperature=20 + gauge.theta,
    )
    assert wrong.std_dev > 10 * printed("H1_uc")[0]


def test_h1_a_second_witness() -> None:
    """The same function on the numbers of another package (GTC)."""
    gtc = pytest.importorskip("GTC", reason="GTC, the second witness, is not installed")
    length = end_gauge(gtc.ureal).length()
    assert gtc.value(length) == pytest.approx(*printed("H1_length"), abs=0.5)
    assert gtc.uncertainty(length) == pytest.approx(end_gauge(ufloat).length().std_dev, rel=1e-9)


# H.2: resistance and reactance from the same five readings of voltage, current and phase.
VOLTS = [5.007, 4.994, 5.005, 4.990, 4.999]
AMPERES = [0.019663, 0.019639, 0.019640, 0.019685, 0.019678]
PHASE = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433]


def test_h2_inputs_are_those_of_the_file() -> None:
    volts, amperes, phase = re.findall(r"[VIi] ([\d. ]+) ", PRINTED["H2_R"]["inputs"])
    assert [float(text) for text in volts.split()] == VOLTS
    assert [float(text) for text in amperes.split()] == pytest.approx([1000 * i for i in AMPERES])
    assert [float(text) for text in phase.split()] == PHASE


def circuit() -> list[Any]:
    """Return R, X and Z with their type A covariance carried along."""
    rows = (VOLTS, AMPERES, PHASE)
    means = [[sample_covariance(a, b) / len(VOLTS) for b in rows] for a in rows]
    v, i, phi = correlated_values([fmean(row) for row in rows], means)
    return [v / i * umath.cos(phi), v / i * umath.sin(phi), v / i]


def test_h2_resistance() -> None:
    resistance = circuit()[0]
    value, uncertainty = printed("H2_R")
    assert resistance.nominal_value == pytest.approx(value, abs=tolerance("H2_R"))
    assert standard(resistance) == pytest.approx(uncertainty, abs=tolerance("H2_R"))


def test_h2_reactance_and_impedance() -> None:
    """Table H.4, from memory; the standard works with rounded intermediate figures."""
    found = [figure for q in circuit()[1:] for figure in (q.nominal_value, standard(q))]
    assert found == pytest.approx([219.847, 0.295, 254.260, 0.236], abs=0.001)


def test_h2_correlations() -> None:
    """Table H.4; r(R, Z) and r(X, Z) from memory."""
    errors = [as_error(quantity) for quantity in circuit()]
    matrix = covariance(errors)

    def r(i: int, j: int) -> float:
        return matrix[i][j] / sqrt(matrix[i][i] * matrix[j][j])

    assert r(0, 1) == pytest.approx(*printed("H2_corr"), abs=tolerance("H2_corr"))
    assert [r(0, 2), r(1, 2)] == pytest.approx([-0.485, 0.993], abs=0.001)
    assert r(0, 1) == pytest.approx(correlation_matrix(errors)[0][1])


def test_h2_without_correlation_is_not_the_printed_figure() -> None:
    v, i, phi = (
        ufloat(fmean(row), sqrt(sample_covariance(row, row) / len(row)))
        for row in (VOLTS, AMPERES, PHASE)
    )
    value, uncertainty = printed("H2_R")
    assert (v / i * umath.cos(phi)).std_dev > 2 * uncertainty
    assert fmean(VOLTS) / fmean(AMPERES) * cos(fmean(PHASE)) == pytest.approx(value, abs=0.001)


def test_h2_a_second_witness() -> None:
    gtc = pytest.importorskip("GTC", reason="GTC, the second witness, is not installed")
    v, i, phi = gtc.type_a.multi_estimate_real((VOLTS, AMPERES, PHASE))
    found = [v / i * gtc.cos(phi), v / i * gtc.sin(phi), v / i]
    ours = circuit()
    for one, other in zip(found, ours, strict=True):
        assert gtc.uncertainty(one) == pytest.approx(standard(other), rel=1e-6)
    ours_r = correlation_matrix(ours)
    assert gtc.get_correlation(found[0], found[1]) == pytest.approx(ours_r[0][1], rel=1e-6)
