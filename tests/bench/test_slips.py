"""A sample of the slips of `tests.bench.slips`: none in a reading or a piece passes unnamed.

Here one slip in eleven of the pump's job and of a few drawn ones, and clean jobs that nothing is
said of; the whole count is `python -m tests.bench.slips`.
"""

from __future__ import annotations

from itertools import islice

import pytest

from fitsolver.base.errors import InputError

from . import slips

EVERY = 11


def case(name: str) -> slips.Case:
    kind, _, number = name.partition(" ")
    cases = slips.drawn_cases(int(number) + 1) if kind == "drawn" else slips.demo_cases()
    return next(item for item in cases if item.name == name)


@pytest.mark.parametrize("name", ["pump/job", "brushsaw/job", "drawn 3", "drawn 7", "drawn 12"])
def test_no_reading_and_no_piece_passes(name: str) -> None:
    chosen = case(name)
    found = [
        outcome
        for outcome in slips.outcomes(chosen, every=EVERY)
        if slips.kind_of(outcome.slip.path) in ("reading", "piece")
    ]
    assert sum(outcome.what == "named" for outcome in found) > len(found) / 2
    assert [outcome.slip for outcome in found if outcome.what == "passed"] == []


def test_clean_jobs_are_taken() -> None:
    """At most one in a hundred; of these none."""
    refused = 0
    for clean in islice(slips.drawn_cases(60), 60):
        try:
            slips.understood(clean, clean.content)
        except InputError:
            refused += 1
    assert refused == 0


def test_a_slip_that_nothing_can_tell_does_pass() -> None:
    """Else the count would tell nothing: a scratch that is typed half as deep is taken."""
    pump = case("pump/job")
    half = slips.Slip(("cylinder", 1, "scratch"), "swapped digits", "0.0625", "0.0265")
    assert slips.outcome_of(pump, half) == "passed"
