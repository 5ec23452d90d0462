# ruff: noqa: E501 (a layout a few lines; words as their languages write them)
"""Lists as suppliers of seven countries write them, by a third hand; all invented.

A list is drawn article by article, then written as its layout says. `Line` tells what a row means:
what is to be taken in, or that it is not to be (a set of several, no longer sold). A row that is
taken in otherwise is wrong, and so is one that is taken in and was not to be.

The first twenty layouts were written before the reader was changed for them.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

MM, INCH, THOU, HUNDREDTH = 100_000, 2_540_000, 2_540, 1_000
FAMILIES = (
    "Dorn 125", "Kite 54", "Reed 2T", "Marl B28", "Fen MK3", "Tarn 80-4", "Holt S", "Wren XL",
    "Alder 40", "Birch 61", "Cove 750", "Dale R3", "Elm 33", "Ford 9", "Glen 22", "Hurst 4",
)  # fmt: skip


@dataclass(frozen=True)
class Line:
    """An article as drawn: sizes in ticks, prices in hundredths."""

    kind: str  # kit, piston, rings, head, base, pin
    number: str
    family: str
    standard: int
    over: int = 0
    step: int = 0  # place of its oversize, standard = 0
    grade: str = ""
    thick: int = 0
    price: int = 0
    stock: int = 0
    days: int = 7
    index: int = 0
    pieces: int = 1  # a set for so many cylinders
    ended: bool = False  # no longer made
    replaced: str = ""  # by this number

    @property
    def bore(self) -> int:
        return self.standard + self.over


Values = Callable[[Line], Mapping[str, str]]


@dataclass(frozen=True)
class Supplier:
    """How a supplier writes a list.

    `columns`: heading, template of the cells, and what the owner says it holds ('' = nothing that
    counts here). A part of a template in `< >` goes where its figure is missing. `texts`: the
    description of each kind that is sold.
    """

    columns: tuple[tuple[str, str, str], ...]
    texts: Mapping[str, str]
    steps: tuple[int, ...] = (0, 25 * HUNDREDTH, 50 * HUNDREDTH, 75 * HUNDREDTH, 100 * HUNDREDTH)
    inches: bool = False
    comma: bool = False
    grades: tuple[str, ...] = ("",)
    more: Values = lambda _: {}
    families: str = "column"  # column, section, sheet, first (only in its first row), text
    section: str = "{}"
    between: tuple[str, ...] = ()  # rows of one text after every ten articles
    again: bool = False  # and the headings once more
    top: tuple[tuple[str, ...], ...] = ()
    foot: tuple[tuple[str, ...], ...] = ()
    ending: str = ".csv"
    mark: str = ";"
    encoding: str = "utf-8"
    money: str = "{}"
    thousands: str = ""
    number: str = "K{i:04d}"
    odd: str = ""  # sets, ended, replaced: what some rows are
    facts: Mapping[str, str] = field(default_factory=dict)  # what the owner says besides
    book: Callable[[Supplier, Sequence[Line]], dict[str, list[list[Any]]]] | None = None
    sixteenths: bool = False  # standard bores are whole sixteenths of an inch
    lost: bool = False  # cannot be read as rows of articles: named is all that can be asked
    least: int = 10**6  # most pieces that the stock column shows
    silent: tuple[str, ...] = ()  # words of descriptions that say nothing here


def drawn(rng: random.Random, layout: Supplier, families: int) -> list[Line]:
    """Draw what a supplier sells, family by family; prices rise a little with the size."""
    found: list[Line] = []
    for family in rng.sample(FAMILIES, families):
        standard = (
            _sixteenths(rng.randrange(2_100, 3_900) * THOU, layout)
            if layout.inches
            else rng.randrange(390, 950) * MM // 10
        )
        base = rng.randrange(2_500, 30_000)
        for kind in layout.texts:
            share = {"kit": 100, "piston": 70, "rings": 25, "head": 12, "base": 6, "pin": 9}[kind]
            plain = kind in {"head", "base", "pin"}
            for step, over in enumerate((0,) if plain else layout.steps):
                for grade in layout.grades if kind in {"kit", "piston"} else ("",):
                    index = len(found)
                    found.append(Line(
                        kind, layout.number.format(i=index, r=rng.randrange(10, 28), f=family[0], m=rng.randrange(1, 12)),
                        family, standard, over, step, grade,
                        rng.choice((30, 50, 80, 120)) * HUNDREDTH if plain else 0,
                        base * share // 100 + step * 150 + rng.randrange(0, 20) * 5,
                        rng.choice((0, 0, 1, 3, 8, 14)), rng.choice((3, 10, 21)), index,
                        pieces=4 if layout.odd == "sets" and kind == "kit" and index % 7 == 3 else 1,
                        ended=layout.odd == "ended" and index % 9 == 4,
                        replaced=f"K{index + 900:04d}" if layout.odd == "replaced" and index % 8 == 5 else "",
                    ))  # fmt: skip
    return found


def _sixteenths(bore: int, layout: Supplier) -> int:
    return bore // (INCH // 16) * (INCH // 16) if layout.sixteenths else bore


def _fraction(bore: int) -> str:
    """Return a bore in inches and sixteenths, cut down: '3-7/16'."""
    whole, rest = divmod(Fraction(bore, INCH), 1)
    return f"{whole}-{rest}" if rest else f"{whole}"


def number(value: float, places: int, layout: Supplier) -> str:
    text = f"{value:.{places}f}"
    return text.replace(".", ",") if layout.comma else text


def size(ticks: int, layout: Supplier) -> str:
    """Return a size in the unit of the list."""
    return number(ticks / INCH, 3, layout) if layout.inches else number(ticks / MM, 2, layout)


def money(cents: int, layout: Supplier) -> str:
    whole = str(cents // 100)
    if layout.thousands and len(whole) > 3:
        whole = f"{whole[:-3]}{layout.thousands}{whole[-3:]}"
    return layout.money.format(f"{whole}{',' if layout.comma else '.'}{cents % 100:02d}")


def values_of(item: Line, layout: Supplier) -> dict[str, str]:
    """Return the figures of an article as text, by name."""
    price = item.price * item.pieces
    over = size(item.over, layout)
    if layout.inches:
        over = over.removeprefix("0")
    found = {
        "number": item.number, "family": item.family, "FAMILY": item.family.upper(),
        "bore": size(item.bore, layout), "std": size(item.standard, layout),
        "over": f"+{over}" if item.over else "STD", "bare": over if item.over else "STD",
        "grade": item.grade, "thick": number(item.thick / MM, 2, layout) if item.thick else "",
        "price": money(price, layout), "net": money(price * 7 // 10, layout),
        "gross": money(price * 119 // 100, layout), "four": money(price * 4, layout),
        "old": money(price * 94 // 100, layout), "core": money(500, layout),
        "stock": str(item.stock), "days": str(item.days), "weight": str(120 + item.index * 3),
        "ean": f"40{item.index * 7919 + 12345678901 % 10**11:011d}"[:13],
        "bin": f"{chr(65 + item.index % 9)}{item.index % 30}", "pieces": str(item.pieces),
        "ended": "x" if item.ended else "", "replaced": item.replaced, "min": str(item.index % 3 + 1),
    }  # fmt: skip
    found |= layout.more(item)
    found["text"] = filled(layout.texts[item.kind], found)
    return found


def filled(template: str, values: Mapping[str, str]) -> str:
    def part(match: re.Match[str]) -> str:
        keys = re.findall(r"{(\w+)}", match[1])
        return match[1] if all(values[key] for key in keys) else ""

    return re.sub(r"<(.*?)>", part, template).format(**values).strip()


def cells_of(item: Line, layout: Supplier) -> list[str]:
    """Return the cells of an article; sizes are empty where it has none."""
    values = values_of(item, layout)
    if item.kind in {"head", "base", "pin"}:
        values |= dict.fromkeys(("bore", "std", "over", "bare", "own", "st"), "")
    return [filled(template, values) for _, template, _ in layout.columns]


def sheets_of(items: Sequence[Line], layout: Supplier) -> dict[str, list[list[Any]]]:
    """Return the sheets of a list as rows of cells."""
    if layout.book is not None:
        return layout.book(layout, items)
    titles = [heading for heading, _, _ in layout.columns]
    at = next((n for n, (_, _, role) in enumerate(layout.columns) if role == "family"), None)
    groups: dict[str, list[list[Any]]] = {}
    for item in items:
        groups.setdefault(item.family, []).append(cells_of(item, layout))
    top = [list(row) for row in layout.top]
    if layout.families == "sheet":
        return {name: [*top, titles, *rows] for name, rows in groups.items()}
    rows: list[list[Any]] = [*top, titles]
    for name, members in groups.items():
        if layout.families == "section":
            rows.append([layout.section.format(name)])
        for n, cells in enumerate(members):
            if layout.families == "first" and n and at is not None:
                cells[at] = ""
            rows.append(cells)
            if layout.between and len(rows) % 10 == 0:
                rows += [[text.format(len(rows) // 10)] for text in layout.between]
                rows += [titles] if layout.again else []
    return {"List": [*rows, *([*row] for row in layout.foot)]}


KINDS = {
    "kit": "piston kit",
    "piston": "piston",
    "rings": "rings",
    "head": "gasket",
    "base": "gasket",
    "pin": "pin",
}


def differs(item: Line, found: Any, layout: Supplier) -> str:
    """Return what was taken in otherwise than it was meant, '' if nothing."""
    if item.pieces > 1 or item.ended or item.replaced:
        return "taken in"
    graded = "{grade}" in str((layout.columns, layout.texts)) or layout.book is not None
    wanted: dict[str, Any] = {
        "kind": KINDS[item.kind], "family": item.family.upper() if "upper" in layout.facts else item.family, "price": item.price // 100 * 10_000 if layout.facts.get("price") == "whole" else item.price,
        "stock": min(item.stock, layout.least),
    }  # fmt: skip
    if item.kind in {"head", "base"}:
        wanted |= {"place": item.kind, "thickness": item.thick}
    elif item.kind != "pin":
        wanted |= {
            "nominal_bore": item.bore,
            "oversize": item.over,
            "grade": item.grade if graded else "",
        }
    other = [key for key, value in wanted.items() if getattr(found, key) != value]
    return ", ".join(other)


def _thou(item: Line) -> Mapping[str, str]:
    return {"over": f"{item.over // THOU:03d}" if item.over else "STD"}


INCH_STEPS = (0, 10 * THOU, 20 * THOU, 30 * THOU, 40 * THOU)


def _three_sheets(layout: Supplier, items: Sequence[Line]) -> dict[str, list[list[Any]]]:
    """Pistons, rings and gaskets on sheets of their own, each with its own columns."""
    rows: dict[str, list[list[Any]]] = {
        "Kolben": [["Kolben und Kolbensätze"], [], ["Artikel", "Motor", "Bezeichnung", "Ø Nenn", "Übermaß", "Gruppe", "EUR", "Bestand"]],
        "Ringe": [["Best.-Nr.", "Für Motor", "Text", "Ø", "Preis", "Lager"]],
        "Dichtungen": [["Nr.", "Bezeichnung", "Motor", "Dicke mm", "Preis EUR", "Bestand", "Gewicht g"]],
    }  # fmt: skip
    for item in items:
        v = values_of(item, layout)
        price, stock = item.price / 100, item.stock
        if item.kind in {"kit", "piston"}:
            rows["Kolben"].append(
                [
                    item.number,
                    item.family,
                    v["text"],
                    item.standard / MM,
                    item.over / MM,
                    item.grade,
                    price,
                    stock,
                ]
            )
        elif item.kind == "rings":
            rows["Ringe"].append(
                [item.number, item.family, v["text"], item.bore / MM, price, stock]
            )
        else:
            rows["Dichtungen"].append(
                [
                    item.number,
                    v["text"],
                    item.family,
                    item.thick / MM,
                    price,
                    stock,
                    20 + item.index,
                ]
            )
    return rows


def _matrix(layout: Supplier, items: Sequence[Line]) -> dict[str, list[list[Any]]]:
    """A row an engine, a column a size: a number in each cell."""
    rows: list[list[Any]] = [
        ["Engine", "Bore", "STD", "+0.25", "+0.50", "+0.75", "+1.00", "Price each"]
    ]
    for start in range(0, len(items), 5):
        five = items[start : start + 5]
        rows.append(
            [
                five[0].family,
                size(five[0].standard, layout),
                *(one.number for one in five),
                money(five[0].price, layout),
            ]
        )
    return {"List": rows}


FIRST = (
    # 1 Britain: thousandths as three figures, price each and per set of four, stock as Y or N
    Supplier((("Pt No", "{number}", "number"), ("Description", "{text}", "description"), ("Engine", "{family}", "family"), ("Bore", "{std}", "bore"), ("O/S", "{over}", "oversize"), ("Price Each", "{price}", "price"), ("Price per 4", "{four}", ""), ("Stock Y/N", "{yes}", "stock")),
             {"kit": "Piston & rings", "rings": "Ring set"}, INCH_STEPS, inches=True, more=lambda i: {**_thou(i), "yes": "Y" if i.stock else "N"}, least=1, facts={"thou": "oversize"}),
    # 2 Germany: engines between the rows, net and gross, ja and nein, pages
    Supplier((("Art.-Nr.", "{number}", "number"), ("Bezeichnung", "{text}", "description"), ("Ø mm", "{bore}", "bore"), ("Übermaß", "{over}", "oversize"), ("Preis netto", "{net}", ""), ("Preis brutto", "{price}", "price"), ("lieferbar", "{yes}", "stock")),
             {"kit": "Kolbensatz mit Ringen", "piston": "Kolben einzeln"}, comma=True, families="section", between=("Seite {}",), again=True, top=(("Preisliste Kolben",), ("gültig ab 1. März",)), more=lambda i: {"yes": "ja" if i.stock else "nein"}, least=1),
    # 3 France: the engine in the first row of its group, prices without and with tax, '>10'
    Supplier((("Moteur", "{family}", "family"), ("Réf.", "{number}", "number"), ("Désignation", "{text}", "description"), ("Alésage", "{std}", "bore"), ("Cote", "{bare}", "oversize"), ("Tarif HT", "{price}", "price"), ("Tarif TTC", "{gross}", ""), ("Dispo", "{pcs}", "stock")),
             {"kit": "Piston complet", "rings": "Jeu de segments"}, comma=True, families="first", ending=".xlsx", more=lambda i: {"pcs": ">10" if i.stock > 10 else str(i.stock)}, least=10, facts={"fill": "family"}),
    # 4 Italy: all in the text, discount and net price, replaced-by column
    Supplier((("Codice", "{number}", "number"), ("Descrizione", "{text}", "description"), ("Prezzo", "€ {price}", "price"), ("Sc. %", "30", ""), ("Prezzo scontato", "€ {net}", ""), ("Giac.", "{stock}", "stock"), ("Sost. da", "{replaced}", "remark")),
             {"kit": "PISTONE COMPLETO D.{std} MAGG. {bare} <SEL. {grade} >- {family}"}, comma=True, grades=("A", "B"), families="text", odd="replaced", facts={"family": "Descrizione"}),
    # 5 Spain: sets of four and articles no longer made among the others
    Supplier((("Ref.", "{number}", "number"), ("Concepto", "{text}", "description"), ("P.V.P.", "{price}", "price"), ("Dto.", "25%", ""), ("Neto", "{net}", ""), ("Exist.", "{stock}", "stock")),
             {"kit": "{juego} {std} {over}{fin}", "rings": "JUEGO SEGMENTOS {std} {over}{fin}"}, comma=True, families="section", section="*** {} ***", odd="ended", more=lambda i: {"juego": "KIT PISTÓN", "fin": " DESCATALOGADO" if i.ended else ""}),
    # 6 Netherlands: bore and oversize in one cell
    Supplier((("Art.nr", "{number}", "number"), ("Omschrijving", "{text}", "description"), ("Motor", "{family}", "family"), ("Maat", "{both}", "bore"), ("Prijs p/st", "{price}", "price"), ("Voorraad", "{stock}", "stock"), ("Locatie", "{bin}", "")),
             {"kit": "Zuiger kompleet", "rings": "Zuigerverenset"}, comma=True, mark="\t", more=lambda i: {"both": f"{i.standard / MM:.2f}+{i.over / MM:.2f}".replace(".", ",") if i.over else f"{i.standard / MM:.2f} STD".replace(".", ",")}),
    # 7 United States: sets of four beside single kits, jobber price, core charge, UPC
    Supplier((("SKU", "{number}", "number"), ("Title", "{text}", "description"), ("Fits", "{family}", "family"), ("MSRP", "${price}", "price"), ("Jobber", "${net}", ""), ("Core", "${core}", ""), ("QOH", "{stock}", "stock"), ("UPC", "{ean}", "")),
             {"kit": "PISTON {set} {std} {over} OVER", "rings": "RING SET {std} {over} OVER"}, INCH_STEPS, inches=True, mark=",", odd="sets", more=lambda i: {"set": "SET OF FOUR" if i.pieces > 1 else "KIT", "over": f".{i.over // THOU:03d}" if i.over else ".000"}),
    # 8 United States: fractions of an inch
    Supplier((("Part Number", "{number}", "number"), ("Description", "{text}", "description"), ("Engine", "{family}", "family"), ("Bore Size", "{frac}", "bore"), ("Oversize", "{over}", "oversize"), ("Price", "{price}", "price"), ("Qty", "{stock}", "stock")),
             {"kit": "Piston assembly w/ rings"}, INCH_STEPS, inches=True, mark=",", more=lambda i: {"frac": _fraction(i.standard), "over": f"{i.over // THOU} thou" if i.over else "standard"}, sixteenths=True),
    # 9 Germany: three sheets with different columns
    Supplier((("Artikel", "{number}", "number"),), {"kit": "Kolbensatz", "piston": "Kolben ohne Ringe", "rings": "Ringsatz", "head": "Zylinderkopfdichtung", "base": "Zylinderfußdichtung"},
             grades=("A", "B"), ending=".xlsx", book=_three_sheets, facts={"thickness": "Dicke mm", "sheets": "yes"}),
    # 10 Britain: numbers like dates, thickness of gaskets in a column of their own
    Supplier((("Part", "{number}", "number"), ("Item", "{text}", "description"), ("Machine", "{family}", "family"), ("Nominal bore mm", "{std}", "bore"), ("Oversize mm", "{bare}", "oversize"), ("Thickness mm", "{thick}", "thickness"), ("Trade £", "{price}", "price"), ("In stock", "{stock}", "stock")),
             {"kit": "Piston kit", "head": "Head gasket", "base": "Base gasket", "pin": "Gudgeon pin"}, number="{r:02d}-{m:02d}-{i:02d}", ending=".xlsx"),
    # 11 Germany: numbers like sizes, the oversize as a place in its row of sizes
    Supplier((("Nr", "{number}", "number"), ("Typ", "{family}", "family"), ("Artikel", "{text}", "description"), ("Kolben-Ø", "{bore}", "bore"), ("Stufe", "{place}", ""), ("EUR/Stk", "{price}", "price"), ("Lagerbestand", "{stock}", "stock"), ("Mindestbestand", "{min}", "")),
             {"kit": "Kolben kompl. mit Ringen"}, comma=True, number="54.{i:03d}", more=lambda i: {"place": str(i.step)}, facts={"smallest": "standard"}),
    # 12 France: grade and letter of the drawing's state side by side
    Supplier((("Référence", "{number}", "number"), ("Ind.", "{letter}", ""), ("Désignation", "{text}", "description"), ("Modèle", "{family}", "family"), ("Cl.", "{grade}", "grade"), ("Prix unit. HT", "{price}", "price"), ("Stock", "{stock}", "stock"), ("Délai (j)", "{days}", "lead_days")),
             {"kit": "KIT PISTON Ø{std} {over}", "piston": "PISTON NU Ø{std} {over}"}, comma=True, grades=("A", "B", "C"), more=lambda i: {"letter": "ABCD"[i.index % 4]}),
    # 13 Italy: oversizes in hundredths of a millimetre
    Supplier((("Cod. articolo", "{number}", "number"), ("Descrizione", "{text}", "description"), ("Motore", "{family}", "family"), ("Diam.", "{std}", "bore"), ("Magg.", "{over}", "oversize"), ("Listino €", "{price}", "price"), ("Q.tà disp.", "{stock}", "stock")),
             {"kit": "Kit pistone", "rings": "Serie fasce elastiche"}, comma=True, more=lambda i: {"over": str(i.over // HUNDREDTH) if i.over else "0"}, facts={"hundredths": "oversize"}),
    # 14 Britain: first to fourth oversize in words, the oversize's own bore
    Supplier((("Cat No", "{number}", "number"), ("Description", "{text}", "description"), ("Application", "{family}", "family"), ("Size", "{bore}mm", "bore"), ("List", "£{price}", "price"), ("Avail", "{stock}", "stock")),
             {"kit": "Piston complete {word}", "rings": "Piston ring set {word}"}, mark=",", more=lambda i: {"word": ("std", "1st o/s", "2nd o/s", "3rd o/s", "4th o/s")[i.step]}),
    # 15 Spain: whole prices with a point for thousands
    Supplier((("Código", "{number}", "number"), ("Descripción", "{text}", "description"), ("Modelo", "{family}", "family"), ("Precio", "{whole}", "price"), ("Stock", "{stock}", "stock")),
             {"kit": "Pistón con aros {std} {over}", "rings": "Aros {std} {over}"}, comma=True, more=lambda i: {"whole": f"{i.price // 100 * 100:,}".replace(",", ".")}, facts={"price": "whole", "price_for": "1"}),
    # 16 Netherlands: prices for a hundred pieces, empty columns to fill in
    Supplier((("Bestelnr.", "{number}", "number"), ("Benaming", "{text}", "description"), ("Type", "{family}", "family"), ("Prijs per 100", "{hundred}", "price"), ("Voorraad", "{stock}", "stock"), ("Aantal", "", ""), ("Totaal", "", "")),
             {"rings": "Zuigerveren {std} {over}", "kit": "Zuigerset {std} {over}"}, comma=True, more=lambda i: {"hundred": f"{i.price},00"}, facts={"price": "hundred"}, lost=True),
    # 17 Germany: old and new price, two stores, bin, totals
    Supplier((("Teilenummer", "{number}", "number"), ("Benennung", "{text}", "description"), ("Motortyp", "{family}", "family"), ("Preis alt", "{old}", ""), ("Preis neu", "{price}", "price"), ("Meldebestand", "{min}", ""), ("Bestand", "{stock}", "stock"), ("Platz", "{bin}", "")),
             {"kit": "Kolben m. Ringen, Bolzen {std} {over}", "pin": "Kolbenbolzen"}, comma=True, foot=(("", "Summe", "", "", "12.345,00", "", "420"), ("Übertrag", "", "", "", "9.999,00")), between=("Zwischensumme {}",)),
    # 18 France: standard bore and own bore, no oversize
    Supplier((("Code", "{number}", "number"), ("Article", "{text}", "description"), ("Moteur", "{family}", "family"), ("Ø origine", "{std}", "standard"), ("Ø réparation", "{bore}", "bore"), ("Prix public", "{price}", "price"), ("Qté", "{stock}", "stock")),
             {"kit": "Ensemble piston", "rings": "Segmentation"}, comma=True, silent=()),
    # 19 Britain: a row an engine, a column a size
    Supplier((("Engine", "{family}", "family"),), {"kit": "Piston kit"}, book=_matrix, lost=True),
    # 20 United States: both units in a cell, two stores, quantity in a box
    Supplier((("Item Number", "{number}", "number"), ("Product Name", "{text}", "description"), ("Engine Model", "{family}", "family"), ("Each", "{price}", "price"), ("Whse East", "{stock}", "stock"), ("Whse West", "{min}", ""), ("Box Qty", "1", ""), ("Updated", "2026-03-01", "")),
             {"kit": "Piston Kit Bore {std}mm ({inch}in) Oversize {over}mm< Grade {grade}>", "rings": "Ring Set Bore {std}mm ({inch}in) Oversize {over}mm"}, grades=("1", "2"), mark=",", more=lambda i: {"inch": f"{i.standard / INCH:.4f}", "over": f"{i.over / MM:.2f}"}),
)  # fmt: skip
