"""Catalogues as their tables: the demos, and clean ones drawn in the shapes that shops have.

A drawn catalogue has no slip in it; what varies in it varies as makers vary it: grades, ladders
of sizes, kinds of pistons, suppliers. All of it is invented.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass, field, replace
from decimal import Decimal
from pathlib import Path
from random import Random
from typing import Final

from fitsolver.base.lengths import TICKS_PER, Unit, parse_length
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, GasketPlace, Job, Squish
from fitsolver.records.readings import Reading
from fitsolver.records.windows import Window

Row = dict[str, str]
TABLES: Final = ("pistons", "rings", "gaskets", "kits", "routes")
SHAPES: Final = ("graded", "laddered", "inch", "two kinds", "two suppliers", "coated", "few rows")


@dataclass(frozen=True)
class Tables:
    """The head (text of catalogue.toml) and tables of a catalogue, every cell as typed."""

    head: str
    rows: dict[str, list[Row]] = field(default_factory=dict)

    def read(self, folder: Path) -> Catalogue:
        """Write the tables to a folder and read them; raises InputError as reading does."""
        (folder / "catalogue.toml").write_text(self.head, encoding="utf-8")
        for name in TABLES:
            file = folder / f"{name}.csv"
            rows = self.rows.get(name)
            if not rows:
                file.unlink(missing_ok=True)
                continue
            with file.open("w", newline="", encoding="utf-8") as stream:
                writer = csv.DictWriter(stream, list(rows[0]), lineterminator="\n")
                writer.writeheader()
                writer.writerows(rows)
        return read_catalogue(folder)

    def with_cell(self, table: str, at: int, column: str, text: str) -> Tables:
        """Return the same with one cell typed otherwise."""
        rows = [dict(row) for row in self.rows[table]]
        rows[at][column] = text
        return replace(self, rows={**self.rows, table: rows})


def tables_of(folder: Path) -> Tables:
    """Return the tables of a catalogue folder."""
    found = {}
    for name in TABLES:
        file = folder / f"{name}.csv"
        if file.exists():
            with file.open(newline="", encoding="utf-8") as stream:
                found[name] = list(csv.DictReader(stream))
    return Tables((folder / "catalogue.toml").read_text(encoding="utf-8"), found)


@dataclass
class _Draw:
    """What the rows of one drawn catalogue have in common."""

    dice: Random
    shape: str
    unit: Unit
    bore: Decimal
    oversizes: list[Decimal]
    grooves: int
    clearance: Decimal
    coded: bool
    width: Decimal  # mm, of the rings
    pin: Decimal
    height: Decimal
    count: int = 0

    def said(self, value: Decimal) -> str:
        return f"{value:f}"

    def code(self, oversize: Decimal) -> str:
        per = 1000 if self.unit == "in" else 100
        return f"{int(oversize * per):03d}"

    def number(self, prefix: str, oversize: Decimal, grade: str = "") -> str:
        """A number that names its size, or a running one that names nothing."""
        if self.coded:
            return f"{prefix}-{self.code(oversize)}{grade}"
        self.count += self.dice.randrange(1, 40)
        return f"{prefix}{7000 + self.count}"

    def mm(self, text: str) -> Decimal:
        """A length given in mm, in the catalogue's unit, to its usual decimals."""
        if self.unit == "mm":
            return Decimal(text)
        return (Decimal(text) / Decimal("25.4")).quantize(Decimal("0.0001"))


def draw(seed: int) -> tuple[Tables, Job]:
    """Return a clean catalogue and a job of one cylinder for it, from a seed."""
    dice = Random(seed)
    shape = SHAPES[seed % len(SHAPES)]
    inch = shape == "inch" or (shape == "few rows" and dice.random() < 0.3)
    d = _start(dice, shape, "in" if inch else "mm")
    rows: dict[str, list[Row]] = {"pistons": _pistons(d), "rings": _rings(d)}
    rows["gaskets"] = _gaskets(d)
    rows["routes"] = _routes(d)
    rows["kits"] = _kits(d, rows) if dice.random() < 0.7 and shape != "few rows" else []
    head = (
        f'format = 1\nname = "drawn {seed}"\nfamily = "drawn"\nunits = "{d.unit}"\n'
        f'standard_bore = "{d.bore}"\nnote = "Invented."\n'
    )
    return Tables(head, rows), _job(d, rows)


def _start(dice: Random, shape: str, unit: Unit) -> _Draw:
    if unit == "in":
        bore = Decimal(dice.randrange(2500, 4200, 25)) / 1000
        sizes = [Decimal(step) / 1000 for step in (0, 10, 20, 30, 40, 60)]
        clearance = Decimal(dice.randrange(15, 40, 5)) / 10000
    else:
        bore = Decimal(dice.randrange(40, 100))
        step = dice.choice(["0.25", "0.50", "0.20"])
        sizes = [Decimal(step) * at for at in range(6)]
        clearance = Decimal(dice.randrange(30, 80, 5)) / 1000
    count = dice.randrange(3, 5) if shape == "few rows" else dice.randrange(3, 7)
    if shape == "coated":
        clearance = Decimal(dice.choice(["-0.010", "-0.020", "0.010"]))
    drawn = _Draw(
        dice=dice,
        shape=shape,
        unit=unit,
        bore=bore.quantize(Decimal("0.001" if unit == "mm" else "0.0001")),
        oversizes=sizes[:count],
        grooves=dice.choice([1, 2, 2, 2, 3]),
        clearance=clearance,
        coded=dice.random() < 0.6,
        width=Decimal(dice.choice(["1.2", "1.5", "2.0"])),
        pin=Decimal(),
        height=Decimal(),
    )
    last = Decimal("0.5") if unit == "mm" else Decimal("0.0625")
    drawn.height = _near(bore * dice.randrange(45, 66) / 100, last)
    drawn.pin = _near(bore * dice.randrange(20, 29) / 100, last)
    return drawn


def _near(value: Decimal, step: Decimal) -> Decimal:
    """The whole number of steps next to a value."""
    return (value / step).quantize(Decimal(1)) * step


def _sold(d: _Draw, price: Decimal) -> Row:
    return {
        "price": f"{price:.2f}",
        "stock": str(d.dice.randrange(1, 6)),
        "lead_days": d.dice.choice(["4", "6", "6", "12", "25"]),
    }


def _pistons(d: _Draw) -> list[Row]:
    dice, rows = d.dice, []
    kinds = 2 if d.shape in ("two kinds", "two suppliers") else 1
    price = Decimal(dice.randrange(30, 90))
    mass = Decimal(dice.randrange(60, 480))
    for kind in range(kinds):
        forged = kind and d.shape == "two kinds"
        grades = "ABC"[: dice.choice([2, 3])] if d.shape == "graded" else "-"
        tolerance = Decimal("0.006") if d.shape == "graded" else Decimal("0.010")
        tolerance = d.mm(str(tolerance)) if d.unit == "mm" else Decimal("0.0005")
        gap = d.clearance + (Decimal("0.040") if forged else 0)
        for at, oversize in enumerate(d.oversizes):
            for place, grade in enumerate(grades):
                grade_mark = "" if grade == "-" else grade
                row = {
                    "number": d.number(f"{'PQ'[kind]}P", oversize, grade_mark),
                    "oversize": d.said(oversize),
                }
                row |= _skirt(d, d.bore + oversize, gap - place * tolerance, tolerance)
                row |= {
                    "grade": grade_mark,
                    "gauge_height": d.said(d.mm("12.7") if d.unit == "in" else Decimal("14.00")),
                    "pin_diameter": d.said(d.pin),
                    "compression_height": d.said(d.height),
                    "compression_height_tolerance": d.said(d.mm("0.03")),
                    "mass_g": f"{_mass(mass, kind, at, place):.1f}",
                    "mass_tolerance_g": "1.0",
                    "alloy": "al_4032" if forged else "al_a132",
                }
                for groove in range(1, d.grooves + 1):
                    low = d.mm(str(d.width + Decimal("0.03" if groove == 1 else "0.02")))
                    row |= {
                        f"groove{groove}_low": d.said(low),
                        f"groove{groove}_high": d.said(low + d.mm("0.015")),
                        f"groove{groove}_depth": d.said(d.mm("3.00")),
                    }
                factor = Decimal("1.6") if forged else 1 + Decimal(kind) / 10
                row |= _sold(d, price * factor * (1 + at * Decimal("0.03")))
                rows.append(row)
    _vary(d, rows)
    return rows


def _mass(mass: Decimal, kind: int, at: int, place: int) -> Decimal:
    return mass * (1 + kind * Decimal("0.04")) + at * Decimal("1.2") + place * Decimal("0.4")


def _vary(d: _Draw, rows: list[Row]) -> None:
    """A row on sale, and one with another pin, mass and price: nothing of it is a slip."""
    if d.dice.random() < 0.2:
        row = d.dice.choice(rows)
        row["price"] = f"{Decimal(row['price']) * Decimal('0.6'):.2f}"
    if d.dice.random() < 0.2:
        other = dict(d.dice.choice(rows))
        other["number"] += "-P"
        other["pin_diameter"] = d.said(d.pin + d.mm("2"))
        other["mass_g"] = f"{Decimal(other['mass_g']) * Decimal('1.03'):.1f}"
        other["price"] = f"{Decimal(other['price']) * Decimal('0.7'):.2f}"
        rows.append(other)


def _skirt(d: _Draw, bore: Decimal, clearance: Decimal, tolerance: Decimal) -> Row:
    if d.shape == "inch":
        return {
            "for_bore": d.said(bore),
            "for_clearance_low": d.said(clearance),
            "for_clearance_high": d.said(clearance + tolerance),
        }
    high = bore - clearance
    return {"skirt_low": d.said(high - tolerance), "skirt_high": d.said(high)}


def _rings(d: _Draw) -> list[Row]:
    dice, rows = d.dice, []
    suppliers = 2 if d.shape == "two suppliers" else 1
    over = dice.random() < 0.2 and d.shape != "few rows"
    for supplier in range(suppliers):
        for groove in range(1, d.grooves + 1):
            price = Decimal(dice.randrange(5, 15))
            least = d.bore / (300 if groove == 1 else 260) * (1 if groove < 3 else Decimal("1.2"))
            sizes = [*d.oversizes, *([2 * d.oversizes[-1] - d.oversizes[-2]] if over else [])]
            for at, oversize in enumerate(sizes):
                rows.append(_ring(d, groove, supplier, oversize, least, price + at / Decimal(5)))
    return rows


def _ring(
    d: _Draw, groove: int, supplier: int, oversize: Decimal, least: Decimal, price: Decimal
) -> Row:
    last = Decimal("0.01") if d.unit == "mm" else Decimal("0.001")
    low = (least * (1 + supplier * Decimal("0.1"))).quantize(last)
    high = (low * Decimal("1.5")).quantize(last)
    filing = "0.50" if supplier == 0 else "0"
    return {
        "number": d.number(f"{'RS'[supplier]}{groove}", oversize),
        "grooves": str(groove),
        "gauge_diameter": d.said(d.bore + oversize),
        "gap_low": d.said(low),
        "gap_high": d.said(high),
        "width_low": d.said(d.mm(str(d.width - Decimal("0.022")))),
        "width_high": d.said(d.mm(str(d.width - Decimal("0.010")))),
        "radial_depth": d.said(d.mm("2.60")),
        "file_most": d.said(d.mm(filing)) if filing != "0" else "",
        "seat_over": d.said(d.mm("0.30")),
        "alloy": "ductile_iron" if groove == 1 else "grey_iron",
        **_sold(d, price * (1 + supplier * Decimal("0.2"))),
    }


def _gaskets(d: _Draw) -> list[Row]:
    if d.dice.random() < 0.3:
        return []
    rows = []
    for thickness in ("0.60", "0.80", "1.00", "1.20")[: d.dice.randrange(2, 5)]:
        crush = (Decimal(thickness) * Decimal("0.15")).quantize(Decimal("0.01"))
        thick = d.mm(thickness).quantize(Decimal("0.01" if d.unit == "mm" else "0.001"))
        name = f"GH-{int(thick * (100 if d.unit == 'mm' else 1000)):03d}"
        d.count += 3
        rows.append(
            {
                "number": name if d.coded else f"GH{d.count}",
                "place": "head",
                "thickness": d.said(thick),
                "crush": d.said(d.mm(str(crush))),
                "tolerance": d.said(d.mm("0.03")),
                **_sold(d, Decimal(6) + Decimal(thickness)),
            }
        )
    return rows


def _routes(d: _Draw) -> list[Row]:
    def row(kind: str, cuts: tuple[str, str], half: str, cost: int, base: str = "") -> Row:
        low, high = (d.said(d.mm(cut)) if cut else "" for cut in cuts)
        return {
            "name": kind, "kind": kind, "min_cut": low, "max_cut": high,
            "half_width": d.said(d.mm(half)), "cost": str(cost), "days": "1",
            "restored_bore": base,
        }  # fmt: skip

    halves = d.dice.choice([("0.003", "0.004", "0.005"), ("0.005", "0.006", "0.008")])
    rows = [
        row("finish hone", ("0.010", d.dice.choice(["0.06", "0.08", "0.10"])), halves[0], 20),
        row("rough and finish hone", ("0.020", d.dice.choice(["0.25", "0.30"])), halves[1], 40),
        row("bore and hone", ("0.100", ""), halves[2], 60),
    ]
    if d.dice.random() < 0.5:
        base = d.said(d.bore - d.mm("0.10"))
        rows.append(row("restore", ("0.05", "0.40"), halves[2], 150, base))
    return rows


def _kits(d: _Draw, rows: dict[str, list[Row]]) -> list[Row]:
    found = []
    for at, piston in enumerate(rows["pistons"]):
        bore = d.bore + Decimal(piston["oversize"])
        rings = {
            ring["grooves"]: ring
            for ring in reversed(rows["rings"])
            if Decimal(ring["gauge_diameter"]) == bore
        }
        parts = [piston, *rings.values(), *rows["gaskets"][:1]]
        price = sum(Decimal(part["price"]) for part in parts) * Decimal("0.9")
        contents = "; ".join(f"{part['number']} x1" for part in parts)
        found.append({"number": f"K{at}", "contents": contents, **_sold(d, price)})
    return found


def _ticks(d: _Draw, value: Decimal) -> int:
    return parse_length(value, d.unit)


def _job(d: _Draw, rows: dict[str, list[Row]]) -> Job:
    """A worn bore some way above a size of the ladder, with the windows of the parts drawn."""
    mm = TICKS_PER["mm"]
    size = d.dice.choice(d.oversizes[:-1])
    worn = _ticks(d, d.bore + size) + d.dice.randrange(20, 150) * mm // 1000
    readings = tuple(
        Reading(depth=depth * mm, angle=angle, size=worn - d.dice.randrange(0, 30) * mm // 1000)
        for depth in (10, 30, 60)
        for angle in (0, 90)
    )
    low = _ticks(d, d.clearance)
    bore = _ticks(d, d.bore)
    places: tuple[GasketPlace, ...] = ()
    squish: Squish | None = None
    windows = [
        Window(fit="clearance", low=low - mm // 200, high=low + mm * 3 // 100),
        Window(fit="end_gap", low=bore // 330, high=bore // 110),
        Window(fit="side_clearance", low=0, high=mm // 8),
    ]
    if rows["gaskets"]:
        height = parse_length(Decimal(rows["pistons"][0]["compression_height"]), d.unit)
        base = height + mm * 4 // 10
        squish = Squish(base_low=base, base_high=base)
        places = (GasketPlace(place="head"),)
        windows.append(Window(fit="squish", low=mm * 7 // 10, high=mm * 13 // 10))
    return Job(
        name="drawn",
        unit=d.unit,
        windows=tuple(windows),
        gaskets=places,
        cylinders=(Cylinder(name="1", material="iron", readings=readings, squish=squish),),
    )
