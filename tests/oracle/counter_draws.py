"""Drawn questions at a counter: a catalogue folder, bores, and the equal job, written out by hand.

All figures are invented. The job is written from docs/counter.md, not by the program.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from random import Random

MM = Decimal("0.001")
FAMILY = "invented engine 7"


@dataclass(frozen=True)
class Question:
    """A family as files, the bores asked, and the job file that asks the same of `pick`."""

    files: dict[str, str]
    sizes: tuple[str, ...]
    job: str
    oversizes: tuple[Decimal, ...]
    rows: dict[Decimal, tuple[str, ...]]
    screened: bool

    def write(self, folder: Path) -> Path:
        """Write the folder `shelf` and `job.toml` beside it."""
        shelf = folder / "shelf"
        shelf.mkdir()
        for name, text in self.files.items():
            (shelf / name).write_text(text, encoding="utf-8")
        (folder / "job.toml").write_text(self.job, encoding="utf-8")
        return shelf

    def write_size(self, folder: Path, oversize: Decimal) -> Path:
        """Write the folder with the pistons of one size, and no kit that holds another one."""
        folder.mkdir()
        others = {n for size, numbers in self.rows.items() if size != oversize for n in numbers}
        for name, text in self.files.items():
            if name in ("pistons.csv", "kits.csv"):
                head, *rows = text.splitlines()
                kept = [r for r in rows if not any(number in r for number in others)]
                (folder / name).write_text("\n".join([head, *kept, ""]), encoding="utf-8")
            else:
                (folder / name).write_text(text, encoding="utf-8")
        return folder


def table(titles: list[str], rows: list[list[object]]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([titles, *rows])
    return out.getvalue()


@dataclass(frozen=True)
class _Engine:
    """What of a drawn family its tables and its sheet share."""

    standard: Decimal
    step: Decimal
    oversizes: tuple[Decimal, ...]
    low: Decimal
    grooves: int
    grades: int

    @property
    def rows(self) -> dict[Decimal, tuple[str, ...]]:
        return {
            size: tuple(f"P{at}{grade}" for grade in "ABC"[: self.grades])
            for at, size in enumerate(self.oversizes)
        }


def drawn(seed: int) -> Question:
    """Return one question."""
    dice = Random(seed)
    step = dice.choice([Decimal("0.25"), Decimal("0.50")])
    engine = _Engine(
        standard=Decimal(dice.choice(["40.00", "54.00", "62.00", "88.90"])),
        step=step,
        oversizes=tuple(step * n for n in range(dice.randint(3, 5))),
        low=Decimal(dice.choice(["0.030", "0.040", "0.055"])),
        grooves=dice.choice([0, 1, 1, 2]),
        grades=dice.randint(1, 3),
    )
    files = {"pistons.csv": _pistons(dice, engine), "routes.csv": _routes(dice)}
    if engine.grooves:
        files["rings.csv"] = _rings(dice, engine)
        if dice.random() < 0.4:
            files["kits.csv"] = _kits(dice, engine)
    files["catalogue.toml"] = (
        f'format = 1\nname = "drawn"\nfamily = "{FAMILY}"\nunits = "mm"\n'
        f'currency = "EUR"\nstandard_bore = "{engine.standard}"\n'
    )
    count = dice.choice([1, 1, 1, 2, 3])
    states = {name for name in ("price first", "zone", "limit", "form", "squish", "same size")
              if dice.random() < _ODDS[name]}  # fmt: skip
    files["family.toml"] = _sheet(dice, engine, states, count)
    sizes = tuple(str(_bore(dice, engine)) for _ in range(count))
    screened = count == 1 and "price first" not in states
    job = _job(engine, states, sizes)
    return Question(files, sizes, job, engine.oversizes, engine.rows, screened)


_ODDS = {
    **{"price first": 0.15, "zone": 0.5, "limit": 0.3, "form": 0.5, "squish": 0.3},
    "same size": 0.5,
}


def _pistons(dice: Random, engine: _Engine) -> str:
    rows: list[list[object]] = []
    for at, (size, numbers) in enumerate(engine.rows.items()):
        for grade, number in enumerate(numbers):
            skirt = engine.standard + size - engine.low - 10 * MM + grade * 6 * MM
            lead = "" if dice.random() < 0.15 else dice.choice([3, 6, 9])
            row: list[object] = [number, size, skirt - 3 * MM, skirt, number[-1]]
            row += [dice.choice([50, 52, 55]) + at, dice.choice([0, 0, 1, 2]), lead]
            rows.append([*row, *[Decimal("2.030"), Decimal("2.045")] * engine.grooves])
    edges = [f"groove{n + 1}_{edge}" for n in range(engine.grooves) for edge in ("low", "high")]
    titles = ["number", "oversize", "skirt_low", "skirt_high", "grade", "price", "stock"]
    return table([*titles, "lead_days", *edges], rows)


def _kits(dice: Random, engine: _Engine) -> str:
    rows: list[list[object]] = []
    for at in range(len(engine.oversizes)):
        rings = [f"R{at}{n + 1} x1" for n in range(engine.grooves)]
        held = "; ".join([f"P{at}A x1", *rings])
        rows.append([f"K{at}", held, 60 + at, dice.choice([0, 1]), 5])
    return table(["number", "contents", "price", "stock", "lead_days"], rows)


def _sheet(dice: Random, engine: _Engine, states: set[str], count: int) -> str:
    first = 'best = ["restored", "price", "largest_removal", "filing"]'
    sheet = [
        f'format = 1\nfamily = "{FAMILY}"\nunits = "mm"\nstandard_bore = "{engine.standard}"',
        first if "price first" in states else "",
        f'[finish]\nhow = "{dice.choice(["piston in hand", "set size"])}"',
        '[each_cylinder]\nmaterial = "iron"',
    ]
    if "zone" in states:
        sheet.append("[zone]\ntop = 6\nbottom = 60")
        sheet.append('[[port]]\nname = "exhaust"\ntop = 5\nbottom = 20')
    if "limit" in states:
        largest = engine.standard + engine.oversizes[-1] + 100 * MM
        sheet.append(f'[engine]\nbore_limit = "{largest}"')
    wide = Decimal(dice.choice(["0.020", "0.030"]))
    sheet.append(_window("clearance", engine.low, engine.low + wide, '\nguard = "1 um"'))
    if engine.grooves:
        sheet.append(_window("end_gap", Decimal("0.20"), Decimal("0.45")))
    if "form" in states:
        sheet.append(_window("out_of_round", None, Decimal("0.020")))
    if "squish" in states:
        sheet.append(_window("squish", Decimal("0.9"), Decimal("1.2")))
    if "same size" in states and count > 1:
        sheet.append("[[same_size]]")
    return "\n\n".join(sheet) + "\n"


def _job(engine: _Engine, states: set[str], sizes: tuple[str, ...]) -> str:
    form = ["taper"] if "form" in states else ["out_of_round", "taper"]
    opened = form if engine.grooves else []
    depths = ("21", "60") if "zone" in states else ("10", "20")
    job = [
        f'format = 2\nname = "counter"\nunits = "mm"\ncatalogue = "shelf"\nfamily = "{FAMILY}"',
        f"no_window = {opened!r}".replace("'", '"'),
    ]
    if "squish" in states:
        job.append('without = ["window.squish"]')
    for number, size in enumerate(sizes, start=1):
        read = ", ".join(f'[{d}, "{a}", "{size}"]' for d in depths for a in ("thrust", "pin"))
        job.append(f'[[cylinder]]\nname = "{number}"\nreadings = [{read}]')
    return "\n".join(job) + "\n"


def _bore(dice: Random, engine: _Engine) -> Decimal:
    standard, step = engine.standard, engine.step
    top = standard + engine.oversizes[-1]
    if dice.random() < 0.3:  # near a size that is made, where verdicts change
        made = standard + step * dice.randint(0, 4)
        return min(made, top) + dice.randint(-6, 12) * MM
    return standard + dice.randint(0, int((top - standard) / MM) + 120) * MM


def _rings(dice: Random, engine: _Engine) -> str:
    rows: list[list[object]] = []
    file_most = dice.choice(["0", "0.3", "0.7"])
    for at, size in enumerate(engine.oversizes):
        for groove in range(1, engine.grooves + 1):
            row: list[object] = [f"R{at}{groove}", groove, engine.standard + size, "0.20", "0.30"]
            row += ["1.990", "2.000", file_most]
            row += [dice.choice([8, 9]), dice.choice([0, 1, 3]), dice.choice([2, 6])]
            rows.append(row)
    titles = ["number", "grooves", "gauge_diameter", "gap_low", "gap_high", "width_low"]
    titles += ["width_high", "file_most", "price", "stock", "lead_days"]
    return table(titles, rows)


def _routes(dice: Random) -> str:
    rows: list[list[object]] = [["as is", "as is", 0, "", 0, "", 0, 0]]
    half = dice.choice(["0.003", "0.004"])
    rows.append(["finish hone", "finish hone", "0.010", "0.080", half, "iron", 18, 1])
    if dice.random() < 0.9:
        kind = "rough and finish hone"
        rows.append([kind, kind, "0.030", "0.300", half, "iron", 32, 1])
    if dice.random() < 0.5:
        rows.append(["bore and hone", "bore and hone", "0.080", "0.800", half, "iron", 48, 2])
    titles = ["name", "kind", "min_cut", "max_cut", "half_width", "materials", "cost", "days"]
    return table(titles, rows)


def _window(fit: str, low: Decimal | None, high: Decimal, more: str = "") -> str:
    least = "" if low is None else f'\nlow = "{low}"'
    return f'[[window]]\nfit = "{fit}"{least}\nhigh = "{high}"{more}\nsource = "invented"'
