"""Screening: against pandas' own joins, rows a minute from Parquet, memory as rows grow.

Run with `pytest -m bench -s tests/bench/test_screen.py`; the curve is kept for the plot by
`python -m tests.bench.plots`.
"""

from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from fitsolver.screening.screen import Bores, Screen
from tests.bench.plots import DATA
from tests.bench.screen_data import bore_sizes, screen_pattern, write_parquet
from tests.bench.screen_twin import twin

pytestmark = pytest.mark.bench
ROOT = Path(__file__).parents[2]
#: Screens a table in a process of its own: seconds of its work, and its peak memory in kB.
WHOLE = """
import json, resource, sys, time
from pathlib import Path
from fitsolver.screening.table import Places, screen_table
from tests.bench.screen_data import screen_pattern
pattern = screen_pattern()
started = time.perf_counter()
answer = screen_table(Path(sys.argv[1]), pattern, Places(out=Path(sys.argv[2]), workers=1))
seconds = time.perf_counter() - started
print(json.dumps([answer.rows, seconds, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss]))
"""


def test_against_pandas_joins() -> None:
    """At least 20 times as fast, tables included, and the same answer in every row."""
    pattern = screen_pattern()
    ratios = []
    for round_ in range(2):
        largest, smallest = bore_sizes(1_000_000, seed=round_)
        started = time.perf_counter()
        screen = Screen(pattern)
        found = screen.screen(Bores(largest, smallest, np.zeros_like(largest)), "iron")
        ours = time.perf_counter() - started
        started = time.perf_counter()
        theirs = twin(pattern, largest, smallest)
        ratios.append((time.perf_counter() - started) / ours)
        chosen = [screen.choices[number] for number in found.choice]
        assert [c.piston for c in chosen] == theirs["piston"].fillna("").tolist()
        assert [" ".join(c.rings) for c in chosen] == theirs["ring"].fillna("").tolist()
        assert [c.route for c in chosen] == theirs["route"].fillna("").tolist()
        assert np.array_equal(found.removal, theirs["removal"].fillna(0))
        assert np.array_equal(found.filing, theirs["filing"].fillna(0))
    print(f"\npandas joins / screening, 1,000,000 bores: {', '.join(f'{r:.0f}' for r in ratios)}")
    assert min(ratios) >= 20


def test_five_million_rows_a_minute_and_flat_memory(tmp_path: Path) -> None:
    """From Parquet to Parquet on one core; ten times the rows take no more memory to speak of."""
    curve = []
    for rows in (100_000, 300_000, 1_000_000, 3_000_000, 10_000_000):
        table, out = tmp_path / "bores.parquet", tmp_path / "out.parquet"
        write_parquet(table, rows)
        done = subprocess.run(
            [sys.executable, "-c", WHOLE, str(table), str(out)],
            cwd=ROOT, capture_output=True, text=True, check=True,
        )  # fmt: skip
        screened, seconds, peak = json.loads(done.stdout)
        out.unlink()
        assert screened == rows
        curve.append({"rows": rows, "seconds": seconds, "peak_mb": peak / 1024})
        print(f"\n{rows:>10,} rows: {rows / seconds * 60 / 1e6:.1f} million a minute, "
              f"{peak / 1024:.0f} MB")  # fmt: skip
    DATA.mkdir(exist_ok=True)
    (DATA / "screening.json").write_text(json.dumps(curve, indent=1) + "\n", encoding="utf-8")
    million, ten = curve[2], curve[4]
    assert ten["rows"] / ten["seconds"] * 60 >= 5_000_000
    assert ten["peak_mb"] <= 1.25 * million["peak_mb"]
