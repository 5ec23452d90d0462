"""Small files written to read, and refusals looked at part by part."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.refusals import MOST_TOLD, RefusalsError

HEAD = """
format = 1
name = "bench job"
units = "mm"
"""

READINGS = """
readings = [
  [10, "thrust", 62.10],
  [10, "pin", 62.08],
  [40, "thrust", 62.07],
  [40, "pin", 62.06],
]
"""

CYLINDER = f"""
[[cylinder]]
name = "1"
material = "iron"
{READINGS}
"""

CATALOGUE = """
format = 1
name = "shelf"
family = "pump"
units = "mm"
standard_bore = 62.00
"""

TABLES = {
    "pistons.csv": "number,oversize,skirt_low,skirt_high,groove1_low,groove1_high,price,stock\n"
    "P-0,0,61.93,61.94,2.03,2.04,50.00,1\n"
    "P-25,0.25,62.18,62.19,2.03,2.04,50.00,2\n",
    "rings.csv": "number,grooves,gauge_diameter,gap_low,gap_high,width_low,width_high,file_most\n"
    "R-0,1,62,0.2,0.3,1.97,1.98,0.5\n",
    "gaskets.csv": "number,place,thickness,crush,tolerance\nG-1,head,0.6,0.1,0.02\n",
    "kits.csv": "number,contents,price,lead_days\nK-1,P-0 x1; R-0 x2,60.00,4\n",
    "routes.csv": "name,kind,min_cut,max_cut,half_width,materials,cost,days,restored_bore\n"
    "hone,finish hone,0.01,0.08,0.004,iron steel,22.00,1,\n",
    "stages.csv": "route,stage,leaves_low,leaves_high,half_width\n"
    "hone,coarse,0.02,0.04,0.01\nhone,fine,0,0,\n",
}


def job_file(folder: Path, text: str, name: str = "job.toml") -> Path:
    """Write a job file as it stands, byte for byte."""
    path = folder / name
    path.write_bytes(text.encode())
    return path


def catalogue_files(folder: Path, head: str = CATALOGUE, **tables: str | None) -> Path:
    """Write a catalogue folder; a table given replaces the usual one, None leaves it out."""
    shelf = folder / "shelf"
    shelf.mkdir(exist_ok=True)
    (shelf / "catalogue.toml").write_text(head, encoding="utf-8")
    given = {f"{name}.csv": text for name, text in tables.items()}
    for name, text in {**TABLES, **given}.items():
        if text is not None:
            (shelf / name).write_bytes(text.encode())
    return shelf


def workbook(path: Path, rows: list[list[object]], merge: str = "") -> Path:
    """Write an .xlsx of one sheet."""
    from openpyxl import Workbook

    book = Workbook()
    for row in rows:
        book.active.append(row)
    if merge:
        book.active.merge_cells(merge)
    book.save(path)
    return path


def refusal(read: Callable[[Path], object], path: Path) -> InputError:
    """Return the refusal that reading ends in, of several the first; it names all it knows."""
    with pytest.raises(InputError) as caught:
        read(path)
    error = caught.value
    if isinstance(error, RefusalsError):
        told = (str(one).removeprefix(f"{error.file}, ") for one in error.each[:MOST_TOLD])
        # The file stands once, before all of them, and what is allowed where it is said first.
        assert all(one.partition("; allowed: ")[0] in str(error) for one in told)
        error = error.each[0]
    text = str(error)
    assert "\n" not in text
    for part in (error.file, error.field, error.allowed):
        assert part in text
    assert error.found is None or str(error.found) in text
    return error
