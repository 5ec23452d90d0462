"""How an allotment's time grows with the jobs: `python -m tests.bench.allot_growth [JOBS ...]`.

From the records to the plans, checked, on this machine's cores; above 1 000 jobs engine families of
1 000 jobs each. Keeps the points of the plot.
"""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path
from typing import Final

from fitsolver.allotment.allot import allot

from .allot_instances import families, shop

CURVE: Final = Path(__file__).parent / "data" / "allotment.json"
FAMILY, SEED, SHELF, LIMIT = 1000, 1, 2.0, 3600.0


def point(jobs: int) -> dict[str, float]:
    """Return how long one allotment takes: seconds in all, and until the plans are begun."""
    drawn = (
        shop(jobs, SEED, SHELF) if jobs <= FAMILY else families(jobs // FAMILY, FAMILY, SEED, SHELF)
    )
    begun: dict[str, float] = {}
    started = time.monotonic()
    answer = allot(drawn, time_limit=LIMIT, progress=begun.__setitem__)
    seconds = time.monotonic() - started
    print(
        f"{jobs} jobs: {seconds:.1f} s, search {begun['plans']:.1f} s, {answer.status}", flush=True
    )
    return {"jobs": jobs, "seconds": round(seconds, 1), "search": round(begun["plans"], 1)}


def main(sizes: list[int]) -> None:
    """Measure and keep the points."""
    points = [point(jobs) for jobs in sizes]
    CURVE.write_text(json.dumps(points, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main([int(word) for word in sys.argv[1:]] or [100, 300, 1000, 3000, 10000])
