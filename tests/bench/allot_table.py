"""Prints the allotment's table: `python -m tests.bench.allot_table [JOBS[/SEED/SHELF] ...]`.

Each instance side by side in one run: ours to the levels that the plain model settles too (jobs
served, largest removals) and in full (every level), and the plain model with solvers at their
defaults and its LP relaxation. Seconds of the search, options given to both; in brackets where
it ended unproven.
"""

from __future__ import annotations

import sys
import time
from itertools import product
from typing import Final

from fitsolver.allotment.allot import _prepared
from fitsolver.allotment.component import components
from fitsolver.allotment.serving import serving_levels
from fitsolver.allotment.solve import solve_component
from fitsolver.allotment.supply import stock_of
from fitsolver.base.deadline import Clock

from .allot_instances import shop
from .allot_plain import listed, run

ENGINES: Final = (
    ("LP", "HIGHS_LINEAR_PROGRAMMING"),
    ("HiGHS", "HIGHS"),
    ("SCIP", "SCIP"),
    ("CP-SAT", "SAT"),
)
SEEDS, PLENTY = (1, 2), (0.8, 1.2, 2.0)
#: Every solver gets so many times the seconds that ours took for the same levels, and so many more.
TIMES, MORE = 5.5, 20.0
#: Seconds for ours.
LIMIT: Final = 600.0


def row(jobs: int, seed: int, plenty: float) -> dict[str, str]:
    """Return one instance: what was solved, by whom, in how many seconds ("-": not proven)."""
    whole = shop(jobs, seed, plenty)
    stock = stock_of(whole)
    prepared = _prepared(whole, stock)
    order = whole.order[: whole.order.index("part_number")]
    told = listed(prepared, stock)
    found = {
        "jobs": str(jobs),
        "seed": str(seed),
        "shelf": str(plenty),
        "combinations": str(sum(len(some) for job in told for some in job)),
    }
    started, same, proven, both = time.monotonic(), 0.0, True, True
    for part in components(prepared, stock, serving_levels(whole.jobs), order):
        begun: dict[str, float] = {}
        clock = Clock(LIMIT, begun.__setitem__)
        result = solve_component(part, clock)
        proven &= result.proven
        both &= "total removal" in begun or result.proven  # begun once those before are proven
        same += begun.get("total removal", clock.gone)
    gone = time.monotonic() - started
    found["ours, same levels"] = f"{same:.1f}" if both else f"- ({same:.0f})"
    found["ours, all levels"] = f"{gone:.1f}" if proven else f"- ({gone:.0f})"
    for name, engine in ENGINES:
        ran = run(prepared, told, stock, engine, TIMES * same + MORE)
        found[name] = f"{ran.seconds:.1f}" if ran.proven else f"- ({ran.seconds:.0f})"
    return found


def main(words: list[str]) -> None:
    """Print a row an instance as soon as it is measured."""
    for word in words:
        jobs, *which = word.split("/")
        drawn = [(int(which[0]), float(which[1]))] if which else list(product(SEEDS, PLENTY))
        for seed, plenty in drawn:
            told = row(int(jobs), seed, plenty)
            print("  ".join(f"{k} {v}" for k, v in told.items()), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:] or ["30", "100", "300", "1000"])
