"""The command `counter`: how long its answer is, and what it takes to ask."""

from __future__ import annotations

import pytest

from .run import DEMOS, Run

PUMP = DEMOS / "pump"
#: Lines and columns that the answer has at most, keystrokes that the question takes.
LINES, COLUMNS, KEYS = 25, 80, 40


@pytest.mark.parametrize("count", [1, 2, 4, 8, 16])
@pytest.mark.parametrize("unit", ["mm", "um", "in", "thou"])
def test_the_answer_is_short_for_any_number_of_cylinders(run: Run, count: int, unit: str) -> None:
    sizes = [f"{62 + 0.013 * n:.3f}" for n in range(count)]
    done = run("counter", "p62", *sizes, "-c", PUMP, "-u", unit)
    assert done.code in (0, 3), done.err
    shown = done.out.splitlines()
    assert len(shown) <= LINES
    assert max(map(len, shown)) <= COLUMNS


def test_a_question_takes_few_keystrokes() -> None:
    assert len("fitsolver counter heron54 54.12\n") <= KEYS
