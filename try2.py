import sys
from pathlib import Path
from fitsolver.reading.list_sheets import read_sheets, ListSheet
from fitsolver.reading.list_layout import layout_of
Path('/tmp/l1.csv').write_text('''Ersatzteile Preisliste;;;;
Stand 2026;;;;
;;;;
Artikel-Nr.;Bezeichnung;Motor;VK-Preis;Bestand
;;;;
K-100;Kolbensatz 54,00 STD (A);P54;"1.054,50 €";3
K-101;Kolbensatz 54,00 +0,25 (A);P54;55,00 €;-
''')
for s in read_sheets(Path('/tmp/l1.csv')):
    print(s.rows); print(layout_of(s))
