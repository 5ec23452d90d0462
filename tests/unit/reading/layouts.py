"""Drawn readings in the layouts that people write them in. All figures are invented."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from random import Random

from openpyxl import Workbook

PER = {"mm": Decimal(100_000), "in": Decimal(2_540_000)}
ANGLES = {"thrust": 0, "pin": 90, "45°": 45}


@dataclass(frozen=True)
class Drawn:
    """A job with its sheet; `readings`: (depth, angle, size) of each cylinder, in ticks."""

    job: str
    sheet: list[list[list[str]]]
    suffix: str
    separator: str
    readings: dict[str, set[tuple[int, int, int]]]

    def write(self, folder: Path) -> Path:
        (folder / "job.toml").write_text(self.job, encoding="utf-8")
        path = folder / f"read{self.suffix}"
        if self.suffix == ".xlsx":
            book = Workbook()
            book.remove(book.active)
            for number, rows in enumerate(self.sheet):
                page = book.create_sheet(f"sheet {number + 1}")
                for row in rows:
                    page.append([_number(cell) for cell in row])
            book.save(path)
        else:
            out = io.StringIO()
            rows = csv.writer(out, delimiter=self.separator, lineterminator="\n")
            rows.writerows(self.sheet[0])
            path.write_text(out.getvalue(), encoding="utf-8")
        return folder / "job.toml"


def _number(cell: str) -> object:
    try:
        return float(cell) if "." in cell else int(cell)
    except ValueError:
        return cell or None


def drawn(seed: int) -> Drawn:
    """Return one layout with known content."""
    dice = Random(seed)
    unit = dice.choice(["mm", "in"])
    names = [str(n + 1) for n in range(dice.randint(1, 8))]
    if dice.random() < 0.2:
        names = [f"L{name}" for name in names]
    depths = ["8", "40", "74"] if unit == "mm" else ["0.3", "1.5", "2.9"]
    depths = depths[: dice.randint(1, 3)]
    axes = dice.choice([["thrust", "pin"], ["pin", "thrust"], ["thrust"], ["thrust", "45°", "pin"]])
    dial = dice.random() < 0.4
    base, step = (Decimal("62"), Decimal("0.001")) if unit == "mm" else (
        Decimal("3.5"), Decimal("0.0001"))  # fmt: skip
    figures: dict[tuple[str, str, str], Decimal] = {}
    for name in names:
        for depth in depths:
            for axis in axes:
                if dice.random() > 0.05 or len(figures) < 2:
                    figures[name, depth, axis] = step * dice.randint(5, 60)
    names = [name for name in names if any(key[0] == name for key in figures)]
    told = {key: figure if dial else base + figure for key, figure in figures.items()}
    readings = {
        name: {
            (int(Decimal(d) * PER[unit]), ANGLES[a], int((base + figures[n, d, a]) * PER[unit]))
            for n, d, a in figures
            if n == name
        }
        for name in names
    }
    suffix = dice.choice([".csv", ".xlsx", ".txt"])
    separator = dice.choice([",", ";", "\t"]) if suffix != ".xlsx" else ""
    comma = suffix != ".xlsx" and separator != "," and dice.random() < 0.4
    rows = _titles(dice) + _LAYOUTS[dice.randrange(len(_LAYOUTS))](
        dice, names, depths, axes, told, _Heads(unit, "dial" if dial else "diameter")
    )
    if comma:
        rows = [[cell.replace(".", ",") if _is_figure(cell) else cell for cell in r] for r in rows]
    if dice.random() < 0.3:
        rows = [[f" {cell} " if cell else "" for cell in row] for row in rows]
    if suffix != ".xlsx":
        width = max(map(len, rows))
        rows = [row + [""] * (width - len(row)) for row in rows]
    sheets = [rows]
    if suffix == ".xlsx" and dice.random() < 0.4:
        sheets.insert(dice.randint(0, 1), [["notes", "invented"], ["plated", "no"]])
    job = [f'format = 1\nname = "drawn"\nunits = "{unit}"']
    for name in names:
        zero = f"\nzero = {base}" if dial else ""
        job.append(f'[[cylinder]]\nname = "{name}"\nmaterial = "iron"{zero}')
        job.append(f'readings_file = "read{suffix}"')
    return Drawn("\n".join(job) + "\n", sheets, suffix, separator, readings)


def _is_figure(cell: str) -> bool:
    return bool(cell) and cell.replace(".", "").isdigit()


@dataclass(frozen=True)
class _Heads:
    unit: str
    kind: str

    def depth(self, dice: Random) -> str:
        word = dice.choice(["depth", "Depth", "DEPTH"])
        return word + dice.choice(["", f" [{self.unit}]", f" [{self.unit.upper()}]"])


Told = dict[tuple[str, str, str], Decimal]


def _titles(dice: Random) -> list[list[str]]:
    titles = [["Bores as read"], ["invented for a test", "", "3 March"], ["reader: first"]]
    return titles[: dice.choice([0, 0, 1, 2, 3])]


def _case(dice: Random, word: str) -> str:
    return dice.choice([word, word.capitalize(), word.upper()])


def _cylinder(dice: Random, name: str) -> str:
    return f"{dice.choice(['cylinder', 'Cyl', 'cyl.'])} {name}"


def _long(d: Random, names: list[str], depths: list[str], axes: list[str], told: Told, heads: _Heads
) -> list[list[str]]:  # fmt: skip
    order = [0, 1, 2, 3]
    d.shuffle(order)
    head = [_case(d, "cylinder"), heads.depth(d), _case(d, "axis"), _case(d, heads.kind)]
    rows = [head] + [[n, p, _case(d, a), str(f)] for (n, p, a), f in told.items()]
    return [[row[place] for place in order] for row in rows]


def _grid(d: Random, names: list[str], depths: list[str], axes: list[str], told: Told, heads: _Heads
) -> list[list[str]]:  # fmt: skip
    way = d.choice(["{c} {a}", "{a} {c}", "{c}/{a}", "{n}-{a}", "{n} {a}"])
    head = [heads.depth(d)]
    head += [way.format(c=_cylinder(d, n), n=n, a=_case(d, a)) for n in names for a in axes]
    return [head, *_by_depth(names, depths, axes, told)]


def _two_rows(
    d: Random, names: list[str], depths: list[str], axes: list[str], told: Told, heads: _Heads
) -> list[list[str]]:
    once = d.random() < 0.5
    over, under = [d.choice(["", "cylinder"])], [heads.depth(d)]
    for name in names:
        word = d.choice([name, _cylinder(d, name)])
        over += [word, *("" if once else word for _ in axes[1:])]
        under += [_case(d, axis) for axis in axes]
    if d.random() < 0.5:
        over[0], under[0] = under[0], ""
    return [over, under, *_by_depth(names, depths, axes, told)]


def _by_depth(names: list[str], depths: list[str], axes: list[str], told: Told) -> list[list[str]]:
    return [
        [p, *(str(told.get((n, p, a), "")) for n in names for a in axes)] for p in depths
    ]  # fmt: skip


def _by_place(
    d: Random, names: list[str], depths: list[str], axes: list[str], told: Told, heads: _Heads
) -> list[list[str]]:
    two = d.random() < 0.5
    head = ["cylinder", "axis"] if two else [heads.depth(d)]
    rows = [[*head, *depths]]
    for name in names:
        for number, axis in enumerate(axes):
            label = [name if number == 0 or d.random() < 0.7 else "", _case(d, axis)]
            label = label if two else [f"{_cylinder(d, name)} {axis}"]
            rows.append([*label, *(str(told.get((name, p, axis), "")) for p in depths)])
    return rows


_LAYOUTS = (_long, _grid, _two_rows, _by_place)
