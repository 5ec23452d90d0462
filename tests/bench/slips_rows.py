"""Slips of the hand in catalogues: which are named, and which change an order unnamed.

    python -m tests.bench.slips_rows

Every numeric cell of pistons, rings, gaskets, kits and routes is typed wrong in the usual ways:
two digits swapped, the sign turned, the point moved, 0.2, 0.25 and 1 added and taken off. A slip
counts as named where reading refuses it, where the row is doubted, or where the job is refused
for it. Of the others those that count against the measure change the parts of the plan, or its
finish by more than the width of the clearance window.
"""

from __future__ import annotations

import argparse
import re
import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final, NamedTuple

from fitsolver.base.errors import CheckError, InputError
from fitsolver.doubts.rows import row_doubts
from fitsolver.doubts.set_aside import trusted
from fitsolver.picking.decide import decide
from fitsolver.reading.job_file import read_job
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.plan import Plan
from fitsolver.usecases.loading import hold_together

from .clean_tables import TABLES, Tables, draw, tables_of

DEMOS: Final = Path(__file__).parents[2] / "catalogs_demo"
#: A demo catalogue, and the job that is decided with it.
DEMO_JOBS: Final = {
    "pump": ("pump", "pump/job.toml"),
    "launch": ("launch", "launch/job.toml"),
    "brushsaw": ("brushsaw", "brushsaw/job.toml"),
    "workshop": ("workshop/catalogue", "workshop/template.toml"),
}
#: Text columns, and figures that slips are not made in: what an order costs and when it comes.
_TEXT: Final = ("number", "grade", "alloy", "place", "name", "kind", "materials", "contents")
_NOT_OF_ROUTES: Final = ("cost", "days")
_STEPS: Final = (Decimal("0.2"), Decimal("0.25"), Decimal(1))
_LENGTHS: Final = re.compile("price|stock|lead_days|mass|grooves$")


class Slip(NamedTuple):
    """One cell typed wrong."""

    table: str
    at: int
    row: str
    column: str
    right: str
    wrong: str
    what: str


@dataclass
class Tally:
    """What came of the slips of some catalogues."""

    slips: int = 0
    refused: int = 0
    doubted: int = 0
    job_refused: int = 0
    harmless: int = 0
    unnamed: list[tuple[str, Slip, str]] = field(default_factory=list)
    false_alarms: list[tuple[str, str]] = field(default_factory=list)
    catalogues: int = 0

    def line(self, name: str) -> str:
        share = 100 * len(self.unnamed) / max(self.slips, 1)
        figures = (self.catalogues, self.slips, self.refused, self.doubted, self.job_refused,
                   self.harmless, len(self.unnamed))  # fmt: skip
        counted = " ".join(f"{figure:>10}" for figure in figures)
        return f"{name:<14} {counted} {share:>8.2f} % {len(self.false_alarms):>8}"


HEAD: Final = (
    f"{'':<14} "
    + " ".join(
        f"{name:>10}"
        for name in ("catalogues", "slips", "refused", "doubted", "job ref.", "harmless", "unnamed")
    )
    + f" {'share':>10} {'alarms':>8}"
)


def slips(tables: Tables, unit: str) -> Iterator[Slip]:
    """Yield every slip in every numeric cell of a catalogue's tables."""
    for table in TABLES:
        for at, row in enumerate(tables.rows.get(table, [])):
            name = row.get("number") or row.get("name") or ""
            for column, cell in row.items():
                plain = column.split(" ")[0]
                if table == "kits" and plain == "contents":
                    yield from _counts(at, name, column, cell)
                elif plain not in _TEXT and not (table == "routes" and plain in _NOT_OF_ROUTES):
                    inch = unit == "in" and not _LENGTHS.search(plain)
                    for wrong, what in wrongs(cell, inch):
                        yield Slip(table, at, name, column, cell, wrong, what)


def wrongs(cell: str, inch: bool) -> Iterator[tuple[str, str]]:
    """Yield a figure typed wrong in the usual ways, each text once."""
    try:
        value = Decimal(cell)
    except InvalidOperation:
        return
    seen = {value}
    for wrong, what in _wrongs(cell, value, inch):
        if Decimal(wrong) not in seen:
            seen.add(Decimal(wrong))
            yield wrong, what


def _wrongs(cell: str, value: Decimal, inch: bool) -> Iterator[tuple[str, str]]:
    for at in range(len(cell) - 1):
        if cell[at : at + 2].isdigit():
            yield cell[:at] + cell[at + 1] + cell[at] + cell[at + 2 :], "swapped"
    yield f"{-value:f}", "sign"
    yield f"{value * 10:f}", "x 10"
    yield f"{value / 10:f}", "/ 10"
    for step in _STEPS:
        for signed in (step, -step):
            yield f"{value + signed:f}", f"{signed:+f}"
            if inch:
                by = (signed / Decimal("25.4")).quantize(Decimal("0.0001"))
                yield f"{value + by:f}", f"{signed:+f} mm"


def _counts(at: int, name: str, column: str, cell: str) -> Iterator[Slip]:
    for match in re.finditer(r" x(\d+)", cell):
        for wrong, what in wrongs(match[1], inch=False):
            if Decimal(wrong) == int(Decimal(wrong)) and Decimal(wrong) >= 0:
                typed = f"{cell[: match.start(1)]}{int(Decimal(wrong))}{cell[match.end(1) :]}"
                yield Slip("kits", at, name, column, cell, typed, what)


def try_slips(
    name: str, tables: Tables, job: Job, tally: Tally, *, every: int = 1, kept: int = 0
) -> None:
    """Add what comes of (every so many) slips of a catalogue to a tally."""
    with TemporaryDirectory() as folder:
        place = Path(folder)
        clean = tables.read(place)
        tally.catalogues += 1
        tally.false_alarms += [(name, f"{d.id}: {d.sentence}") for d in row_doubts(clean)]
        right = decide(job, clean).plan
        for number, slip in enumerate(slips(tables, clean.unit)):
            if number % every != kept:
                continue
            tally.slips += 1
            typed = tables.with_cell(slip.table, slip.at, slip.column, slip.wrong)
            try:
                wrong = typed.read(place)
            except InputError:
                tally.refused += 1
                continue
            doubts = {doubt.id for doubt in row_doubts(wrong)}
            if f"row {slip.row}" in doubts:
                tally.doubted += 1
                continue
            harm = "" if _no_matter(job, slip) else _harm(job, wrong, right)
            if harm is None:
                tally.job_refused += 1
            elif harm:
                tally.unnamed.append((name, slip, harm + _elsewhere(doubts)))
            else:
                tally.harmless += 1


def _no_matter(job: Job, slip: Slip) -> bool:
    """Tell whether no rule of the job looks at the figure: then it is not solved."""
    if slip.column.startswith("mass"):
        return not job.mass_match
    return slip.column == "gauge_height"


def _elsewhere(doubts: set[str]) -> str:
    return f"; doubted instead: {', '.join(sorted(doubts))}" if doubts else ""


def _harm(job: Job, catalogue: Catalogue, right: Plan | None) -> str | None:
    """Return how a slip changes the plan ("" not at all, None: the job is refused)."""
    try:
        hold_together(job, catalogue)
        plan = decide(job, trusted(job, catalogue), rows_back=False).plan
    except InputError:
        return None
    except CheckError as error:
        return f"check: {error}"
    if plan is None or right is None:
        return "" if plan is right else f"{_chosen(right)} -> {_chosen(plan)}"
    if _chosen(plan) != _chosen(right):
        return f"{_chosen(right)} -> {_chosen(plan)}"
    moved = max(
        max(abs(one.finish_small - other.finish_small), abs(one.finish_large - other.finish_large))
        for one, other in zip(plan.cylinders, right.cylinders, strict=True)
    )
    return f"finish off by {moved / 100_000:.3f} mm" if moved > _window(plan) else ""


def _window(plan: Plan) -> int:
    """The width of the narrowest clearance window (ticks)."""
    widths = [
        fit.high - fit.low
        for cylinder in plan.cylinders
        for fit in cylinder.fits
        if fit.fit == "clearance" and fit.low is not None and fit.high is not None
    ]
    return min(widths, default=0)


def _chosen(plan: Plan | None) -> str:
    """The parts of a plan, as text."""
    if plan is None:
        return "no plan"
    found: Counter[str] = Counter()
    for cylinder in plan.cylinders:
        found[cylinder.piston.number] += 1
        found.update(ring.number for ring in cylinder.rings)
        for gasket in cylinder.gaskets:
            found[gasket.number] += gasket.count
    return " ".join(f"{number} x{count}" for number, count in sorted(found.items()))


def demo(name: str) -> tuple[Tables, Job]:
    """Return the tables of a demo catalogue and the job decided with them."""
    folder, job = DEMO_JOBS[name]
    tables = tables_of(DEMOS / folder)
    if name == "workshop":  # its shelf is counted apart
        for row in (*tables.rows["pistons"], *tables.rows["rings"]):
            row["stock"] = "2"
    return tables, read_job(DEMOS / job)


def main() -> None:
    parser = argparse.ArgumentParser(description="Slips in catalogue rows, named and unnamed.")
    parser.add_argument("--drawn", type=int, default=200, help="drawn catalogues")
    parser.add_argument("--every", type=int, default=1, help="of so many slips try one")
    parser.add_argument("--demos", nargs="*", default=list(DEMO_JOBS))
    asked = parser.parse_args()
    write = sys.stdout.write
    write(HEAD + "\n")
    told: list[tuple[str, Slip, str]] = []
    alarms: list[tuple[str, str]] = []
    for name in asked.demos:
        tally = Tally()
        try_slips(name, *demo(name), tally, every=asked.every)
        write(tally.line(name) + "\n")
        told, alarms = [*told, *tally.unnamed], [*alarms, *tally.false_alarms]
    drawn, started = Tally(), time.monotonic()
    for seed in range(asked.drawn):
        try_slips(f"drawn {seed}", *draw(seed), drawn, every=asked.every, kept=seed % asked.every)
    write(drawn.line("drawn") + f"   {time.monotonic() - started:.0f} s\n")
    for where, said in [*alarms, *drawn.false_alarms]:
        write(f"false alarm: {where}: {said}\n")
    for where, slip, harm in [*told, *drawn.unnamed]:
        write(f"unnamed: {where}: {slip.table} {slip.row} {slip.column}: ")
        write(f"{slip.right} -> {slip.wrong} ({slip.what}): {harm}\n")


if __name__ == "__main__":
    main()
