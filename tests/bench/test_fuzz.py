"""A slice of the attacks of `python -m tests.bench.fuzz`, another one than the table's."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.bench.fuzz import KINDS, fuzz

pytestmark = pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="no /proc here")


def test_mutated_files() -> None:
    found = list(fuzz(300, seed=1_000_000))
    assert len(found) == 300 and {name for name, _, _ in found} == {kind.name for kind in KINDS}
    failed = [why for _, why, _ in found if why]
    assert not failed, "\n".join(failed)
