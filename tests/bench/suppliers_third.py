# ruff: noqa: E501 (a layout a few lines; words as their languages write them)
"""Twenty lists that lead a reader astray: slips of the pen, notes that change prices, contradictions.

Rows with a slip are `ended`: they are not to be taken in as they stand. Written after the reader
was changed for the first forty, before it was run on any of these.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from tests.bench.suppliers import HUNDREDTH, INCH_STEPS, MM, Line, Supplier, values_of


def _two_headings(layout: Supplier, items: Sequence[Line]) -> dict[str, list[list[Any]]]:
    """A make, then a type, before the rows of each."""
    rows: list[list[Any]] = [["Ref.", "Descripción", "Precio", "Stock"]]
    last = ""
    for item in items:
        v = values_of(item, layout)
        if item.family != last:
            last = item.family
            rows += [[f"MOTORES {last[0]}"], [last]]
        rows.append([v["number"], v["text"], v["price"], v["stock"]])
    return {"List": rows}


def _figures_as_numbers(layout: Supplier, items: Sequence[Line]) -> dict[str, list[list[Any]]]:
    """Part numbers that a spreadsheet has made figures of: the end zeros are gone."""
    rows: list[list[Any]] = [["Teilenummer", "Bezeichnung", "Motor", "Preis", "Bestand"]]
    for item in items:
        v = values_of(item, layout)
        rows.append(
            [
                float(f"54.{item.index:02d}0") + 0.005,
                v["text"],
                item.family,
                item.price / 100,
                item.stock,
            ]
        )
    return {"List": rows}


def _slip(item: Line) -> Mapping[str, str]:
    """An oversize ten times too large in some rows."""
    over = item.over * 10 if item.ended else item.over
    return {"over": f"{over / MM:.2f}" if over else ("2.50" if item.ended else "STD")}


def _other(item: Line) -> Mapping[str, str]:
    """A description that says another oversize than the column, in some rows."""
    over = item.over + 25 * HUNDREDTH if item.ended else item.over
    return {"says": f"+{over / MM:.2f}" if over else "STD"}


THIRD = (
    # 1 Britain: a note above says that prices are for a pair
    Supplier((("Part No", "{number}", "number"), ("Description", "{text}", "description"), ("Engine", "{family}", "family"), ("Price", "{pair}", "price"), ("Stock", "{stock}", "stock")),
             {"kit": "Piston kit {std} {over}"}, mark=",", top=(("Price list",), ("All prices per pair",)), more=lambda i: {"pair": f"{i.price * 2 / 100:.2f}"}, facts={"price_for": "2"}),
    # 2 United States: inches, of which nothing is said
    Supplier((("Part Number", "{number}", "number"), ("Description", "{text}", "description"), ("Engine", "{family}", "family"), ("Bore", "{std}", "bore"), ("Oversize", "{over}", "oversize"), ("Price", "{price}", "price"), ("In stock", "{stock}", "stock")),
             {"kit": "Piston kit", "rings": "Ring set"}, INCH_STEPS, inches=True, mark=",", facts={"units": "asked"}),
    # 3 Germany: 'Kolben' alone, rings come with it
    Supplier((("Art.Nr.", "{number}", "number"), ("Text", "{text}", "description"), ("Motor", "{family}", "family"), ("Preis", "{price}", "price"), ("Lager", "{stock}", "stock")),
             {"kit": "Kolben {std} {over}"}, comma=True),
    # 4 France: the make of the metal in a column
    Supplier((("Code", "{number}", "number"), ("Libellé", "{text}", "description"), ("Moteur", "{family}", "family"), ("Matière", "{metal}", ""), ("Prix", "{price}", "price"), ("Disponible", "{stock}", "stock")),
             {"kit": "Kit piston {std} {over}"}, comma=True, more=lambda i: {"metal": "forgé" if i.index % 2 else "coulé"}),
    # 5 Italy: the type before the article, in capitals
    Supplier((("Codice", "{number}", "number"), ("Descrizione", "{text}", "description"), ("Prezzo", "{price}", "price"), ("Giacenza", "{stock}", "stock")),
             {"kit": "{FAMILY} KIT PISTONE {std} {over}", "rings": "{FAMILY} FASCE {std} {over}"}, comma=True, families="text", more=lambda i: {"family": i.family.upper()}, facts={"upper": "yes"}),
    # 6 Spain: a make and a type above the rows
    Supplier((("Ref.", "{number}", "number"), ("Descripción", "{text}", "description"), ("Precio", "{price}", "price"), ("Stock", "{stock}", "stock")),
             {"kit": "Kit pistón {std} {over}"}, comma=True, families="section", book=_two_headings, lost=True),
    # 7 United States: 'less than' in the stock
    Supplier((("SKU", "{number}", "number"), ("Description", "{text}", "description"), ("Model", "{family}", "family"), ("Price", "{price}", "price"), ("On hand", "{some}", "stock"), ("Lead time", "{days}", "lead_days")),
             {"kit": "Piston kit {std} {over}"}, mark=",", more=lambda i: {"some": {0: "0", 1: "1", 3: "<5", 8: "8", 14: "14"}[i.stock]}),
    # 8 Netherlands: 'maat' is the oversize
    Supplier((("Art.code", "{number}", "number"), ("Omschrijving", "{text}", "description"), ("Motor", "{family}", "family"), ("Boring", "{std}", "bore"), ("Maat", "{over}", "oversize"), ("Prijs", "{price}", "price"), ("Voorraad", "{stock}", "stock")),
             {"kit": "Zuigerset", "rings": "Zuigerveren"}, comma=True),
    # 9 Germany: part numbers made figures
    Supplier((("Teilenummer", "{number}", "number"),), {"kit": "Kolbensatz {std} {over}"}, ending=".xlsx", book=_figures_as_numbers, lost=True),
    # 10 Britain: totals with numbers of their own
    Supplier((("Item", "{number}", "number"), ("Description", "{text}", "description"), ("Engine", "{family}", "family"), ("Price", "{price}", "price"), ("Stock", "{stock}", "stock")),
             {"kit": "Piston kit {std} {over}"}, mark=",", foot=(("Total 24", "Piston kits", "all", "4210.00", "120"), ("Page 1", "", "", "", "120"))),
    # 11 Britain: oversizes ten times too large in some rows
    Supplier((("Ref", "{number}", "number"), ("Description", "{text}", "description"), ("Engine", "{family}", "family"), ("Std bore", "{std}", "bore"), ("Oversize", "{over}", "oversize"), ("Price", "{price}", "price"), ("Stock", "{stock}", "stock")),
             {"kit": "Piston kit", "rings": "Piston rings"}, mark=",", odd="ended", more=_slip),
    # 12 Portugal: amounts in two currencies
    Supplier((("Referência", "{number}", "number"), ("Descrição", "{text}", "description"), ("Motor", "{family}", "family"), ("Preço", "{paid}", "price"), ("Stock", "{stock}", "stock")),
             {"kit": "Kit pistão {std} {over}"}, comma=True, odd="ended", more=lambda i: {"paid": f"US$ {i.price / 100:.2f}".replace(".", ",") if i.ended else f"{i.price / 100:.2f} €".replace(".", ",")}),
    # 13 Britain: column and description at odds in some rows
    Supplier((("Code", "{number}", "number"), ("Description", "{text}", "description"), ("Engine", "{family}", "family"), ("O/S", "{over}", "oversize"), ("Price", "{price}", "price"), ("Stock", "{stock}", "stock")),
             {"kit": "Piston kit {std} {says}"}, mark=",", odd="ended", more=_other),
    # 14 Germany: places in the row of sizes under the heading of oversizes
    Supplier((("Nummer", "{number}", "number"), ("Bezeichnung", "{text}", "description"), ("Motor", "{family}", "family"), ("Bohrung", "{std}", "bore"), ("Übermaß", "{place}", ""), ("Preis", "{price}", "price"), ("Bestand", "{stock}", "stock")),
             {"kit": "Kolbensatz"}, (0, 25 * HUNDREDTH, 50 * HUNDREDTH, 75 * HUNDREDTH), comma=True, more=lambda i: {"place": str(i.step)}, lost=True),
    # 15 Britain: prices in pence
    Supplier((("Stock No", "{number}", "number"), ("Description", "{text}", "description"), ("Fits", "{family}", "family"), ("Price (p)", "{pence}", "price"), ("Qty on hand", "{stock}", "stock")),
             {"kit": "Piston kit {std} {over}"}, mark=",", more=lambda i: {"pence": str(i.price)}, facts={"price_for": "100"}),
    # 16 France: pieces in a box, stock as yes and no
    Supplier((("Réf.", "{number}", "number"), ("Désignation", "{text}", "description"), ("Moteur", "{family}", "family"), ("Qté", "{box}", "pieces"), ("Prix", "{price}", "price"), ("En stock", "{yes}", "stock")),
             {"kit": "Kit piston {std} {over}"}, comma=True, odd="sets", more=lambda i: {"box": str(i.pieces), "yes": "oui" if i.stock else "non"}, least=1),
    # 17 Britain: used parts among new ones
    Supplier((("Part", "{number}", "number"), ("Description", "{text}", "description"), ("Engine", "{family}", "family"), ("Price", "{price}", "price"), ("Stock", "{stock}", "stock")),
             {"kit": "Piston kit {std} {over}{used}"}, mark=",", odd="ended", more=lambda i: {"used": " - used, good condition" if i.ended else ""}),
    # 18 Germany: sets for four cylinders, told behind the sizes
    Supplier((("Art-Nr", "{number}", "number"), ("Bezeichnung", "{text}", "description"), ("Motor", "{family}", "family"), ("Preis", "{price}", "price"), ("Bestand", "{stock}", "stock")),
             {"kit": "Kolbensatz {std} {over}{four}"}, comma=True, odd="sets", more=lambda i: {"four": " 4 Zyl." if i.pieces > 1 else ""}),
    # 19 Italy: two tables below each other, the second with its columns in another order
    Supplier((("Codice", "{number}", "number"), ("Descrizione", "{text}", "description"), ("Motore", "{family}", "family"), ("Prezzo", "{price}", "price"), ("Giacenza", "{stock}", "stock")),
             {"kit": "Kit pistone {std} {over}"}, comma=True, foot=(("Descrizione", "Codice", "Prezzo", "Motore", "Giacenza"), ("Kit pistone 54,00 STD", "Z1", "50,00", "Zebra 1", "3"), ("Kit pistone 54,00 +0,25", "Z2", "51,00", "Zebra 1", "2"))),
    # 20 Spain: the price with tax in the heading, a discount by row
    Supplier((("Código", "{number}", "number"), ("Artículo", "{text}", "description"), ("Motor", "{family}", "family"), ("PVP con IVA", "{gross}", ""), ("Base", "{price}", "price"), ("Exist.", "{stock}", "stock"), ("Reservado", "{min}", "")),
             {"kit": "Kit pistón {std} {over}", "rings": "Aros {std} {over}"}, comma=True),
)  # fmt: skip
