"""Lists drawn from a space of layouts: every choice of a layout is drawn by itself.

    python -m tests.bench.mixed_lists FOLDER SEED COUNT
    python -m tests.bench.supplied_truth FOLDER

Language, headings, where kind, engine type and sizes stand, how figures are written, what stands
between the rows, kind of file: a list is one draw of each. The folder gets the lists and the three
tables that `supplied_truth` reads.
"""

# ruff: noqa: E501, PLR0912
from __future__ import annotations

import csv
import random
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

import pandas as pd
from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from tests.bench.mixed_words import ARTICLES, CURRENCIES, HEADS, PAGES, SAID, WEEKS

TRUTH: Final = (
    "file", "sheet", "row", "col", "number", "kind", "bore", "oversize", "thickness", "price", "per",
    "pieces", "currency", "stock", "lead_days", "family", "grade", "status", "remark",
)  # fmt: skip
BASE: Final = {"kit": 60, "piston": 38, "ring": 12, "pin": 7, "circlip": 1, "head": 5, "base": 3}
SYLLABLES: Final = (
    "bor",
    "vel",
    "tar",
    "min",
    "kos",
    "lun",
    "dra",
    "fen",
    "gal",
    "hus",
    "jor",
    "pel",
)


@dataclass
class Part:
    """An article, sizes in thousandths of a millimetre or in ten-thousandths of an inch."""

    number: str
    kind: str
    family: str
    standard: int
    over: int | None
    grade: str
    cents: int | None
    stock: int
    days: int
    status: str = ""


@dataclass
class Style:
    """The choices of a list."""

    rng: random.Random
    lang: str = ""
    inch: bool = False
    said: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        pick = self.rng.choice
        self.lang = pick(list(HEADS))
        self.inch = self.lang == "en" and self.rng.random() < 0.4
        self.comma = self.lang != "en" and self.rng.random() < 0.8
        self.words = {what: pick(SAID[self.lang][what].split("|")) for what in SAID[self.lang]}
        self.articles = {
            kind: pick(texts.split("|")) for kind, texts in ARTICLES[self.lang].items()
        }
        self.heads = {role: pick(texts.split("|")) for role, texts in HEADS[self.lang].items()}
        self.case = pick(("", "", "", "upper", "lower", "snake"))
        self.size = pick(("std+over", "bore+over", "bore", "text", "text", "heading+over", "one"))
        self.kind = pick(("column", "text", "text", "text", "sheets", "headings"))
        self.family = pick(("column", "column", "column", "filled", "headings", "sheets", "one"))
        if self.kind in ("sheets", "headings") and self.family in ("sheets", "headings"):
            self.family = "column"
        if self.size == "heading+over":
            self.family = "headings"
            self.kind = pick(("column", "text"))
        if self.kind in ("sheets", "headings") and self.size in ("text", "one"):
            self.size = "std+over"
        if self.family == "one":
            self.size = pick(("std+over", "bore+over", "text"))
        self.over = pick(("0.000", "+0.00", "0.00", "0.00u") if not self.inch else
                         (".000", "+.000", "0", '.000"', "0.000"))  # fmt: skip
        self.nought = pick(("word", "word", "word", "0", "empty"))
        self.grades = self.rng.random() < 0.35
        self.money = pick(("0.00", "0.00", "sign", "code", "dash", "thousands"))
        self.factor = pick((1, 1, 1, 20)) if self.money == "thousands" else 1
        self.stocked = pick(("0", "0", "0", "yes", ">", "pcs", "empty", "none"))
        self.leads = pick(("none", "none", "days", "weeks", "unit"))
        self.file = pick(("csv", "csv", "xlsx", "xlsx", "parquet"))
        if self.kind == "sheets" or self.family == "sheets":
            self.file = "xlsx"
        if self.file == "parquet" and ("headings" in (self.kind, self.family)):
            self.file = "csv"
        self.noise = [n for n in ("ean", "kg", "bin", "net", "pos") if self.rng.random() < 0.25]
        self.title = self.file != "parquet" and self.rng.random() < 0.5
        self.units = self.rng.random() < 0.3
        self.shuffled = self.rng.random() < 0.5
        self.order = pick(("kind bore over", "kind over bore", "family kind bore over", "bore kind over",
                           "kind, bore, over", "kind - bore - over", "kind Øbore (over)"))  # fmt: skip

    def figure(self, value: int, places: int) -> str:
        """Return thousandths as a figure."""
        scale = 10_000 if self.inch else 1_000
        text = f"{value / scale:.{places}f}"
        return text.replace(".", ",") if self.comma else text

    def bore(self, value: int) -> str:
        return self.figure(value, 4 if self.inch else 2)

    def oversize(self, part: Part, *, in_text: bool = False) -> str:
        """Return the oversize of an article as the list writes it."""
        over = part.over
        if over is None:
            return ""
        if over == 0 and (self.nought == "word" or in_text):
            return self.words["std"]
        if over == 0 and self.nought == "empty":
            return ""
        if self.inch:
            thou = over // 10
            form = "0.000" if in_text and self.over == "0" else self.over
            return {"0": f"{thou}", ".000": f".{thou:03}", "+.000": f"+.{thou:03}",
                    '.000"': f'.{thou:03}"', "0.000": f"0.{thou:03}"}[form]  # fmt: skip
        text = self.figure(over, 2)
        text = {"+0.00": f"+{text}", "0.00u": f"{text} mm"}.get(self.over, text)
        return f"+{text}".replace("++", "+") if in_text else text

    def price(self, part: Part) -> str:
        cents = part.cents
        if cents is None:
            return self.words["ask"]
        if self.money == "dash" and cents % 100 == 0:
            return f"{cents // 100},-"
        text = f"{cents / 100:,.2f}" if self.money == "thousands" else f"{cents / 100:.2f}"
        if self.comma:
            text = text.replace(",", "_").replace(".", ",").replace("_", ".")
        code, sign = CURRENCIES[self.lang]
        return {
            "sign": f"{sign}{text}" if sign == "£" else f"{text} {sign}",
            "code": f"{text} {code}",
        }.get(self.money, text)

    def stock(self, part: Part) -> str:
        n = part.stock
        if self.stocked == "yes":
            return self.words["yes"] if n else self.words["no"]
        if self.stocked == ">" and n >= 10:
            return ">10"
        if self.stocked == "pcs":
            return f"{n} {{}}".format({"de": "St.", "pl": "szt.", "cs": "ks"}.get(self.lang, "pcs"))
        return "" if self.stocked == "empty" and not n else str(n)

    def lead(self, part: Part) -> str:
        weeks = part.days // 7
        word = {"de": "Wo.", "fr": "sem.", "nl": "wk", "en": "weeks"}.get(self.lang, "w")
        return {"weeks": str(weeks), "unit": f"{weeks} {word}"}.get(self.leads, str(part.days))

    def head(self, role: str) -> str:
        text = self.heads[role]
        if (
            self.units
            and role in ("bore", "standard", "over")
            and (role != "over" or not self.inch)
        ):
            text += " [in]" if self.inch else " (mm)"
        if role == "lead" and self.leads == "weeks":
            text = WEEKS[self.lang]
        return {"upper": text.upper(), "lower": text.lower(),
                "snake": text.lower().replace(" ", "_").replace(".", "")}.get(self.case, text)  # fmt: skip


def parts_of(style: Style) -> list[Part]:
    """Return the articles of a list."""
    rng = style.rng
    found: list[Part] = []
    count = 1 if style.family == "one" else rng.randint(3, 6)
    steps = [0, 100, 200, 300, 400, 600] if style.inch else rng.choice(
        ([0, 250, 500, 750, 1000], [0, 200, 400, 600], [0, 500, 1000]))  # fmt: skip
    few = style.size in ("text", "one", "bore") or rng.random() < 0.3
    form = rng.choice(
        ("{a}{n:04}", "{n:05}", "{a}-{n:03}", "{n:03}.{m:03}.{m}", "{a}{n:03}/{m:02}")
    )
    for k in range(count):
        name = "".join(rng.sample(SYLLABLES, 2)).capitalize()
        standard = (
            rng.randrange(24_000, 40_000, 500)
            if style.inch
            else rng.randrange(36_000, 99_000, 1000)
        )
        family = f"{name} {rng.choice((50, 80, 125, 250, 'GT', 'S', 'MkII', '2T'))}"
        for kind in BASE:
            sized = kind in ("kit", "piston", "ring")
            if kind not in ("kit", "ring") and few:
                continue
            if kind == "ring" and style.size == "bore" and rng.random() < 0.5:
                continue
            for over in [s for s in steps if s == 0 or rng.random() < 0.8] if sized else [None]:
                for grade in ("A", "B") if style.grades and kind in ("kit", "piston") else ("",):
                    n = len(found) + 1
                    cents = int(
                        (BASE[kind] * 100 * style.factor + rng.randrange(100) * 10) * (0.8 + k / 9)
                    )
                    cents = cents // 100 * 100 + 100 if style.money == "dash" else cents
                    stock = rng.choice((0, 0, 1, 2, 3, 5, 12))
                    found.append(Part(form.format(a=name[:2].upper(), n=n * 3, m=k * 7 + 1), kind, family, standard,
                                      over, grade, cents, stock, rng.choice((7, 14, 21))))  # fmt: skip
    for part in rng.sample(found, len(found) // 25):
        part.cents = None
    return found


Column = tuple[str, str, Callable[[Part], str]]


def columns_of(style: Style) -> list[Column]:
    """Return the columns: what each holds, its heading, how a cell is written."""
    rng, found = style.rng, []

    def add(meaning: str, role: str, cell: Callable[[Part], str]) -> None:
        found.append((meaning, style.head(role), cell))

    add("number", "number", lambda p: p.number)
    sized = ("kit", "piston", "ring")
    if style.kind == "column":
        add("kind", rng.choice(("kind", "text")), lambda p: style.articles[p.kind])
    elif style.kind == "text":
        add("description", "text", lambda p: text_of(p, style))
    if style.family in ("column", "filled"):
        add("family", "family", lambda p: p.family)
    bore = "" if style.kind == "text" and style.size == "text" else style.size
    if bore in ("std+over",):
        add(
            "standard_bore", "standard", lambda p: style.bore(p.standard) if p.kind in sized else ""
        )
    if bore in ("bore+over", "bore"):
        add(
            "bore",
            "bore",
            lambda p: style.bore(p.standard + (p.over or 0)) if p.kind in sized else "",
        )
    if bore == "one":
        add("bore", "bore", lambda p: f"{style.bore(p.standard)} {style.oversize(p, in_text=True)}"
            if p.kind in sized else "")  # fmt: skip
    if bore == "text" and style.kind != "text":
        add(
            "standard_bore", "standard", lambda p: style.bore(p.standard) if p.kind in sized else ""
        )
    if bore in ("std+over", "bore+over", "heading+over") or (
        bore == "text" and style.kind != "text"
    ):
        add("oversize", "over", style.oversize)
    if style.grades:
        add("grade", "grade", lambda p: p.grade)
    add("price", "price", style.price)
    if style.stocked != "none":
        add("stock", "stock", style.stock)
    if style.leads != "none":
        add("lead", "lead", style.lead)
    noise: dict[str, tuple[str, Callable[[Part], str]]] = {
        "ean": ("EAN", lambda p: str(4000000000000 + hash_of(p.number) % 10**12)),
        "kg": ("kg", lambda p: style.figure(BASE[p.kind] * 10, 3)),
        "bin": ("Bin", lambda p: f"{'ABCD'[hash_of(p.number) % 4]}{hash_of(p.number) % 60:02}"),
        "net": ("Dealer", lambda p: "" if p.cents is None else f"{p.cents * 0.7 / 100:.2f}"),
        "pos": ("Pos.", lambda p: str(hash_of(p.number) % 90)),
    }
    for name in style.noise:
        meaning = "other_price" if name == "net" else "ignore"
        at = rng.randrange(len(found) + 1)
        found.insert(at, (meaning, noise[name][0], noise[name][1]))
    if style.shuffled:
        rng.shuffle(found)
    if style.family == "filled":  # a name that is not repeated stands left of what it holds for
        found.sort(key=lambda column: column[0] != "family")
    return found


def hash_of(text: str) -> int:
    return sum(ord(sign) * 31**at for at, sign in enumerate(text))


def text_of(part: Part, style: Style) -> str:
    """Return a description."""
    kind = style.articles[part.kind]
    if style.size != "text" or part.over is None:
        return kind
    order = (
        style.order
        if style.family not in ("column", "filled") or "family" not in style.order
        else "kind bore over"
    )
    if style.family not in ("headings", "one"):
        order = order.replace("family ", "")
    text = order.replace("kind", "\0").replace("bore", style.bore(part.standard))
    text = text.replace("over", style.oversize(part, in_text=True)).replace("family", part.family)
    return text.replace("\0", kind)


def written(
    folder: Path, name: str, seed: int
) -> tuple[list[list[object]], list[list[str]], list[list[str]]]:
    """Write a list; returns its rows of the three tables."""
    style = Style(random.Random(seed))
    parts, columns = parts_of(style), columns_of(style)
    file = f"{name}.{style.file}"
    groups: dict[str, list[Part]] = {}
    for part in parts:
        key = {"sheets": part.family, "kind": style.articles[part.kind]}.get(
            style.family if style.family == "sheets" else "kind" if style.kind == "sheets" else "", "")  # fmt: skip
        groups.setdefault(key.replace("/", " ")[:31], []).append(part)
    sheets = {sheet or "List": _rows(style, columns, of) for sheet, of in groups.items()}
    truth: list[list[object]] = []
    for sheet, rows in sheets.items():
        for at, (_, part) in enumerate(rows, 1):
            if part is not None:
                col = next(n for n, c in enumerate(columns, 1) if c[0] == "number")
                truth.append(
                    _line(file, sheet if style.file == "xlsx" else "", at, col, part, style)
                )
    _save(
        folder / file,
        {sheet: [cells for cells, _ in rows] for sheet, rows in sheets.items()},
        style,
    )
    shown = list(sheets) if style.file == "xlsx" else [""]
    return (
        truth,
        _owner(file, parts, style),
        [[file, s, head, meaning] for s in shown for meaning, head, _ in columns],
    )


def _rows(
    style: Style, columns: Sequence[Column], parts: list[Part]
) -> list[tuple[list[str], Part | None]]:
    rows: list[tuple[list[str], Part | None]] = []
    if style.title:
        title = f"{parts[0].family}" if style.family == "one" else "2026 / 11"
        rows += [([title], None), ([], None)]
    rows.append(([head for _, head, _ in columns], None))
    if style.kind == "headings":
        parts = sorted(parts, key=lambda p: list(BASE).index(p.kind))
    last = ("", "")
    for part in parts:
        said = (part.family if style.family == "headings" else "",
                style.articles[part.kind] if style.kind == "headings" else "")  # fmt: skip
        if said != last:
            text = next(filter(None, said))
            if style.size == "heading+over":
                unit = '"' if style.inch else " mm"
                text = f"{text} - Ø {style.bore(part.standard)}{unit}"
            rows.append(([text], None))
            above = ""
        cells = [cell(part) for _, _, cell in columns]
        if style.family == "filled":
            at = next(n for n, c in enumerate(columns) if c[0] == "family")
            above = "" if last == ("", "") and len(rows) < 4 else getattr(style, "_above", "")
            cells[at] = "" if above == part.family and any(p for _, p in rows) else cells[at]
            style._above = part.family  # type: ignore[attr-defined]
        last = said
        rows.append((cells, part))
    return rows


def _line(file: str, sheet: str, row: int, col: int, part: Part, style: Style) -> list[object]:
    scale = 25.4 / 10_000 if style.inch else 1 / 1_000
    sized = part.over is not None
    stock = part.stock
    if style.stocked == "yes":
        stock = min(stock, 1)
    elif style.stocked == ">" and stock > 10:
        stock = 10
    said = {
        "file": file, "sheet": sheet, "row": row, "col": get_column_letter(col), "number": part.number,
        "kind": {"head": "gasket", "base": "gasket"}.get(part.kind, part.kind),
        "bore": f"{(part.standard + (part.over or 0)) * scale:.4f}" if sized else "",
        "oversize": "" if not sized or style.size == "bore" else f"{(part.over or 0) * scale:.4f}",
        "price": "" if part.cents is None else f"{part.cents / 100:.2f}", "per": 1, "pieces": 1,
        "stock": "" if style.stocked == "none" else stock,
        "lead_days": "" if style.leads == "none" else part.days,
        "family": part.family, "grade": part.grade, "status": part.status,
    }  # fmt: skip
    return [said.get(key, "") for key in TRUTH]


def _owner(file: str, parts: list[Part], style: Style) -> list[list[str]]:
    by = {"filled": "column", "one": "title"}.get(style.family, style.family)
    says = {"currency": CURRENCIES[style.lang][0], "decimal": "," if style.comma else ".", "units": "in" if style.inch else "mm",
            "oversize_unit": ("thou" if style.over == "0" else "in") if style.inch else "mm", "lead_days": "7",
            "clearance": "0.040 0.060", "price_for": "1", "family_by": by, "lead_unit": "weeks" if style.leads == "weeks" else "days",
            "fill_down": "yes" if style.family == "filled" else "no", "smallest_is_standard": "yes"}  # fmt: skip
    if style.family == "one":
        says["family"] = parts[0].family
    kinds = {"head": "gasket", "base": "gasket"}
    says |= {f"kind {text}": kinds.get(kind, kind) for kind, text in style.articles.items()}
    return [[file, key, value] for key, value in says.items()]


def _save(path: Path, sheets: dict[str, list[list[str]]], style: Style) -> None:
    rng = style.rng
    if style.file == "xlsx":
        book = Workbook()
        book.remove(book.active)
        typed = rng.random() < 0.6
        for name, rows in sheets.items():
            sheet = book.create_sheet(name)
            for cells in rows:
                sheet.append([_typed(cell, style) if typed else cell or None for cell in cells])
        book.save(path)
        return
    (rows,) = sheets.values()
    if style.file == "parquet":
        pd.DataFrame(rows[1:], columns=rows[0]).to_parquet(path, index=False)
        return
    page = rng.choice(("utf-8", "utf-8-sig", "utf-16", PAGES.get(style.lang, "cp1252")))
    mark = rng.choice(";;\t|" if style.comma else ",,;\t|")
    with path.open("w", newline="", encoding=page, errors="replace") as stream:
        csv.writer(stream, delimiter=mark).writerows(rows)


def _typed(cell: str, style: Style) -> Any:
    text = cell.replace(",", ".") if style.comma else cell
    plain = text.replace(".", "", 1)
    coded = len(text) > 1 and text[0] == "0" and text[1] != "."
    if not plain.isdecimal() or not plain.isascii() or coded or text.startswith("."):
        return cell or None
    if "." in text:
        return float(text) if len(text) < 8 else cell
    return int(text) if len(text) < 12 else cell


def main() -> None:
    """Write drawn lists and their tables into a folder."""
    folder, first, count = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    folder.mkdir(parents=True, exist_ok=True)
    tables: tuple[list[Any], list[Any], list[Any]] = ([], [], [])
    for seed in range(first, first + count):
        for held, rows in zip(tables, written(folder, f"list_{seed:04}", seed), strict=True):
            held.extend(rows)
    heads = (TRUTH, ("file", "key", "value"), ("file", "sheet", "heading", "meaning"))
    for name, head, rows in zip(("truth", "owner", "columns"), heads, tables, strict=True):
        with (folder / f"{name}.csv").open("w", newline="", encoding="utf-8") as stream:
            csv.writer(stream).writerows([head, *rows])


if __name__ == "__main__":
    main()
