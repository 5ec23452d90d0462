# ruff: noqa: E501 (a layout a few lines; words as their languages write them)
"""Twenty lists of dealers, importers and auctioneers of stock, in ten languages.

Written after the reader was changed for the first sixty, before it was run on any of these.
"""

from __future__ import annotations

from tests.bench.suppliers import HUNDREDTH, INCH_STEPS, MM, THOU, Supplier

FIFTHS = (0, 20 * HUNDREDTH, 40 * HUNDREDTH, 60 * HUNDREDTH, 80 * HUNDREDTH)

FOURTH = (
    # 1 Poland
    Supplier((("Nr kat.", "{number}", "number"), ("Nazwa towaru", "{text}", "description"), ("Silnik", "{family}", "family"), ("Cena netto", "{price}", "price"), ("Cena brutto", "{gross}", ""), ("Stan", "{stock}", "stock")),
             {"kit": "Tłok komplet {std} {over}", "rings": "Pierścienie {std} {over}"}, comma=True, money="{} zł"),
    # 2 Sweden: oversizes in fifths of a millimetre
    Supplier((("Artikelnr", "{number}", "number"), ("Benämning", "{text}", "description"), ("Motor", "{family}", "family"), ("Diameter", "{bore}", "bore"), ("Ö.D.", "{over}", "oversize"), ("Pris", "{price} kr", "price"), ("Lagersaldo", "{stock}", "stock")),
             {"kit": "Kolvsats", "rings": "Kolvringar"}, FIFTHS, comma=True),
    # 3 Czechia
    Supplier((("Číslo", "{number}", "number"), ("Název", "{text}", "description"), ("Motor", "{family}", "family"), ("Vrtání", "{std}", "bore"), ("Výbrus", "{dec}", "oversize"), ("Cena", "{price}", "price"), ("Sklad", "{stock} ks", "stock"), ("Třída", "{grade}", "grade")),
             {"kit": "Píst sada"}, comma=True, grades=("A", "B", "C"), more=lambda i: {"dec": f"{i.over / MM:.2f}".replace(".", ",")}),
    # 4 Britain: the size first, in an ordinary sentence
    Supplier((("Cat. No.", "{number}", "number"), ("What it is", "{text}", "description"), ("What it fits", "{family}", "family"), ("What it costs", "£{price}", "price"), ("What we have", "{stock}", "stock")),
             {"kit": "{std}mm piston kit, {word}", "rings": "{std}mm ring set, {word}"}, mark=",", more=lambda i: {"word": f"{i.over / MM:.2f} oversize" if i.over else "standard"}),
    # 5 Germany: net and gross in one heading row above another
    Supplier((("Artikel", "{number}", "number"), ("Bezeichnung", "{text}", "description"), ("Motor", "{family}", "family"), ("netto", "{price}", "price"), ("brutto", "{gross}", ""), ("Filiale Nord", "{stock}", "stock"), ("Filiale Süd", "{min}", "")),
             {"kit": "Kolbensatz {std} {over}"}, comma=True, top=(("", "", "", "Preis", "", "Bestand"),)),
    # 6 France: references with blanks, thousands with blanks
    Supplier((("Référence article", "{number}", "number"), ("Libellé article", "{text}", "description"), ("Affectation", "{family}", "family"), ("Prix de vente HT", "{price}", "price"), ("Stock réel", "{stock}", "stock"), ("Stock théorique", "{min}", "")),
             {"kit": "Kit piston complet Ø{std} {over}", "head": "Joint de culasse ép. {thick}"}, comma=True, thousands=" ", number="PK {i:04d} A"),
    # 7 Italy: grades by a colour's letter behind a stroke
    Supplier((("Art.", "{number}", "number"), ("Descr.", "{text}", "description"), ("Mot.", "{family}", "family"), ("€ netto", "{price}", "price"), ("Disp.", "{stock}", "stock")),
             {"kit": "Pistone compl. {std} {over} / {grade}"}, comma=True, grades=("R", "V")),
    # 8 Spain: stock by words of three kinds
    Supplier((("Referencia", "{number}", "number"), ("Denominación", "{text}", "description"), ("Aplicación", "{family}", "family"), ("Tarifa", "{price}", "price"), ("Disponibilidad", "{word}", "stock")),
             {"kit": "Pistón completo {std} {over}"}, comma=True, more=lambda i: {"word": "Agotado" if not i.stock else "Sí" if i.stock < 8 else "Consultar"}, least=1),
    # 9 United States: thousandths behind a plus sign, grades in words
    Supplier((("PN", "{number}", "number"), ("DESC", "{text}", "description"), ("ENG", "{family}", "family"), ("LIST", "{price}", "price"), ("QOH", "{stock}", "stock"), ("WT", "{weight}", "")),
             {"kit": "PSTN KIT {std} +{mil}", "rings": "RING ST {std} +{mil}"}, INCH_STEPS, inches=True, mark=",", more=lambda i: {"mil": f"{i.over // THOU:03d}"}),
    # 10 Netherlands: a shop's till
    Supplier((("PLU", "{number}", "number"), ("Artikel", "{text}", "description"), ("Groep", "{family}", "family"), ("Verkoopprijs", "{price}", "price"), ("Inkoopprijs", "{net}", ""), ("Op voorraad", "{stock}", "stock"), ("BTW", "21", "")),
             {"kit": "Zuiger compl. {std}/{over}", "rings": "Veren {std}/{over}"}, comma=True, number="{i:05d}7"),
    # 11 Portugal: the standard bore and the over-bore in one column each
    Supplier((("Código", "{number}", "number"), ("Designação", "{text}", "description"), ("Veículo", "{family}", "family"), ("Diâm. std", "{std}", "standard"), ("Diâm. pistão", "{bore}", "bore"), ("Preço unit.", "{price}", "price"), ("Existências", "{stock}", "stock")),
             {"kit": "Kit pistão", "piston": "Pistão sem segmentos"}, comma=True),
    # 12 Germany: remaindered stock
    Supplier((("Pos", "{pos}", ""), ("Teile-Nr.", "{number}", "number"), ("Text", "{text}", "description"), ("Fahrzeug", "{family}", "family"), ("VK", "{price}", "price"), ("Stück", "{stock}", "stock"), ("Zustand", "neu", "")),
             {"kit": "Kolben mit Ringen {std} {over}"}, comma=True, more=lambda i: {"pos": str(i.index + 1)}),
    # 13 Denmark
    Supplier((("Varenr.", "{number}", "number"), ("Varetekst", "{text}", "description"), ("Motor", "{family}", "family"), ("Pris ekskl. moms", "{price}", "price"), ("Pris inkl. moms", "{gross}", ""), ("Lager", "{stock}", "stock")),
             {"kit": "Stempelsæt {std} {over}", "rings": "Stempelringe {std} {over}"}, comma=True, thousands="."),
    # 14 Britain: an export with the kind in a column
    Supplier((("ProductCode", "{number}", "number"), ("Category", "{text}", "description"), ("Engine", "{family}", "family"), ("BoreSize", "{std}", "bore"), ("OverSize", "{dec}", "oversize"), ("SellingPrice", "{price}", "price"), ("QtyInStock", "{stock}", "stock"), ("ReorderLevel", "{min}", "")),
             {"kit": "Piston Kit", "rings": "Piston Rings", "pin": "Piston Pin"}, mark=",", more=lambda i: {"dec": f"{i.over / MM:.2f}"}),
    # 15 Switzerland: francs with a stroke for the cents
    Supplier((("Art.-Nr.", "{number}", "number"), ("Artikelbezeichnung", "{text}", "description"), ("Typ", "{family}", "family"), ("Fr.", "{price}", "price"), ("An Lager", "{stock}", "stock")),
             {"kit": "Kolbensatz {std} {over}", "base": "Zylinderfussdichtung {thick}"}, thousands="'"),
    # 16 France: workbook, sheets by engine, title rows
    Supplier((("Réf.", "{number}", "number"), ("Désignation", "{text}", "description"), ("Cote", "{over}", "oversize"), ("Alésage", "{std}", "bore"), ("P.U.", "{price}", "price"), ("Qté dispo", "{stock}", "stock")),
             {"kit": "Kit piston", "rings": "Segments"}, families="sheet", ending=".xlsx", comma=True, top=(("Tarif pistons",), ("",), ("Prix unitaires hors taxes",))),
    # 17 Italy: engine types between the rows with the word for them
    Supplier((("Codice", "{number}", "number"), ("Descrizione", "{text}", "description"), ("Prezzo", "{price}", "price"), ("Giacenza", "{stock}", "stock")),
             {"kit": "Pistone completo Ø{std} {over}"}, comma=True, families="section", section="Motore: {}", between=("Pagina {}",), again=True),
    # 18 Britain: sizes as a range of letters behind the bore
    Supplier((("Part Ref", "{number}", "number"), ("Description", "{text}", "description"), ("Model", "{family}", "family"), ("Price ex VAT", "{price}", "price"), ("Stock", "{stock}", "stock")),
             {"kit": "Piston Kit {bore} {grade} ({over})"}, mark=",", grades=("A", "B")),
    # 19 Spain: ring sets by the piston
    Supplier((("Código artículo", "{number}", "number"), ("Descripción artículo", "{text}", "description"), ("Motor", "{family}", "family"), ("Precio unidad", "{price}", "price"), ("Unidades", "{stock}", "stock"), ("Últ. compra", "2026-01-05", "")),
             {"rings": "Juego de segmentos {std} {over}"}, comma=True),
    # 20 Finland
    Supplier((("Tuotenro", "{number}", "number"), ("Nimike", "{text}", "description"), ("Moottori", "{family}", "family"), ("Hinta", "{price} €", "price"), ("Varasto", "{stock} kpl", "stock")),
             {"kit": "Mäntäsarja {std} {over}", "rings": "Männänrenkaat {std} {over}"}, comma=True),
)  # fmt: skip
