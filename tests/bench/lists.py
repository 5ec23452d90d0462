# ruff: noqa: E501 (a layout a line)
"""Price and stock lists with known content, written in many layouts; all of it invented.

    python -m tests.bench.lists [COUNT [SEED]]

Every row that is taken in is held against what was drawn: understood, named as not understood,
or wrong. `LAYOUTS` were looked at while the reader was made, `APART` were not.
"""

from __future__ import annotations

import random
import re
import sys
from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from fitsolver.base.errors import InputError
from fitsolver.records.intake import IntakeAnswer
from fitsolver.usecases.intake import Told, intake

GRADES = ("", "A", "B", "C")
STEPS = {"mm": ("0", "0.25", "0.5", "0.75", "1"), "in": ("0", ".010", ".020", ".030", ".040")}


@dataclass(frozen=True)
class Drawn:
    """An article as drawn: sizes in ticks, the price in hundredths."""

    number: str
    family: str
    nominal: int
    oversize: int
    grade: str
    price: int
    stock: int


@dataclass(frozen=True)
class Style:
    """How a list is written."""

    titles: dict[str, str]
    describe: str  # with {kind} {family} {bore} {over} {grade}
    kind: str
    standard: str = "STD"
    plus: str = "+"
    ending: str = ".csv"
    separator: str = ";"
    comma: bool = False
    currency: str = ""
    before: bool = False  # the sign stands before the price
    thousands: bool = False
    head_rows: int = 0
    notes: bool = False
    families: str = "column"  # column, section, sheet
    inches: bool = False
    nominal: bool = False  # the bore beside an oversize is the oversize's own
    encoding: str = "utf-8"
    stock_words: bool = False
    size_column: bool = False


def drawn_articles(rng: random.Random, count: int, *, inches: bool) -> list[Drawn]:
    """Draw articles of several families; no number stands twice."""
    found: list[Drawn] = []
    tick = 2_540_000 if inches else 100_000
    family = 0
    while len(found) < count:
        family += 1
        name = f"{rng.choice('PLRT')}{rng.randrange(10, 99)}{rng.choice(('', '-2', ' MK2'))}"
        if any(a.family == name for a in found):
            continue
        usual = rng.choice((rng.randrange(2_000, 30_000), rng.randrange(100_000, 160_000)))
        size = (
            Fraction(rng.randrange(2100, 3900), 1000)
            if inches
            else Fraction(rng.randrange(380, 960), 10)
        )
        standard = int(size * tick)
        for step in STEPS["in" if inches else "mm"]:
            for grade in rng.choice((GRADES[:1], GRADES[1:3], GRADES[1:])):
                over = int(Fraction(step) * tick)
                number = f"{rng.choice(('K', 'PK', '10', 'ZX'))}-{family:02d}{len(found):04d}"
                found.append(
                    Drawn(
                        number, name, standard + over, over, grade,
                        usual * rng.randrange(90, 115) // 100,
                        rng.choice((0, 0, 1, 2, 5, 12)),
                    )
                )  # fmt: skip
    return found[:count]


def _number(value: Fraction, places: int, *, comma: bool) -> str:
    text = f"{float(value):.{places}f}"
    return text.replace(".", ",") if comma else text


def written(article: Drawn, style: Style) -> dict[str, str]:
    """Return the cells of a row by role."""
    tick = 2_540_000 if style.inches else 100_000
    places = 3 if style.inches else 2
    bore = article.nominal if style.nominal else article.nominal - article.oversize
    size = _number(Fraction(bore, tick), places, comma=style.comma)
    over = style.standard
    if article.oversize:
        digits = _number(Fraction(article.oversize, tick), places, comma=style.comma)
        over = style.plus.replace("#", digits) if "#" in style.plus else f"{style.plus}{digits}"
        if style.inches:
            over = over.replace("0.", ".").replace("0,", ",")
    described = style.describe.format(
        kind=style.kind, family=article.family, bore=size, over=over, grade=article.grade
    )
    for empty in ("()", "[]", "Kl. $", "grade $", "gr. $", "classe $"):
        if not article.grade:
            described = (described + "$").replace(empty, "").rstrip("$").rstrip()
    price = f"{article.price // 100}.{article.price % 100:02d}"
    if style.thousands and article.price >= 100_000:
        price = f"{article.price // 100_000},{article.price // 100 % 1000:03d}.{article.price % 100:02d}"
    if style.comma:
        price = price.translate(str.maketrans(".,", ",."))
    if style.currency:
        price = f"{style.currency} {price}" if style.before else f"{price} {style.currency}"
    stock = str(article.stock)
    if style.stock_words:
        stock = {0: "-", 12: ">10"}.get(article.stock, f"{article.stock} pcs")
    return {
        "number": article.number, "description": described, "family": article.family,
        "price": price, "stock": stock, "bore": size, "oversize": over,
    }  # fmt: skip


def write_list(folder: Path, articles: list[Drawn], style: Style) -> Path:
    """Write articles as a list of a style; returns its file."""
    path = folder / f"list{style.ending}"
    roles = [role for role in style.titles if style.families == "column" or role != "family"]
    titles = [style.titles[role] for role in roles]
    head = [
        ["PRICE LIST", *[""] * (len(roles) - 1)],
        ["valid from 1 March", *[""] * (len(roles) - 1)],
        [""] * len(roles),
    ]
    groups: dict[str, list[Drawn]] = {}
    for article in articles:
        groups.setdefault(article.family, []).append(article)
    sheets: list[tuple[str, list[list[str]]]] = []
    rows: list[list[str]] = [*head[: style.head_rows], titles]
    for family, members in groups.items():
        if style.families == "sheet":
            rows = [*head[: style.head_rows], titles]
            sheets.append((family, rows))
        elif style.families == "section":
            rows.append([family, *[""] * (len(roles) - 1)])
        for article in members:
            cells = written(article, style)
            rows.append([cells[role] for role in roles])
        if style.notes:
            rows.append([""] * len(roles))
    if style.notes and style.families == "column":
        rows.append(["prices without tax", *[""] * (len(roles) - 1)])
    if not sheets:
        sheets = [("list", rows)]
    _save(path, sheets, style)
    return path


def _save(path: Path, sheets: list[tuple[str, list[list[str]]]], style: Style) -> None:
    if style.ending == ".xlsx":
        from openpyxl import Workbook

        book = Workbook()
        book.remove(book.active)
        for name, rows in sheets:
            sheet = book.create_sheet(name.replace("/", " "))
            for row in rows:
                sheet.append([cell or None for cell in row])
        book.save(path)
        return
    if style.ending == ".parquet":
        import pandas as pd

        rows = sheets[0][1]
        pd.DataFrame(rows[1:], columns=rows[0]).to_parquet(path)
        return
    import csv

    with path.open("w", encoding=style.encoding, newline="") as stream:
        csv.writer(stream, delimiter=style.separator).writerows(sheets[0][1])


def _titles(*names: str) -> dict[str, str]:
    return dict(zip(("number", "description", "family", "price", "stock"), names, strict=True))


EN = _titles("Part No.", "Description", "Engine", "Price", "Stock")
DE = _titles("Artikel-Nr.", "Bezeichnung", "Motor", "VK-Preis", "Bestand")
FR = _titles("Référence", "Désignation", "Moteur", "Prix unitaire", "Quantité")
IT = _titles("Codice", "Descrizione", "Motore", "Prezzo", "Giacenza")
ES = _titles("Código", "Descripción", "Modelo", "Precio", "Existencias")
TEXTS = {
    "EN": ("PISTON KIT", "{kind} {bore} {over} ({grade})"),
    "DE": ("Kolbensatz", "{kind} {bore} {over} Kl. {grade}"),
    "FR": ("Kit piston", "{kind} {family} {bore} {over} classe {grade}"),
    "IT": ("Kit pistone", "{kind} {bore} {over} [{grade}]"),
    "ES": ("Kit de pistón", "{kind} {family} - {bore} {over} ({grade})"),
}


def _layouts() -> list[Style]:
    found: list[Style] = []
    for titles, (kind, text), comma in zip(
        (EN, DE, FR, IT, ES), TEXTS.values(), (False, True, True, True, True), strict=True
    ):
        base: dict[str, Any] = {"titles": titles, "kind": kind, "describe": text, "comma": comma}
        found += [
            Style(**base),
            Style(**base, ending=".xlsx", head_rows=3, currency="€", notes=True),
            Style(**base, families="section", currency="EUR", head_rows=2, thousands=True),
            Style(**base, families="sheet", ending=".xlsx", stock_words=True),
            Style(**base, nominal=True, separator="\t", encoding="cp1252", thousands=True),
            Style(**{**base, "describe": "{kind} {bore} {over} ({grade})", "comma": False}, inches=True,
                  ending=".parquet" if kind[0] == "P" else ".csv", currency="$", before=True, separator=","),
        ]  # fmt: skip
    return found


LAYOUTS = _layouts()
LAYOUTS += [
    Style(_titles("Item", "Product", "Fits", "RRP", "Qty"), "{kind} {over} O/S {bore} ({grade})", "Piston set", standard="STANDARD", plus=""),
    Style(_titles("SKU", "Name", "Model", "Net price", "On hand"), "{family} {kind} {bore}mm {over} grade {grade}", "piston assembly", currency="£", before=True, separator=","),
    Style(_titles("Code", "Item description", "Application", "List price", "Available"), "{kind} {bore} ({over}) {grade}", "PISTON ASSY", ending=".xlsx", notes=True),
    Style(_titles("Ref", "Text", "Type", "Each", "Free stock"), "{kind}, {bore}, {over}, {grade}", "Piston kit", separator="\t", stock_words=True),
    Style(_titles("Bestellnummer", "Artikelbezeichnung", "Baureihe", "Listenpreis", "Lagerbestand"), "{kind} für {family} {bore} mm {over} ({grade})", "Kolben komplett", comma=True, currency="EUR", head_rows=3),
    Style(_titles("Nr.", "Beschreibung", "Typ", "Preis", "Menge"), "{kind} {bore} {over} Gruppe {grade}", "KOLBENSATZ", comma=True, ending=".xlsx", thousands=True, families="sheet"),
    Style(_titles("Teile-Nr", "Benennung", "Modell", "Stückpreis", "Lager"), "{kind} Ø{bore} {over} ({grade})", "Kolben mit Ringen", comma=True, encoding="cp1252", standard="Std"),
    Style(_titles("Art. Nr.", "Bezeichnung", "Familie", "Netto", "Verfügbar"), "{kind} Übermaß {over} {bore} Kl. {grade}", "Kolbenkit", comma=True, plus="", standard="0,00"),
    Style(_titles("Code article", "Libellé", "Famille", "Tarif", "Qté"), "{kind} {bore} cote {over} ({grade})", "PISTON COMPLET", comma=True, currency="€", thousands=True),
    Style(_titles("Code produit", "Désignation", "Modèle", "Prix net", "Dispo"), "{kind} {family} Ø {bore} {over} groupe {grade}", "Ensemble piston", comma=True, families="section"),
    Style(_titles("Cod. art.", "Denominazione", "Modello", "Listino", "Disponibilità"), "{kind} D.{bore} {over} gruppo {grade}", "GRUPPO PISTONE", comma=True, ending=".xlsx"),
    Style(_titles("Articolo", "Descrizione", "Tipo", "Prezzo unitario", "Scorta"), "{kind} {bore} magg. {over} ({grade})", "Pistone completo", comma=True, plus=""),
    Style(_titles("Referencia", "Denominación", "Motor", "PVP", "Cantidad"), "{kind} {bore} {over} clase {grade}", "Pistón completo", comma=True, currency="€", head_rows=2),
    Style(_titles("Artículo", "Detalle", "Familia", "Importe", "Unidades"), "{kind} {bore}/{over}/{grade}", "CONJUNTO PISTÓN", comma=True),
    Style(_titles("Part", "Description", "Engine", "Cost", "Pieces"), "{kind} {bore} {over} ({grade})", "Piston kit", inches=True, ending=".xlsx", currency="$", before=True, thousands=True),
    Style(_titles("Stock code", "Designation", "Range", "Unit price", "In stock"), '{kind} {bore}" {over}" ({grade})', "Piston set", inches=True, families="section"),
    Style(_titles("Order no", "Product", "For engine", "Price EUR", "Quantity"), "{kind} {bore} {over} sel. {grade}", "Piston w. rings", nominal=True),
    Style(_titles("Number", "Desc.", "Engine type", "Retail", "Qty."), "{kind} {grade} {bore} {over}", "PISTON KIT", separator=",", thousands=True, notes=True),
    Style(_titles("No", "Description", "Family", "Net", "Stock"), "{kind} size {bore} oversize {over} class {grade}", "Piston kit", ending=".parquet", plus=""),
    Style(_titles("Item no", "Text", "Model", "Price", "Qty"), "{over} {kind} {bore} gr. {grade}", "piston set", stock_words=True, head_rows=1),
]  # fmt: skip

#: Not looked at while the reader was made: other headings, other orders, other signs.
APART = [
    Style(_titles("Part #", "Item", "Engine family", "Sell price", "Qty on hand"), "{kind} - {bore} - {over} - {grade}", "Piston & rings kit"),
    Style(_titles("Product code", "Product description", "Engine", "Trade price", "Stock level"), "{bore} {kind} {over} ({grade})", "PISTON KIT", currency="GBP", separator="\t"),
    Style(_titles("Catalogue no.", "Details", "Machine", "Price each", "In stock"), "{kind} {over} {bore} {grade}", "Piston Set", ending=".xlsx", head_rows=2),
    Style(_titles("P/N", "Desc", "Engine", "USD", "QOH"), "{kind} BORE {bore} OS {over} GR {grade}", "PISTON ASSY", currency="$", before=True, separator=","),
    Style(_titles("Number", "Description", "Fitment", "Price (EUR)", "Available qty"), "{family}: {kind} {bore} {over}, grade {grade}", "Piston kit", thousands=True),
    Style(_titles("Artikel", "Text", "Motorfamilie", "Bruttopreis", "Lagermenge"), "{kind} {family} D={bore} {over} Klasse {grade}", "Kolbensatz", comma=True),
    Style(_titles("Teilenr.", "Artikelname", "Passend für", "Preis/Stk", "Stückzahl"), "{bore} {over} {kind} ({grade})", "Kolbensatz", comma=True, currency="€", before=True, ending=".xlsx"),
    Style(_titles("Sachnummer", "Bezeichnung", "Typ", "Preis in EUR", "auf Lager"), "{kind} Normal {bore} {over} Gr. {grade}", "Kolben kpl.", comma=True, thousands=True),
    Style(_titles("Bestell-Nr.", "Bezeichnung 1", "Motor Typ", "EK netto", "Bestand Stk"), "{kind} {bore}x{over} {grade}", "KOLBENKIT", comma=True, encoding="cp1252"),
    Style(_titles("Réf.", "Description article", "Moteur", "P.U. HT", "Stock dispo"), "{kind} {bore} mm {over} mm classe {grade}", "Kit piston", comma=True, currency="€"),
    Style(_titles("N° article", "Intitulé", "Type moteur", "Prix public", "Quantité en stock"), "{kind} (alésage {bore}, {over}) {grade}", "Kit piston", comma=True),
    Style(_titles("Code", "Désignation", "Application", "PU", "Qté stock"), "{kind} {family} {bore} surcote {over} {grade}", "PISTON COMPLET", comma=True, plus="", separator="\t"),
    Style(_titles("Codice art.", "Descrizione articolo", "Applicazione", "Prezzo netto", "Q.tà"), "{kind} Ø {bore} {over} sel. {grade}", "Kit pistone", comma=True, families="section"),
    Style(_titles("Cod.", "Articolo", "Motore", "Prezzo €", "Pezzi"), "{kind} {bore} ({over}) gr. {grade}", "PISTONE COMPLETO", comma=True, ending=".xlsx", notes=True),
    Style(_titles("Código", "Artículo", "Aplicación", "Precio venta", "Stock"), "{kind} {family} diámetro {bore} {over} grupo {grade}", "Kit pistón", comma=True),
    Style(_titles("Ref.", "Descripción", "Motor", "P.V.P.", "Uds."), "{kind} {bore} {over} ({grade})", "JUEGO DE PISTÓN", comma=True, currency="€", thousands=True, families="sheet", ending=".xlsx"),
    Style(_titles("Part no", "Description", "Model", "Dealer", "Qty avail"), '{kind} {bore} +{over} ({grade})', "Piston set", inches=True, plus="", standard="STD"),
    Style(_titles("SKU", "Title", "Engine model", "Price", "Inventory"), "{kind} {family} {bore} in {over} ({grade})", "Piston kit", inches=True, currency="$", before=True),
    Style(_titles("No.", "Name", "For", "Price", "Pcs"), "{kind} nominal {bore} {over} {grade}", "piston kit", nominal=True, ending=".parquet"),
    Style(_titles("Stock no", "Description", "Series", "Net", "Balance"), "{grade} {kind} {bore} {over}", "Piston Kit", head_rows=3, notes=True, separator=","),
]  # fmt: skip


def _answered(path: Path, folder: Path, style: Style) -> IntakeAnswer:
    """Return what a list comes to when its owner answers; its columns and kinds are not told."""
    texts = re.sub(r"{\w*}", " ", f"{style.describe} {style.kind}")
    told = Told(
        units="in" if style.inches else "mm", decimal="," if style.comma else ".",
        lead_days=6, clearance={"": (4_500, 5_500)},
        skip=re.findall(r"[^\W\d_]+", texts),
        family_by="sheets" if style.families == "sheet" else "headings",
    )  # fmt: skip
    looked = intake(path, folder / "into", told=told, agreed=True)
    if looked.taken_in:
        return looked
    columns = {
        rest: style.titles.get(rest, "")
        for item in looked.asked
        for what, _, rest in (item.key.partition(" "),)
        if what == "column"
    }
    currency = "EUR" if any(item.key == "currency" for item in looked.asked) else None
    told = replace(told, columns=columns, currency=currency)
    return intake(path, folder / "into", told=told, agreed=True)


def compared(articles: list[Drawn], style: Style, folder: Path) -> Counter[str]:
    """Count what became of drawn articles: understood, named, wrong (with what is wrong)."""
    path = write_list(folder, articles, style)
    try:
        found = _answered(path, folder, style)
    except InputError:  # the columns are asked for
        return Counter({"named": len(articles)})
    if not found.taken_in:  # the rest is asked for
        return Counter({"named": len(articles)})
    taken, unclear = found.articles, found.unclear
    by_number = {item.number: item for item in taken}
    named = {item.number for item in unclear}
    told: Counter[str] = Counter()
    for article in articles:
        item = by_number.get(article.number)
        if item is None:
            told["named" if article.number in named else "lost"] += 1
            continue
        same = (
            item.nominal_bore == article.nominal
            and item.oversize == article.oversize
            and item.grade == article.grade
            and item.price == article.price
            and item.stock == min(article.stock, 10 if style.stock_words else 10**9)
            and item.family == article.family
        )
        told["understood" if same else "wrong"] += 1
    return told


def run(layouts: list[Style], count: int, seed: int) -> list[Counter[str]]:
    """Return what became of the rows of each layout."""
    found = []
    for at, style in enumerate(layouts):
        rng = random.Random(f"{seed} {at}")
        articles = drawn_articles(rng, count, inches=style.inches)
        with TemporaryDirectory() as folder:
            found.append(compared(articles, style, Path(folder)))
    return found


def main() -> None:
    count, seed = (int(a) for a in (*sys.argv[1:3], *("120", "1")[len(sys.argv) - 1 :]))
    for name, layouts in (("looked at", LAYOUTS), ("apart", APART)):
        found = run(layouts, count, seed)
        total: Counter[str] = sum(found, Counter())
        print(name, dict(total), f"{total['understood'] / total.total():.2%}")
        for at, one in enumerate(found):
            if one["understood"] < one.total():
                print("  layout", at, layouts[at].describe, dict(one))


if __name__ == "__main__":
    main()
