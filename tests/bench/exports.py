# ruff: noqa: E501 (a layout a line; words as their languages write them)
"""Price and stock lists as sales programs export them, by another hand than `lists`; invented.

    python -m tests.bench.exports [FAMILIES [SEED]]

The lists sell kits, pistons, rings and gaskets side by side, and carry columns that say nothing
here. What `intake` asks is answered as the owner of the list would, by heading. Every row that is
taken in is then held against what was drawn: understood, named, wrong or lost.

`FIRST` to `FOURTH` were each written before the reader was first run on them; the figures of
the first runs stand in docs/intake.md.
"""

from __future__ import annotations

import csv
import random
import re
import sys
from collections import Counter
from dataclasses import dataclass, field, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from fitsolver.base.errors import InputError
from fitsolver.reading.list_kinds import phrase
from fitsolver.records.intake import Article, IntakeAnswer
from fitsolver.usecases.intake import Told, intake

MM, INCH = 100_000, 2_540_000
NAMES = ("Dorn", "Kite", "Reed", "Marl", "Fen", "Tarn", "Holt", "Wren")
MARKS = ("125", "54", "2T", "B28", "MK3", "80-4", "S", "XL")


@dataclass(frozen=True)
class Sold:
    """An article as drawn: sizes in ticks, prices in hundredths."""

    kind: str
    number: str
    family: str
    standard: int
    over: int
    grade: str
    place: str
    thickness: int
    price: int
    trade: int
    stock: int
    days: int

    @property
    def bore(self) -> int:
        return self.standard + self.over


@dataclass(frozen=True)
class Export:
    """How a program writes its list. A part of a text in `< >` goes where its figure is missing.

    `columns` are headings with what stands below them; `{text}` is the description by kind.
    `answers` are the headings that the owner names when asked for them.
    """

    columns: tuple[tuple[str, str], ...]
    kit: str
    piston: str = ""
    rings: str = ""
    gasket: str = ""
    places: tuple[str, str] = ("head", "base")
    over: str = "+{}"
    std: str = "STD"
    comma: bool = False
    inches: bool = False
    top: tuple[tuple[str, ...], ...] = ()
    sections: str = ""  # a row before the articles of a family
    sheets: bool = False
    ending: str = ".csv"
    mark: str = ";"
    encoding: str = "utf-8"
    money: str = "{}"
    thousands: str = ""
    pieces: str = "{}"
    no_pieces: str = "0"
    foot: tuple[str, ...] = ()
    answers: dict[str, str] = field(default_factory=dict)


def stock_of(rng: random.Random, families: int, layout: Export) -> list[Sold]:
    """Draw what a shop sells, family by family; no number and no family stands twice."""
    found: list[Sold] = []
    for name in rng.sample([f"{a} {b}" for a in NAMES for b in MARKS], families):
        _draw_family(rng, layout, name, found)
    return found


def _draw_family(rng: random.Random, layout: Export, name: str, found: list[Sold]) -> None:
    standard = _drawn_bore(rng, layout)
    steps = (0, 10, 20, 30, 40) if layout.inches else (0, 25, 50, 75, 100)
    tick = INCH // 1000 if layout.inches else MM // 100
    grades = rng.choice((("",), ("A", "B"), ("1", "2", "3")))
    usual = rng.choice((rng.randrange(3_000, 40_000), rng.randrange(100_000, 160_000)))

    def add(kind: str, over: int = 0, grade: str = "", place: str = "", thick: int = 0) -> None:
        share = {"kit": 10, "piston": 7, "rings": 3, "gasket": 1}[kind]
        price = usual * share // 10 * rng.randrange(90, 115) // 100
        number = f"{rng.choice(('7', 'KP', 'R'))}{len(found):05d}{rng.choice('XYZ')}"
        stock, days = rng.choice((0, 0, 1, 3, 14)), rng.choice((2, 5, 21))
        found.append(
            Sold(kind, number, name, standard, over, grade, place, thick, price,
                 price * 7 // 10, stock, days)
        )  # fmt: skip

    for step in steps:
        for grade in grades:
            add("kit", step * tick, grade)
            if layout.piston:
                add("piston", step * tick, grade)
        if layout.rings:
            add("rings", step * tick)
    if layout.gasket:
        for place in ("head", "base"):
            add("gasket", place=place, thick=rng.choice((30, 50, 80, 120)) * MM // 100)


def _drawn_bore(rng: random.Random, layout: Export) -> int:
    if layout.inches:
        return rng.randrange(2_100, 3_900) * (INCH // 1000)
    return rng.randrange(390, 950) * (MM // 10)


def _figure(ticks: int, layout: Export) -> str:
    text = f"{ticks / INCH:.3f}" if layout.inches else f"{ticks / MM:.2f}"
    return text.replace(".", ",") if layout.comma else text


def _price(cents: int, layout: Export) -> str:
    whole = f"{cents // 100}"
    if layout.thousands and len(whole) > 3:
        whole = f"{whole[:-3]}{layout.thousands}{whole[-3:]}"
    return layout.money.format(f"{whole}{',' if layout.comma else '.'}{cents % 100:02d}")


def cells_of(item: Sold, layout: Export) -> list[str]:
    """Return the cells of an article, a column each."""
    over = layout.over.format(_figure(item.over, layout)) if item.over else layout.std
    if layout.inches:
        over = over.replace("0.", ".")
    values: dict[str, Any] = {
        "number": item.number, "family": item.family, "FAMILY": item.family.upper(),
        "bore": _figure(item.bore, layout), "standard": _figure(item.standard, layout),
        "over": over, "grade": item.grade, "thick": _figure(item.thickness, layout),
        "place": dict(zip(("head", "base"), layout.places, strict=True)).get(item.place, ""),
        "price": _price(item.price, layout), "trade": _price(item.trade, layout),
        "stock": layout.pieces.format(item.stock) if item.stock else layout.no_pieces,
        "days": str(item.days), "ean": f"40{abs(hash_of(item.number)):011d}",
        "weight": _figure(item.trade * 10, layout), "bin": f"{item.number[-2]}-{item.stock + 10}", "line": item.number[2:5],
    }  # fmt: skip
    values["text"] = _filled(getattr(layout, item.kind), values)
    sized = item.kind != "gasket"
    found = []
    for _, template in layout.columns:
        own = not sized and any(f"{{{key}}}" in template for key in ("bore", "standard", "over"))
        found.append("" if own else _filled(template, values))
    return found


def hash_of(number: str) -> int:
    """Return a figure of a number that is the same in every run."""
    return sum(ord(sign) * 31**at for at, sign in enumerate(number)) % 10**11


def _filled(template: str, values: dict[str, Any]) -> str:
    def part(match: re.Match[str]) -> str:
        keys = re.findall(r"{(\w+)}", match[1])
        return match[1] if all(values[key] for key in keys) else ""

    return re.sub(r"<(.*?)>", part, template).format(**values).strip()


def write(folder: Path, sold: list[Sold], layout: Export) -> Path:
    """Write a list; returns its file."""
    titles = [title for title, _ in layout.columns]
    groups: dict[str, list[list[str]]] = {}
    for item in sold:
        groups.setdefault(item.family, []).append(cells_of(item, layout))
    top = [[*row] for row in layout.top]
    if layout.sheets:
        sheets = {name: [*top, titles, *rows] for name, rows in groups.items()}
    else:
        rows = [*top, titles]
        for name, members in groups.items():
            if layout.sections:
                rows.append([layout.sections.format(name)])
            rows += members
        sheets = {"Sheet1": [*rows, *([[*layout.foot]] if layout.foot else [])]}
    path = folder / f"export{layout.ending}"
    if layout.ending == ".xlsx":
        _workbook(path, sheets)
    elif layout.ending == ".parquet":
        import pandas as pd

        rows = next(iter(sheets.values()))
        pd.DataFrame(rows[1:], columns=rows[0]).to_parquet(path)
    else:
        with path.open("w", encoding=layout.encoding, newline="") as stream:
            csv.writer(stream, delimiter=layout.mark).writerows(next(iter(sheets.values())))
    return path


def _workbook(path: Path, sheets: dict[str, list[list[str]]]) -> None:
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append([_typed(cell) for cell in row])
    book.save(path)


def _typed(cell: str) -> object:
    """Return a figure as a spreadsheet holds it."""
    if re.fullmatch(r"[1-9]\d{0,6}|\d{1,6}\.\d+", cell):
        return float(cell) if "." in cell else int(cell)
    return cell or None


KINDS = {"kit": "piston kit", "piston": "piston", "rings": "rings", "gasket": "gasket"}


def same(item: Sold, found: Article, layout: Export) -> bool:
    """Tell whether an article was taken in as it was written."""
    graded = "{grade}" in str((layout.columns, layout.kit))
    sold = (found.kind, found.family, found.price, found.stock)
    if sold != (KINDS[item.kind], item.family, item.price, item.stock):
        return False
    if item.kind == "gasket":
        return (found.place, found.thickness) == (item.place, item.thickness)
    return (
        found.nominal_bore == item.bore
        and found.oversize in {None, item.over}
        and found.grade == (item.grade if graded else "")
    )


def answered(
    path: Path, folder: Path, layout: Export, sold: list[Sold]
) -> tuple[IntakeAnswer, int]:
    """Return what a list comes to when its owner answers, and how many columns were asked for."""
    told = Told(
        units="in" if layout.inches else "mm", lead_days=6,
        clearance={"": (4_500, 5_500)}, decimal="," if layout.comma else ".",
    )  # fmt: skip
    columns: dict[str, str] = {}
    kinds: dict[str, str] = {}
    skip: list[str] = []
    done: set[str] = set()
    facts = FACTS | {"family_by": "sheets" if layout.sheets else "headings"}
    for _ in range(8):
        answers = replace(told, columns=columns, kinds=kinds, skip=skip, **facts)
        found = intake(path, folder, told=answers)
        new = [item for item in found.asked if item.key not in done]
        if not new:
            break
        for item in new:
            done.add(item.key)
            what, _, rest = item.key.partition(" ")
            if what == "column":
                columns[rest] = layout.answers.get(rest, item.proposed if rest == "family" else "")
            elif what == "kind":
                kinds[rest] = meant(rest, sold, layout)
            elif what == "skip":
                role = next((role for role, head in layout.answers.items() if head == rest), "")
                columns.update({role: rest} if role else {})
                skip += [] if role else [rest]
            elif what == "currency":
                told = replace(told, currency="EUR")
            elif what == "words":
                skip += silent(layout)
    return intake(path, folder, told=answers, agreed=True), len(done)


#: What the owner of each list says besides: engine types stand where they are proposed.
FACTS: dict[str, Any] = {
    "smallest_is_standard": True, "lead_unit": "days", "bores_are": "bores",
}  # fmt: skip


def silent(layout: Export) -> list[str]:
    """Return the words of a layout's descriptions, none of which changes what an article is."""
    texts = " ".join((layout.kit, layout.piston, layout.rings, layout.gasket))
    return re.findall(r"[^\W\d_]+", re.sub(r"{\w*}", " ", texts))


def meant(words: str, sold: list[Sold], layout: Export) -> str:
    """Return what the owner says a phrase of a description is."""
    texts = ((item, f" {phrase(' '.join(cells_of(item, layout)))} ") for item in sold)
    kinds = {
        f"{item.place} {KINDS[item.kind]}".strip() for item, text in texts if f" {words} " in text
    }
    return kinds.pop() if len(kinds) == 1 else "none"


def judged(sold: list[Sold], layout: Export, folder: Path) -> tuple[Counter[str], list[str]]:
    """Count what became of the articles of a list, and tell of those that are not understood."""
    path = write(folder, sold, layout)
    try:
        found, asked = answered(path, folder / "into", layout, sold)
    except InputError as error:
        return Counter({"named": len(sold)}), [f"refused: {error}"]
    taken = {item.number: item for item in found.articles}
    named = {item.number: item for item in found.unclear}
    told: Counter[str] = Counter({"questions": asked})
    notes: list[str] = []
    for item in sold:
        got = taken.get(item.number)
        if got is not None and same(item, got, layout):
            told["understood"] += 1
            continue
        word = "wrong" if got is not None else "named" if item.number in named else "lost"
        told[word] += 1
        notes.append(f"{word}: {cells_of(item, layout)} -> {got or named.get(item.number)}")
    return told, notes


def run(layouts: list[Export], families: int, seed: int) -> list[tuple[Counter[str], list[str]]]:
    """Return what became of the rows of each layout."""
    found = []
    for at, layout in enumerate(layouts):
        sold = stock_of(random.Random(f"{seed} {at}"), families, layout)
        with TemporaryDirectory() as folder:
            found.append(judged(sold, layout, Path(folder)))
    return found


#: Written first, before any run.
FIRST = [
    # Portuguese
    Export((("Cód. Peça", "{number}"), ("Descrição do artigo", "{text}"), ("Motor", "{family}"), ("Armazém", "{bin}"), ("Qtd.", "{stock}"), ("Preço s/ IVA", "{price}")),
           "Kit pistão {standard} {over}< ({grade})>", rings="Jogo de segmentos {standard} {over}", comma=True, money="{} €",
           answers={"number": "Cód. Peça", "description": "Descrição do artigo", "family": "Motor", "stock": "Qtd.", "price": "Preço s/ IVA"}),
    Export((("Ref.ª", "{number}"), ("EAN", "{ean}"), ("Designação", "{text}"), ("Aplicação", "{family}"), ("Existência", "{stock}"), ("PVP", "{price}"), ("Prazo (dias)", "{days}")),
           "PISTÃO COMPLETO Ø{standard} {over}< CLASSE {grade}>", gasket="JUNTA {place} {thick} MM", places=("CABEÇA", "BASE"), comma=True, top=(("Tabela de preços",), ("válida desde março",)), ending=".xlsx",
           answers={"number": "Ref.ª", "description": "Designação", "family": "Aplicação", "stock": "Existência", "price": "PVP", "lead_days": "Prazo (dias)"}),
    # Dutch
    Export((("Artikelnr", "{number}"), ("Omschrijving", "{text}"), ("Voorraad", "{stock}"), ("Prijs", "{price}"), ("Motortype", "{family}"), ("Levertijd", "{days}")),
           "Zuigerset {standard} {over}<, groep {grade}>", piston="Zuiger los {standard} {over}<, groep {grade}>", rings="Zuigerveren {standard} {over}", comma=True, mark="\t", thousands=".",
           answers={"number": "Artikelnr", "description": "Omschrijving", "family": "Motortype", "stock": "Voorraad", "price": "Prijs", "lead_days": "Levertijd"}),
    Export((("Onderdeel", "{number}"), ("Omschr.", "{text}"), ("Boring", "{bore}"), ("Overmaat", "{over}"), ("Klasse", "{grade}"), ("Bruto", "{price}"), ("Netto", "{trade}"), ("Vrij", "{stock}")),
           "Zuiger compleet met veren", sections="{}", comma=True, ending=".xlsx",
           answers={"number": "Onderdeel", "description": "Omschr.", "bore": "Boring", "oversize": "Overmaat", "grade": "Klasse", "price": "Bruto", "stock": "Vrij"}),
    # English
    Export((("Line", "{line}"), ("Item #", "{number}"), ("Item Desc", "{text}"), ("Bin", "{bin}"), ("Qty Avail", "{stock}"), ("List $", "{price}"), ("Jobber $", "{trade}"), ("Application", "{family}")),
           "PISTON KIT {standard} {over}< GRADE {grade}>", rings="RING SET {standard} {over}", mark=",", inches=True, over="{}", money="${}", thousands=",",
           answers={"number": "Item #", "description": "Item Desc", "family": "Application", "stock": "Qty Avail", "price": "List $"}),
    Export((("Stock ref", "{number}"), ("Product", "{text}"), ("Bore dia", "{standard}"), ("Oversize", "{over}"), ("Sel.", "{grade}"), ("Engine", "{family}"), ("Wt g", "{weight}"), ("Retail ex VAT", "{price}"), ("Phys. stock", "{stock}")),
           "Piston complete with rings, pin and clips", piston="Piston only", mark=",", money="£{}", thousands=",", over="+{} O/S",
           answers={"number": "Stock ref", "description": "Product", "bore": "Bore dia", "oversize": "Oversize", "grade": "Sel.", "family": "Engine", "price": "Retail ex VAT", "stock": "Phys. stock"}),
    Export((("Part", "{number}"), ("Details", "{text}"), ("Shelf", "{bin}"), ("Pcs", "{stock}"), ("Ex works", "{price}")),
           "{FAMILY} PISTON KIT {bore}MM {over}< GR.{grade}>", rings="{FAMILY} RINGS {bore}MM {over}", gasket="{FAMILY} {place} GASKET {thick}MM", places=("HEAD", "BASE"), sections="*** {} ***", pieces="{} pcs", no_pieces="-",
           answers={"number": "Part", "description": "Details", "price": "Ex works", "stock": "Pcs"}),
    Export((("No.", "{line}"), ("Part code", "{number}"), ("Description", "{text}"), ("Model", "{family}"), ("Price per pc", "{price}"), ("Status", "{stock}"), ("Remark", "")),
           "Piston set std {standard} o/s {over}< sel {grade}>", std="0", over="{}", ending=".xlsx", sheets=False, no_pieces="out",
           answers={"number": "Part code", "description": "Description", "family": "Model", "price": "Price per pc", "stock": "Status"}),
    # German
    Export((("Pos", "{line}"), ("Teilenummer", "{number}"), ("Warenbezeichnung", "{text}"), ("passend für", "{family}"), ("WG", "{line}"), ("Ist-Bestand", "{stock}"), ("UVP inkl.", "{price}"), ("HEK", "{trade}")),
           "Kolben kompl. m. Ringen D={standard} ÜM {over}< Sort. {grade}>", rings="Kolbenringsatz D={standard} ÜM {over}", gasket="{place}dichtung {thick} mm", places=("Kopf", "Fuß"), comma=True, encoding="cp1252", over="{}", std="0,00",
           answers={"number": "Teilenummer", "description": "Warenbezeichnung", "family": "passend für", "stock": "Ist-Bestand", "price": "UVP inkl."}),
    Export((("Artikel", "{number}"), ("Kurztext", "{text}"), ("Lagerort", "{bin}"), ("Bestand", "{stock}"), ("Preis/ME", "{price}"), ("Lieferzeit (Tage)", "{days}")),
           "Kolbensatz {bore} {over}< Gr. {grade}>", piston="Kolben {bore} {over}< Gr. {grade}>", sheets=True, ending=".xlsx", comma=True, std="Standard", over="{} Übermaß",
           answers={"number": "Artikel", "description": "Kurztext", "stock": "Bestand", "price": "Preis/ME", "lead_days": "Lieferzeit (Tage)"}),
    Export((("Bezeichnung", "{text}"), ("Best.-Nr.", "{number}"), ("Motor", "{family}"), ("EUR", "{price}"), ("lfd.", "{line}"), ("verf. Menge", "{stock}")),
           "Kolben + Ringe, Zylinder {standard}, Stufe {over}<, Farbe {grade}>", comma=True, mark="|", thousands=".", money="{} EUR",
           answers={"number": "Best.-Nr.", "description": "Bezeichnung", "family": "Motor", "price": "EUR", "stock": "verf. Menge"}),
    # French
    Export((("Réf. interne", "{number}"), ("Libellé court", "{text}"), ("Moteur", "{family}"), ("Cote", "{bore}"), ("Classe", "{grade}"), ("Stock réel", "{stock}"), ("Tarif HT", "{price}"), ("Remise", "{line}")),
           "Piston complet", rings="Jeu de segments", comma=True, money="{} €", thousands=" ",
           answers={"number": "Réf. interne", "description": "Libellé court", "family": "Moteur", "bore": "Cote", "grade": "Classe", "stock": "Stock réel", "price": "Tarif HT"}),
    Export((("Code", "{number}"), ("Description pièce", "{text}"), ("Qté", "{stock}"), ("PV TTC", "{price}"), ("PA HT", "{trade}"), ("Véhicule", "{family}")),
           "Ens. piston alésage {standard} réparation {over}< cl. {grade}>", gasket="Joint {place} ép. {thick}", places=("de culasse", "d'embase"), comma=True, mark="\t", encoding="utf-16", std="origine",
           answers={"number": "Code", "description": "Description pièce", "family": "Véhicule", "stock": "Qté", "price": "PV TTC"}),
    Export((("Article", "{number}"), ("Désignation", "{text}"), ("Emplacement", "{bin}"), ("Disponible", "{stock}"), ("Prix", "{price}"), ("Délai", "{days}")),
           "{family} - kit piston {standard} {over}< ({grade})>", comma=True, ending=".xlsx", foot=("Prix sous réserve de modification",),
           answers={"number": "Article", "description": "Désignation", "stock": "Disponible", "price": "Prix", "lead_days": "Délai"}),
    # Italian
    Export((("Cod. fornitore", "{number}"), ("Descr. articolo", "{text}"), ("Marca", "{line}"), ("Mod. motore", "{family}"), ("Esistenza", "{stock}"), ("Prezzo di listino", "{price}"), ("UM", "NR")),
           "PISTONE CPL DIAM. {standard} {over}< CAT. {grade}>", rings="FASCE ELASTICHE DIAM. {standard} {over}", comma=True, thousands=".",
           answers={"number": "Cod. fornitore", "description": "Descr. articolo", "family": "Mod. motore", "stock": "Esistenza", "price": "Prezzo di listino"}),
    Export((("Articolo", "{number}"), ("Testo", "{text}"), ("Alesaggio", "{bore}"), ("Magg.", "{over}"), ("Selezione", "{grade}"), ("Famiglia", "{family}"), ("Giac.", "{stock}"), ("€", "{price}")),
           "Pistone con fasce", gasket="Guarnizione {place} {thick}", places=("testa", "base cilindro"), comma=True, ending=".parquet",
           answers={"number": "Articolo", "description": "Testo", "bore": "Alesaggio", "oversize": "Magg.", "grade": "Selezione", "family": "Famiglia", "stock": "Giac.", "price": "€"}),
    # Spanish
    Export((("Cód. art.", "{number}"), ("Descripción corta", "{text}"), ("Ubicación", "{bin}"), ("Stock actual", "{stock}"), ("Tarifa", "{price}"), ("Dto", "{line}"), ("Vehículo", "{family}")),
           "PISTON COMPL. {standard}mm {over}< GRUPO {grade}>", rings="SEGMENTOS {standard}mm {over}", comma=True, mark="|", over="+{}mm",
           answers={"number": "Cód. art.", "description": "Descripción corta", "family": "Vehículo", "stock": "Stock actual", "price": "Tarifa"}),
    Export((("Referencia", "{number}"), ("Concepto", "{text}"), ("Medida estándar", "{standard}"), ("Sobremedida", "{over}"), ("Letra", "{grade}"), ("Modelo", "{family}"), ("P. venta", "{price}"), ("Ud. disp.", "{stock}")),
           "Kit pistón", piston="Pistón suelto", rings="Juego segmentos", comma=True, ending=".xlsx", std="0", over="{}",
           answers={"number": "Referencia", "description": "Concepto", "bore": "Medida estándar", "oversize": "Sobremedida", "grade": "Letra", "family": "Modelo", "price": "P. venta", "stock": "Ud. disp."}),
    # Swedish, Polish: words nobody promised
    Export((("Art.nr", "{number}"), ("Benämning", "{text}"), ("Motor", "{family}"), ("Saldo", "{stock}"), ("Pris", "{price}")),
           "Kolvsats {standard} {over}< klass {grade}>", comma=True, money="{} kr",
           answers={"number": "Art.nr", "description": "Benämning", "family": "Motor", "stock": "Saldo", "price": "Pris"}),
    Export((("Indeks", "{number}"), ("Nazwa towaru", "{text}"), ("Silnik", "{family}"), ("Stan", "{stock}"), ("Cena netto", "{price}")),
           "Tłok kpl. {standard} {over}< gr. {grade}>", comma=True, money="{} zł",
           answers={"number": "Indeks", "description": "Nazwa towaru", "family": "Silnik", "stock": "Stan", "price": "Cena netto"}),
]  # fmt: skip


#: Written before the reader was mended after the run on `FIRST`, and first run after that.
SECOND = [
    # Danish
    Export((("Varenr.", "{number}"), ("Varetekst", "{text}"), ("Lokation", "{bin}"), ("Motor", "{family}"), ("Beholdning", "{stock}"), ("Salgspris", "{price}"), ("Kostpris", "{trade}")),
           "Stempelsæt {standard} {over}< gruppe {grade}>", rings="Stempelringe {standard} {over}", comma=True, money="{} kr.", thousands=".",
           answers={"number": "Varenr.", "description": "Varetekst", "family": "Motor", "stock": "Beholdning", "price": "Salgspris"}),
    # Czech
    Export((("Kód", "{number}"), ("Název", "{text}"), ("Typ motoru", "{family}"), ("Skladem", "{stock}"), ("Cena bez DPH", "{price}")),
           "Píst kompletní {standard} {over}< tř. {grade}>", gasket="Těsnění {place} {thick}", places=("hlavy", "paty"), comma=True, thousands=" ", pieces="{} ks",
           answers={"number": "Kód", "description": "Název", "family": "Typ motoru", "stock": "Skladem", "price": "Cena bez DPH"}),
    # Finnish, no oversizes: the bore itself
    Export((("Tuotekoodi", "{number}"), ("Nimike", "{text}"), ("Malli", "{family}"), ("Halkaisija", "{bore}"), ("Varasto", "{stock}"), ("Hinta", "{price}")),
           "Mäntäsarja", rings="Männänrenkaat", comma=True, ending=".xlsx",
           answers={"number": "Tuotekoodi", "description": "Nimike", "family": "Malli", "bore": "Halkaisija", "stock": "Varasto", "price": "Hinta"}),
    # English: a wholesaler with codes, an owner's own workbook, a counter's stock print
    Export((("Stk code", "{number}"), ("Long description", "{text}"), ("Grp", "{line}"), ("Avail now", "{stock}"), ("On order", "{line}"), ("Trade", "{trade}"), ("RRP inc", "{price}")),
           "{family} PSTN KIT w/rings {standard} x {over}< - {grade}>", piston="{family} PSTN BARE {standard} x {over}< - {grade}>", mark=",", std="STANDARD",
           answers={"number": "Stk code", "description": "Long description", "family": "Long description", "price": "RRP inc", "stock": "Avail now"}),
    Export((("what", "{text}"), ("our number", "{number}"), ("for", "{family}"), ("how many", "{stock}"), ("we ask", "{price}"), ("shelf", "{bin}")),
           "piston + rings {bore}mm<, {grade}>", gasket="gasket {place} end {thick}mm", places=("head", "base"), ending=".xlsx", top=(("Parts in the back room",), (), ("counted in spring",)), no_pieces="none",
           answers={"number": "our number", "description": "what", "family": "for", "stock": "how many", "price": "we ask"}),
    Export((("Part No", "{number}"), ("Size", "{standard}"), ("O/S", "{over}"), ("Gr", "{grade}"), ("Engine", "{family}"), ("Type", "{text}"), ("S.O.H.", "{stock}"), ("Price1", "{price}"), ("Price2", "{trade}")),
           "KIT", piston="PISTON", rings="RINGS", inches=True, over="{}", std="STD", mark=",", money="${}",
           answers={"number": "Part No", "description": "Type", "bore": "Size", "oversize": "O/S", "grade": "Gr", "family": "Engine", "stock": "S.O.H.", "price": "Price1"}),
    # German: sections, a code for the oversize's step; a page of a big dealer
    Export((("Nr", "{number}"), ("Text", "{text}"), ("Preis", "{price}"), ("Stk", "{stock}")),
           "Kolben m. Ri. {bore} ({over})< {grade}>", rings="Ringe f. Kolben {bore} ({over})", sections="Motor {}", comma=True, mark="\t", encoding="cp1252", over="+{}", std="Serie",
           answers={"number": "Nr", "description": "Text", "price": "Preis", "stock": "Stk"}),
    # French: packed descriptions
    Export((("REF", "{number}"), ("DESIGNATION", "{text}"), ("MACHINE", "{family}"), ("DEPOT", "{bin}"), ("STK", "{stock}"), ("PX VENTE", "{price}"), ("POIDS", "{weight}")),
           "PISTON CPLT D{standard} COTE {over}< REP {grade}>", rings="SEGMENT D{standard} COTE {over}", comma=True, std="STD", over="+{}",
           answers={"number": "REF", "description": "DESIGNATION", "family": "MACHINE", "stock": "STK", "price": "PX VENTE"}),
    # Italian: sheets a family, cells of a spreadsheet
    Export((("n.", "{line}"), ("codice pezzo", "{number}"), ("descrizione", "{text}"), ("pz.", "{stock}"), ("prezzo cad.", "{price}"), ("consegna gg", "{days}")),
           "pistone con segmenti e spinotto {bore} {over}< lettera {grade}>", gasket="guarnizione {place} sp. {thick}", places=("testata", "basamento"), sheets=True, ending=".xlsx", std="std", over="+{}",
           answers={"number": "codice pezzo", "description": "descrizione", "stock": "pz.", "price": "prezzo cad.", "lead_days": "consegna gg"}),
    # Turkish
    Export((("Stok Kodu", "{number}"), ("Stok Adı", "{text}"), ("Motor Tipi", "{family}"), ("Miktar", "{stock}"), ("Birim Fiyat", "{price}"), ("KDV", "{line}")),
           "Piston takımı {standard} {over}< sınıf {grade}>", rings="Segman {standard} {over}", comma=True, mark=";", money="{} TL", thousands=".",
           answers={"number": "Stok Kodu", "description": "Stok Adı", "family": "Motor Tipi", "stock": "Miktar", "price": "Birim Fiyat"}),
]  # fmt: skip


#: Written after the reader was mended for `SECOND`, before it was run on any of these.
THIRD = [
    # Norwegian, size first
    Export((("Produktnr", "{number}"), ("Produkt", "{text}"), ("Motor", "{family}"), ("På lager", "{stock}"), ("Utsalg", "{price}")),
           "{standard} stempelsett {over}< ({grade})>", rings="{standard} ringer {over}", comma=True, money="kr {}", no_pieces="",
           answers={"number": "Produktnr", "description": "Produkt", "family": "Motor", "stock": "På lager", "price": "Utsalg"}),
    # Hungarian, two stores
    Export((("Cikkszám", "{number}"), ("Megnevezés", "{text}"), ("Típus", "{family}"), ("Raktár 1", "{stock}"), ("Raktár 2", "{line}"), ("Ár", "{price}")),
           "Dugattyú készlet {standard} {over}<, {grade} osztály>", rings="Gyűrű garnitúra {standard} {over}", comma=True, money="{} Ft", thousands=" ",
           answers={"number": "Cikkszám", "description": "Megnevezés", "family": "Típus", "stock": "Raktár 1", "price": "Ár"}),
    # English: thousandths written as whole numbers, as machinists say them
    Export((("SKU", "{number}"), ("Item", "{text}"), ("Engine", "{family}"), ("Each", "{price}"), ("Qty", "{stock}")),
           "PISTON SET {standard} {over}< {grade}>", rings="RINGS {standard} {over}", inches=True, over="+{}", std="STD", mark=",", money="$ {}", thousands=",",
           answers={"number": "SKU", "description": "Item", "family": "Engine", "price": "Each", "stock": "Qty"}),
    # Swiss German: the type stands in text and column, notes behind, apostrophes
    Export((("Art.", "{number}"), ("Bezeichnung", "{text}"), ("Typ", "{family}"), ("CHF", "{price}"), ("CHF Wdv.", "{trade}"), ("Lager", "{stock}")),
           "Kolbensatz zu {family} {bore} ({over}<, Kl. {grade}>) Auslauf", gasket="{place}dichtung zu {family} {thick} Metall", places=("Zylinderkopf", "Zylinderfuss"), money="{}", thousands="'",
           answers={"number": "Art.", "description": "Bezeichnung", "family": "Typ", "price": "CHF", "stock": "Lager"}),
    # Years in the text
    Export((("Part", "{number}"), ("Desc", "{text}"), ("Fits", "{family}"), ("RRP", "{price}"), ("Avail", "{stock}")),
           "Piston kit 98-04 {standard} {over}< {grade}>", rings="Ring set 98-04 {standard} {over}", mark=",",
           answers={"number": "Part", "description": "Desc", "family": "Fits", "price": "RRP", "stock": "Avail"}),
    # Columns only, an oversize left empty where there is none, words in the grade
    Export((("Code", "{number}"), ("Product", "{text}"), ("For engine", "{family}"), ("Dia.", "{bore}"), ("Over", "{over}"), ("Group", "<Group {grade}>"), ("Net", "{price}"), ("In", "{stock}")),
           "Piston kit", piston="Piston without rings", gasket="{place} gasket {thick} mm", places=("Head", "Base"), std="", over="{}", ending=".xlsx",
           answers={"number": "Code", "description": "Product", "bore": "Dia.", "oversize": "Over", "grade": "Group", "family": "For engine", "price": "Net", "stock": "In"}),
    # French: bore x oversize, a packed code
    Export((("Réf", "{number}"), ("Produit", "{text}"), ("Modèle", "{family}"), ("Px", "{price}"), ("Stock", "{stock}"), ("Mini", "{line}")),
           "KIT PISTON {standard}x{over}<x{grade}>", comma=True, over="{}", std="0",
           answers={"number": "Réf", "description": "Produit", "family": "Modèle", "price": "Px", "stock": "Stock"}),
    # Spanish: the type at the end of the text
    Export((("Cod.", "{number}"), ("Denominación", "{text}"), ("Precio €", "{price}"), ("Disp.", "{stock}")),
           "Juego pistón {standard} {over}< ({grade})> para {family}", rings="Juego aros {standard} {over} para {family}", comma=True, over="+{}", std="STD",
           answers={"number": "Cod.", "description": "Denominación", "family": "Denominación", "price": "Precio €", "stock": "Disp."}),
    # Romanian
    Export((("Cod produs", "{number}"), ("Denumire", "{text}"), ("Motor", "{family}"), ("Stoc", "{stock}"), ("Preț", "{price}"), ("Termen", "{days} zile")),
           "Set piston {standard} {over}< grupa {grade}>", rings="Set segmenți {standard} {over}", comma=True, money="{} lei", thousands=".", pieces="{} buc",
           answers={"number": "Cod produs", "description": "Denumire", "family": "Motor", "stock": "Stoc", "price": "Preț", "lead_days": "Termen"}),
    # English workbook: micrometres, sheets a family, dashes for nothing
    Export((("ID", "{number}"), ("Spec", "{text}"), ("Count", "{stock}"), ("Unit cost", "{trade}"), ("Sale", "{price}")),
           "PISTON ASSEMBLY {standard} OVERSIZE {over}< TYPE {grade}>", piston="PISTON ONLY {standard} OVERSIZE {over}< TYPE {grade}>", sheets=True, ending=".xlsx", std="NIL", over="{}", no_pieces="--",
           answers={"number": "ID", "description": "Spec", "stock": "Count", "price": "Sale"}),
]  # fmt: skip


#: Written after the reader was mended for `THIRD`, before it was run on any of these.
FOURTH = [
    # Croatian
    Export((("Šifra", "{number}"), ("Naziv", "{text}"), ("Stroj", "{family}"), ("Zaliha", "{stock}"), ("MPC", "{price}"), ("VPC", "{trade}")),
           "Klip kpl. {standard} {over}< razred {grade}>", rings="Karike {standard} {over}", comma=True, money="{} €",
           answers={"number": "Šifra", "description": "Naziv", "family": "Stroj", "stock": "Zaliha", "price": "MPC"}),
    # English: an order form
    Export((("Qty wanted", ""), ("Cat. ref", "{number}"), ("Goods", "{text}"), ("Suits", "{family}"), ("GBP ea", "{price}"), ("Held", "{stock}")),
           "Piston, rings, pin, clips - {standard}mm - {over}<mm - size group {grade}>", gasket="{place} joint {thick}mm", places=("Head", "Base"), mark=",", money="£{}",
           answers={"number": "Cat. ref", "description": "Goods", "family": "Suits", "price": "GBP ea", "stock": "Held"}),
    # German: bore and grade in one cell, an article code before the name
    Export((("Artikelnummer", "{number}"), ("Bezeichnung", "{text}"), ("Motor", "{family}"), ("Bestand", "{stock}"), ("Reserviert", "0"), ("Listenpreis", "{price}"), ("Gewicht", "{weight}")),
           "Kolbensatz {bore}< {grade}> Übermaß {over}", piston="Kolben ohne Ringe {bore}< {grade}> Übermaß {over}", comma=True, over="{}", std="0,00", thousands=".",
           answers={"number": "Artikelnummer", "description": "Bezeichnung", "family": "Motor", "stock": "Bestand", "price": "Listenpreis"}),
    # French workbook, capital headings, title rows
    Export((("FAMILLE", "{family}"), ("CODE", "{number}"), ("DESIGNATION", "{text}"), ("COTE", "{standard}"), ("SURCOTE", "{over}"), ("CLASSE", "{grade}"), ("PRIX", "{price}"), ("DISPO", "{stock}")),
           "Kit piston", piston="Piston seul", rings="Segments", gasket="Joint {place} {thick}", places=("culasse", "embase"), comma=True, ending=".xlsx", top=(("TARIF",), (), ("Prix HT",)), over="+{}", std="STD",
           answers={"number": "CODE", "description": "DESIGNATION", "family": "FAMILLE", "bore": "COTE", "oversize": "SURCOTE", "grade": "CLASSE", "price": "PRIX", "stock": "DISPO"}),
    # Portuguese, sections
    Export((("Código", "{number}"), ("Descrição", "{text}"), ("Preço €", "{price}"), ("Stock", "{stock}")),
           "Kit pistão {bore}mm {over}< letra {grade}>", rings="Segmentos {bore}mm {over}", sections="{} :", comma=True, over="(+{})", std="(STD)",
           answers={"number": "Código", "description": "Descrição", "price": "Preço €", "stock": "Stock"}),
    # English inch list, parquet
    Export((("part_number", "{number}"), ("item_name", "{text}"), ("engine_model", "{family}"), ("unit_price", "{price}"), ("unit_cost", "{trade}"), ("qty_on_hand", "{stock}")),
           "{over} piston kit {standard} bore< class {grade}>", rings="{over} ring set {standard} bore", inches=True, over="{}", std="Std", ending=".parquet",
           answers={"number": "part_number", "description": "item_name", "family": "engine_model", "price": "unit_price", "stock": "qty_on_hand"}),
]  # fmt: skip


def main() -> None:
    families, seed = (int(a) for a in (*sys.argv[1:3], *("6", "1")[len(sys.argv) - 1 :]))
    for name, layouts in (
        ("first", FIRST),
        ("second", SECOND),
        ("third", THIRD),
        ("fourth", FOURTH),
    ):
        found = run(layouts, families, seed)
        total: Counter[str] = sum((told for told, _ in found), Counter())
        rows = total.total() - total["questions"]
        print(name, dict(total), f"{total['understood'] / rows:.2%} of {rows}")
        for at, (told, notes) in enumerate(found):
            if told["understood"] < told.total() - told["questions"]:
                print("  layout", at, dict(told), *notes[:2], sep="\n     ")


if __name__ == "__main__":
    main()
