# ruff: noqa: E501 (a layout a few lines; words as their languages write them)
"""Twenty further lists of suppliers in another style: programs' exports, counters' own sheets.

Written after the reader was changed for those of `suppliers`, before it was run on any of these.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tests.bench.suppliers import HUNDREDTH, INCH_STEPS, MM, THOU, Line, Supplier, values_of


def _headless(layout: Supplier, items: Sequence[Line]) -> dict[str, list[list[Any]]]:
    """A counter's own sheet: no headings at all."""
    rows = []
    for item in items:
        v = values_of(item, layout)
        rows.append([v["number"], v["text"], v["family"], v["price"], v["stock"]])
    return {"List": rows}


def _sized_sections(layout: Supplier, items: Sequence[Line]) -> dict[str, list[list[Any]]]:
    """The bore stands in the heading between the rows only."""
    rows: list[list[Any]] = [["Codice", "Descrizione", "Prezzo", "Giacenza"]]
    last = ""
    for item in items:
        v = values_of(item, layout)
        if item.family != last:
            last = item.family
            rows.append([f"=== {last} - alesaggio {v['std']} ==="])
        rows.append([v["number"], v["text"], v["price"], v["stock"]])
    return {"List": rows}


def _beside(layout: Supplier, items: Sequence[Line]) -> dict[str, list[list[Any]]]:
    """Two tables side by side on one page."""
    half = (len(items) + 1) // 2
    head = ["Part No", "Description", "Engine", "Price", "Stock"]
    rows: list[list[Any]] = [[*head, "", *head]]
    cells = [
        [v[k] for k in ("number", "text", "family", "price", "stock")]
        for v in (values_of(i, layout) for i in items)
    ]
    for at in range(half):
        right = cells[half + at] if half + at < len(cells) else [""] * 5
        rows.append([*cells[at], "", *right])
    return {"List": rows}


def _typed(layout: Supplier, items: Sequence[Line]) -> dict[str, list[list[Any]]]:
    """Figures as a spreadsheet holds them; engine types that are numbers."""
    rows: list[list[Any]] = [
        ["Tarif 2026"],
        ["Réf", "Désignation", "Moteur", "Alésage", "Surcote", "P.U. HT", "Stock"],
    ]
    for item in items:
        v = values_of(item, layout)
        rows.append(
            [
                item.number,
                v["text"],
                item.family,
                item.standard / MM,
                item.over / MM or None,
                item.price / 100,
                item.stock,
            ]
        )
    return {"Pistons": rows, "Conditions": [["Conditions de vente"], ["Franco 300 EUR"]]}


SECOND = (
    # 1 Germany: an export with short headings of its own
    Supplier((("MATNR", "{number}", "number"), ("KTXT", "{text}", "description"), ("BAUMUSTER", "{family}", "family"), ("NENNM", "{std}", "bore"), ("UEBM", "{over}", "oversize"), ("KL", "{grade}", "grade"), ("VKP", "{price}", "price"), ("VPE", "1", ""), ("LGBST", "{stock},00", "stock")),
             {"kit": "Kolbensatz", "piston": "Kolben lose"}, comma=True, grades=("A", "B"), encoding="cp1252"),
    # 2 a web shop's export: switches as figures, prices with and without tax
    Supplier((("sku", "{number}", "number"), ("name", "{text}", "description"), ("engine", "{family}", "family"), ("bore_mm", "{std}", "bore"), ("oversize_mm", "{dec}", "oversize"), ("price_incl_tax", "{gross}", ""), ("price_excl_tax", "{price}", "price"), ("qty", "{stock}", "stock"), ("is_in_stock", "{flag}", ""), ("enabled", "{on}", "remark")),
             {"kit": "Piston kit", "rings": "Ring set"}, mark=",", more=lambda i: {"dec": f"{i.over / MM:.2f}", "flag": "1" if i.stock else "0", "on": ""}),
    # 3 France: no headings at all
    Supplier((("1", "{number}", "number"),), {"kit": "Kit piston Ø {std} {over}", "rings": "Segments Ø {std} {over}"}, comma=True, book=_headless,
             facts={"number": "column 1", "description": "column 2", "family": "column 3", "price": "column 4", "stock": "column 5"}),
    # 4 Italy: the bore in the heading between the rows only
    Supplier((("Codice", "{number}", "number"), ("Descrizione", "{text}", "description"), ("Prezzo", "{price}", "price"), ("Giacenza", "{stock}", "stock")),
             {"kit": "Pistone completo {bare}", "rings": "Serie segmenti {bare}"}, comma=True, book=_sized_sections, lost=True, families="section"),
    # 5 Britain: other lengths beside the bore
    Supplier((("Ref", "{number}", "number"), ("Engine", "{family}", "family"), ("Article", "{text}", "description"), ("Pin dia", "16.00", ""), ("Comp height", "{ch}", ""), ("Bore", "{std}", "bore"), ("Over", "{bare}", "oversize"), ("Ring width", "1.50", ""), ("Nett", "{price}", "price"), ("Stk", "{stock}", "stock")),
             {"kit": "Piston kit", "piston": "Piston only"}, mark=",", more=lambda i: {"ch": f"{28 + i.index % 5}.50"}),
    # 6 Spain: cubic centimetres and years in the text
    Supplier((("Ref.", "{number}", "number"), ("Descripción", "{text}", "description"), ("Modelo", "{family}", "family"), ("PVP", "{price} €", "price"), ("Disponible", "{stock}", "stock")),
             {"kit": "KIT PISTÓN 125CC 98-04 Ø{std} ({over})", "rings": "JUEGO AROS 125CC 98-04 Ø{std} ({over})"}, comma=True),
    # 7 United States: pieces per pack, some articles in sets
    Supplier((("Item", "{number}", "number"), ("Description", "{text}", "description"), ("Application", "{family}", "family"), ("Pack", "{pieces}", "pieces"), ("List Price", "{price}", "price"), ("On Hand", "{stock}", "stock")),
             {"kit": "Piston kit {std} {over}", "rings": "Ring set {std} {over}"}, INCH_STEPS, inches=True, mark=",", odd="sets"),
    # 8 Netherlands: the grade at the end of the number only
    Supplier((("Artikelcode", "{number}", "number"), ("Omschrijving", "{text}", "description"), ("Motortype", "{family}", "family"), ("Verkoop", "{price}", "price"), ("Vrd.", "{stock}", "stock"), ("Levertijd", "{weeks}", "lead_days")),
             {"kit": "Zuiger compleet {std} {over}"}, comma=True, more=lambda i: {"number": f"{i.number}", "weeks": f"{i.days // 7 or 1} weken"}),
    # 9 Germany: prices by quantity
    Supplier((("Bestell-Nr", "{number}", "number"), ("Artikelbezeichnung", "{text}", "description"), ("Motor", "{family}", "family"), ("ab 1 St.", "{price}", "price"), ("ab 10 St.", "{net}", ""), ("ab 50 St.", "{old}", ""), ("vorrätig", "{stock}", "stock")),
             {"kit": "Kolben komplett {std} {over}", "piston": "Kolben ohne Ringe {std} {over}"}, comma=True, thousands="."),
    # 10 Portugal: stock in words, one of them unclear
    Supplier((("Código", "{number}", "number"), ("Designação", "{text}", "description"), ("Motor", "{family}", "family"), ("Preço", "{price}", "price"), ("Em stock", "{word}", "stock")),
             {"kit": "Kit pistão {std} {over}", "rings": "Jogo segmentos {std} {over}"}, comma=True, more=lambda i: {"word": "Não" if not i.stock else "Sim" if i.stock < 10 else "Poucas"}, least=1),
    # 11 Britain: no longer sold told in the price and the stock
    Supplier((("Part no.", "{number}", "number"), ("Details", "{text}", "description"), ("Model", "{family}", "family"), ("Price", "{nla}", "price"), ("Stock", "{use}", "stock")),
             {"kit": "Piston kit {std} {over}", "rings": "Piston rings {std} {over}"}, mark=",", odd="ended", more=lambda i: {"nla": "N.L.A." if i.ended else f"{i.price / 100:.2f}", "use": "use K9" if i.ended else str(i.stock)}),
    # 12 France: a workbook's own figures
    Supplier((("Réf", "{number}", "number"), ("Moteur", "{family}", "family")), {"kit": "Kit piston", "rings": "Jeu de segments"}, ending=".xlsx", book=_typed),
    # 13 Italy: the price first, oversizes counted, the oversize's own bore
    Supplier((("Prezzo", "{price}", "price"), ("Pz.", "{stock}", "stock"), ("Misura", "{bore}", "bore"), ("Descrizione", "{text}", "description"), ("Per motore", "{family}", "family"), ("Cod.", "{number}", "number")),
             {"kit": "Pistone con fasce {nth}", "rings": "Fasce {nth}"}, comma=True, more=lambda i: {"nth": f"{i.step}a magg." if i.step else "std"}),
    # 14 Britain: the unit of the oversize in its heading
    Supplier((("Stock code", "{number}", "number"), ("Description", "{text}", "description"), ("Fits", "{family}", "family"), ("Std bore (mm)", "{std}", "bore"), ("O/S (1/100 mm)", "{hund}", "oversize"), ("Unit price", "{price}", "price"), ("Free stock", "{stock}", "stock")),
             {"kit": "Piston assembly", "rings": "Ring set"}, mark=",", more=lambda i: {"hund": str(i.over // HUNDREDTH)}, facts={"hundredths": "oversize"}),
    # 15 Germany: own and maker's number, what it replaces
    Supplier((("Unsere Nr.", "{number}", "number"), ("Hersteller-Nr.", "H{weight}7", ""), ("Ersatz für", "{before}", "remark"), ("Bezeichnung", "{text}", "description"), ("für Motor", "{family}", "family"), ("Listenpreis", "{price}", "price"), ("Lagermenge", "{stock}", "stock")),
             {"kit": "Kolbensatz {std} {over}", "rings": "Kolbenringsatz {std} {over}"}, comma=True, odd="replaced", more=lambda i: {"before": i.replaced}),
    # 16 Spain: headings in two languages
    Supplier((("Ref. / Part No.", "{number}", "number"), ("Descripción / Description", "{text}", "description"), ("Motor / Engine", "{family}", "family"), ("Precio / Price", "{price}", "price"), ("Stock / Existencias", "{stock}", "stock")),
             {"kit": "Kit pistón / Piston kit {std} {over}"}, comma=True, grades=("",)),
    # 17 Britain: two tables side by side
    Supplier((("Part No", "{number}", "number"),), {"kit": "Piston kit {std} {over}"}, mark=",", book=_beside, lost=True),
    # 18 Germany: units behind the figures, hard blanks
    Supplier((("Artikel-Nr.", "{number}", "number"), ("Bezeichnung", "{text}", "description"), ("Typ", "{family}", "family"), ("Preis", "{price} €/Stk", "price"), ("Bestand", "{stock} Stk", "stock"), ("Lieferzeit", "{weeks}", "lead_days")),
             {"kit": "Kolbensatz Ø {std} mm {over} mm", "rings": "Ringsatz Ø {std} mm {over} mm"}, comma=True, thousands="\u00a0", more=lambda i: {"over": f"+{i.over / MM:.2f}".replace(".", ",") if i.over else "0,00", "weeks": "2-3 Wochen"}),
    # 19 United States: bores in millimetres, oversizes in inches
    Supplier((("Part", "{number}", "number"), ("Description", "{text}", "description"), ("Engine", "{family}", "family"), ("Dealer $", "{price}", "price"), ("Avail.", "{stock}", "stock")),
             {"kit": "Piston kit {std}mm {inch}", "rings": "Rings {std}mm {inch}"}, INCH_STEPS, mark=",", more=lambda i: {"inch": f".{i.over // THOU:03d} over" if i.over else "standard"}),
    # 20 Netherlands: prices for a pair, some by the piece
    Supplier((("Nr.", "{number}", "number"), ("Omschrijving", "{text}", "description"), ("Machine", "{family}", "family"), ("Prijs", "{price}", "price"), ("Voorraad", "{stock}", "stock"), ("Eenheid", "{unit}", "")),
             {"kit": "Zuigerset {std} {over}{pair}"}, comma=True, odd="sets", more=lambda i: {"pair": " (4 stuks)" if i.pieces > 1 else "", "unit": "set" if i.pieces > 1 else "stuk"}),
)  # fmt: skip
