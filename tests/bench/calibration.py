"""Print the calibration experiment as tables: `python -m tests.bench.calibration`.

The tables of docs/calibration.md are this output.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import partial
from typing import Final

from fitsolver.records.measuring import Setting
from tests.bench import calibration_beyond as beyond
from tests.bench import calibration_worlds
from tests.bench.calibration_experiment import (
    Band,
    Flags,
    Model,
    Outcome,
    bands,
    bands_of,
    experiment,
    without_correlation,
    without_temperature,
)
from tests.bench.calibration_workshops import SETTINGS, WORKSHOPS

CASES: Final = 4_000_000
#: For the wrong models, and what goes beyond: enough to see by how much.
FEWER: Final = 400_000
#: Accepted cases up to this stated probability lie at the edge of the guarded window.
EDGE: Final = 0.96
WRONG: Final[tuple[tuple[str, Setting, Model], ...]] = (
    ("correlation ignored, set in the micrometer", "micrometer", without_correlation),
    ("temperature ignored, set in the micrometer", "micrometer", without_temperature),
    ("temperature ignored, set on a master", "master", without_temperature),
)
BEYOND: Final[tuple[tuple[str, Callable[[int], beyond.Result]], ...]] = (
    ("bore read three times", partial(beyond.read_repeatedly, repeats=3)),
    ("bore read ten times", partial(beyond.read_repeatedly, repeats=10)),
    ("bore read five times, the gauge left in", beyond.read_without_lifting),
    ("every bore read by another person", beyond.read_by_anyone),
    ("the same, and not told", partial(beyond.read_by_anyone, told=False)),
    ("six places of a bore that is not round", beyond.six_places),
    ("hone keeps to the middle of the window", beyond.well_honed),
)


def report() -> Iterator[str]:
    """Yield the lines of the tables."""
    outcomes = {setting: experiment(setting, CASES) for setting in SETTINGS}
    for setting, outcome in outcomes.items():
        yield from _titled(f"Gauge set {_place(setting)}", _band_table(bands(outcome)))
    yield from _titled("By workshop", _by_workshop(outcomes))
    yield from _titled("Accepted, and truly out of the window", _decisions(outcomes))
    wrong = [(name, bands(experiment(way, FEWER, model=model))) for name, way, model in WRONG]
    yield from _titled("Wrong models", _off_table(wrong))
    further = [(name, bands_of(*draw(FEWER))) for name, draw in BEYOND]
    yield from _titled("Beyond the model", _off_table(further))
    yield from calibration_worlds.report()


def risks(outcome: Outcome, chosen: Flags) -> tuple[int, float, float]:
    """Return how many cases are chosen, the risk stated for them and the one they had."""
    if not chosen.any():
        return 0, 0.0, 0.0
    stated, realised = outcome.stated[chosen].mean(), outcome.conforms[chosen].mean()
    return int(chosen.sum()), 1 - float(stated), 1 - float(realised)


def at_edge(outcome: Outcome) -> Flags:
    """Return which cases are accepted at the edge of the guarded window."""
    return outcome.accepted & (outcome.stated < EDGE)


def _place(setting: Setting) -> str:
    return "on a master" if setting == "master" else "in the micrometer"


def _titled(title: str, table: Iterable[str]) -> Iterator[str]:
    yield from (f"**{title}**", "", *table, "")


def _band_table(rows: list[Band]) -> Iterator[str]:
    yield "| band | cases | stated | realised | difference | sampling error |"
    yield "|---|---:|---:|---:|---:|---:|"
    for row in rows:
        yield (
            f"| {_range(row)} | {row.cases:,} | {_percent(row.stated)} | {_percent(row.realised)} "
            f"| {100 * row.off:+.2f} | {100 * row.sampling_error:.2f} |"
        )


def _range(row: Band) -> str:
    return f"{100 * row.low:.0f} to {100 * row.high:.0f} %"


def _percent(share: float) -> str:
    return f"{100 * share:.2f} %"


def _by_workshop(outcomes: dict[Setting, Outcome]) -> Iterator[str]:
    yield "| workshop | gauge set | largest difference | if every source were normal |"
    yield "|---|---|---:|---:|"
    for setting, outcome in outcomes.items():
        normal = experiment(setting, CASES, all_normal=True)
        for index, workshop in enumerate(WORKSHOPS):
            true, other = (_largest(bands(drawn.of(index))) for drawn in (outcome, normal))
            yield f"| {workshop.name} | {_place(setting)} | {true} | {other} |"


def _largest(rows: list[Band]) -> str:
    worst = max((row for row in rows if row.enough), key=lambda row: abs(row.off))
    return f"{100 * worst.off:+.2f} ± {100 * worst.sampling_error:.2f}"


def _decisions(outcomes: dict[Setting, Outcome]) -> Iterator[str]:
    yield "| gauge set | decision | accepted | stated risk | realised |"
    yield "|---|---|---:|---:|---:|"
    for setting, outcome in outcomes.items():
        for name, chosen in (
            ("plain", outcome.plain),
            ("guarded, 95 %", outcome.accepted),
            (f"of these below {100 * EDGE:.0f} %", at_edge(outcome)),
        ):
            count, stated, realised = risks(outcome, chosen)
            yield (
                f"| {_place(setting)} | {name} | {count:,} "
                f"| {_percent(stated)} | {_percent(realised)} |"
            )


def _off_table(rows: list[tuple[str, list[Band]]]) -> Iterator[str]:
    """One row a band, one column a variation: realised minus stated."""
    yield "| band | " + " | ".join(name for name, _ in rows) + " |"
    yield "|---|" + "---:|" * len(rows)
    for row in range(len(rows[0][1])):
        cells = [found[row] for _, found in rows]
        yield f"| {_range(cells[0])} | " + " | ".join(f"{100 * c.off:+.2f}" for c in cells) + " |"


if __name__ == "__main__":
    for line in report():
        print(line)
