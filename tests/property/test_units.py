"""Inch and millimetre: one job in both gives one plan."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings

from fitsolver.base.lengths import Unit, exact_text, parse_length
from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer

from ..oracle.generate import cases
from ..oracle.small import bore, catalogue, hone, job, piston, ring, window


@settings(
    derandomize=True,
    database=None,
    deadline=None,
    max_examples=80,
    suppress_health_check=list(HealthCheck),
)
@given(cases("everything"))
def test_unit_is_for_display_only(case: tuple[Job, Catalogue]) -> None:
    """Nothing but the words of an answer depends on the unit."""
    asked, parts = case
    other = "mm" if asked.unit == "in" else "in"
    first = decide(asked, parts)
    second = decide(
        asked.model_copy(update={"unit": other}), parts.model_copy(update={"unit": other})
    )
    assert second.status == first.status
    assert second.plan == first.plan
    assert second.forms == first.forms


@pytest.mark.parametrize("finishing", ["piston in hand", "set size"])
def test_one_job_written_in_both_units(finishing: str) -> None:
    """Every length of the job as text in inches, and the same lengths as text in millimetres."""
    inches, metric = (decide(*written(unit, finishing)) for unit in ("in", "mm"))
    assert inches.status == "proven best"
    assert inches.plan == metric.plan
    assert removal(inches) == parse_length("0.0036", "in")


def removal(answer: Answer) -> int:
    assert answer.plan is not None
    return answer.plan.cylinders[0].removal


def written(unit: Unit, finishing: str) -> tuple[Job, Catalogue]:
    """A bore of 2.4441 in worn by 0.0029 in: the next size, honed to 2.4470 +- 0.0001 in."""

    def length(inches: str) -> int:
        text = inches if unit == "in" else str(Decimal(inches) * Decimal("25.4"))
        return parse_length(text, unit)

    parts = catalogue(
        piston("P-0", length("2.4409"), length("2.4395"), length("2.4397")),
        piston("P-6", length("2.4469"), length("2.4451"), length("2.4453"), base=length("2.4409")),
        ring("R-0", length("2.4409"), length("0.0090"), length("0.0110")),
        ring("R-6", length("2.4469"), length("0.0090"), length("0.0110"), file_most=length("0.02")),
        hone(length("0.0001"), min_cut=length("0.0005")),
        standard_bore=length("2.4409"),
        unit=unit,
    )
    asked = job(
        bore("1", length("2.4441"), length("2.4434")),
        windows=(
            window("clearance", length("0.0016"), length("0.0022")),
            window("end_gap", length("0.0100"), length("0.0160")),
        ),
        finishing=finishing,
        unit=unit,
    )
    return asked, parts


@pytest.mark.parametrize("unit", ["mm", "in", "um", "thou"])
@pytest.mark.parametrize("ticks", [0, 1, 127, 254, 2_540, 6_208_014, -3_175, 10**9])
def test_exact_text_reads_back(ticks: int, unit: Unit) -> None:
    assert parse_length(exact_text(ticks, unit), unit) == ticks
