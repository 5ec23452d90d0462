"""What each piece of the optimiser is worth: `python -m tests.bench.allot_ablation [PIECE ...]`.

Drawn shops are allotted with all pieces and with one switched off at a time; printed are seconds of
the processor, in all and shop by shop (a star: not proven within `LIMIT` of them). Without a
word all pieces are gone through; `JOBS/SEED/SHELF[k]` (k: with kits) are shops instead of `SHOPS`,
a number is the limit.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from importlib import import_module
from typing import Any, Final

import numpy as np

from fitsolver.base.deadline import Clock
from fitsolver.records.allotment import Shop

from .allot_instances import shop, with_kits

#: Seconds of the processor that end one allotment.
LIMIT: Final = 20.0
SHOPS: Final = (
    *("20/1/0.8", "30/21/0.8", "40/1/1.2", "40/3/2.0"),
    *("20/1/0.8k", "20/2/2.0k", "20/3/1.2k", "30/2/1.2k"),
)


@dataclass(slots=True)
class ProcessorClock(Clock):
    """A clock of the processor's time: what else runs on the machine does not count."""

    started: float = field(default_factory=time.process_time)

    @property
    def gone(self) -> float:  # type: ignore[override]
        return time.process_time() - self.started


def _put(module: str, name: str, value: object) -> Callable[[], None]:
    def put() -> None:
        where = import_module(f"fitsolver.mip.{module}")
        owner, _, attribute = name.rpartition(".")
        setattr(getattr(where, owner) if owner else where, attribute, value)

    return put


def _without_first_flow() -> None:
    gap = import_module("fitsolver.mip.gap")
    close = gap.Gap._close_flow
    gap.Gap._close_flow = lambda self, work: close(self, None) if work is None else None


def _without_survivors() -> None:
    planes = import_module("fitsolver.mip.cutting_planes")
    columns = planes.columns_within
    planes.columns_within = lambda *some: columns(*some[:5], None, *some[6:])


def _no_cuts(problem: Any, *_: object) -> tuple[Any, Any]:
    return np.zeros((0, len(problem.job)), dtype=np.int64), np.zeros(0, dtype=np.int64)


def _nothing(*_: object) -> None:
    return None


PIECES: Final[dict[str, Callable[[], None]]] = {
    "nothing": lambda: None,
    "rounding cuts in column generation": _put("column_generation", "separated", lambda *_: []),
    "dual smoothing": _put("column_generation", "_SMOOTHING", 0.0),
    "duals as exact fractions": _put("dual_bound", "_FRACTIONS", 0),
    "items exchanged (1-opt)": _put("lexicographic", "improved", lambda _, known, level: known),
    "fix-and-optimise": _put("gap", "Gap._search", _nothing),
    "parts of the gap searched first": _put("gap", "_NEAR", ()),
    "parts of the gap searched last": _put("gap", "_PARTS", ()),
    "flow model, first try": _without_first_flow,
    "flow model": _put("gap", "Gap._close_flow", _nothing),
    "enumeration": _put("gap", "Gap._enumerate", _nothing),
    "enumeration within survivors": _without_survivors,
    "Gomory cuts": _put("cutting_planes", "gomory_cuts", _no_cuts),
    "HiGHS among columns": _put("gap", "incumbent_among", _nothing),
    "proximity to the relaxation": _put("gap", "nearest", lambda *_: {}),
    "nearest columns first": _put("cutting_planes", "CutBound.nearest", lambda _, most, __: most),
    "several strategies of CP-SAT": _put("exact", "_WORKERS", 1),
    "modes split": _put("gap", "optimal_face", lambda sub, *_: sub),
}


def drawn(words: str) -> Shop:
    """Return the shop of JOBS/SEED/SHELF, with kits where a k follows."""
    jobs, seed, shelf = words.removesuffix("k").split("/")
    one = shop(int(jobs), int(seed), float(shelf))
    return with_kits(one, int(seed)) if words.endswith("k") else one


def seconds(words: str, limit: float = LIMIT) -> tuple[float, bool]:
    """Return the seconds of the processor of one allotment, and whether it is proven."""
    allotting = import_module("fitsolver.allotment.allot")
    allotting.Clock = ProcessorClock  # type: ignore[attr-defined]
    before = time.process_time()
    answer = allotting.allot(drawn(words), time_limit=limit)
    return time.process_time() - before, answer.status == "proven best"


def measured(piece: str, shops: tuple[str, ...], limit: float) -> str:
    """Return the line of the table, measured in a process of its own."""
    PIECES[piece]()
    told = [seconds(words, limit) for words in shops]
    each = " | ".join(f"{spent:.1f}{'' if proven else '*'}" for spent, proven in told)
    return f"| {piece} | {sum(spent for spent, _ in told):.0f} | {each} |"


def main(words: list[str]) -> None:
    """Print a line as soon as it is measured."""
    shops = tuple(word for word in words if "/" in word) or SHOPS
    limit = next((float(word) for word in words if word.isdigit()), LIMIT)
    pieces = [word for word in words if word in PIECES] or list(PIECES)
    print(f"| without | all | {' | '.join(shops)} |", flush=True)
    for piece in pieces:
        child = os.fork()
        if child == 0:
            print(measured(piece, shops, limit), flush=True)
            os._exit(0)
        os.waitpid(child, 0)


if __name__ == "__main__":
    main(sys.argv[1:])
