from pathlib import Path
from fitsolver.reading.list_sheets import read_sheets
from fitsolver.reading.list_layout import layout_of
from fitsolver.reading.list_mapping import *
from fitsolver.reading.list_rows import *
from fitsolver.reading.list_patterns import proposed
for s in read_sheets(Path('/tmp/l1.csv')):
    l=layout_of(s)
    at=l.places['description']
    ds=[c[at] for n,c in s.rows if n>l.heading_row and at<len(c) and c[at]]
    m=ListMapping(patterns=tuple(p for p,_ in proposed(ds,"mm",",")), columns={r:l.titles[a] for r,a in l.places.items()}, headings=l.titles)
    print(mapping_text(m)); Path('/tmp/intake.toml').write_text(mapping_text(m)); assert read_mapping(Path('/tmp/intake.toml')).patterns==m.patterns
    for x in articles_of([(s,l)],m): print(x)
