"""A catalogue of twenty families is read in a time near linear in its rows."""

from __future__ import annotations

from pathlib import Path
from time import process_time

import pytest

from fitsolver import review_catalogue

HEAD = 'format = 1\nname = "drawn"\nunits = "mm"\n'
COLUMNS = "number,family,oversize,skirt_low,skirt_high,groove1_low,groove1_high,price,stock\n"
RINGS = "number,family,grooves,gauge_diameter,gap_low,gap_high,width_low,width_high,price,stock\n"
SHEET = 'format = 1\nfamily = "F{0}"\nunits = "mm"\nstandard_bore = {1}\n'
SIZES = 20


def drawn(folder: Path, rows: int, families: int) -> Path:
    """A folder with as many rows of pistons and rings, each size sold under many numbers."""
    (folder / "families").mkdir(parents=True)
    (folder / "catalogue.toml").write_text(HEAD)
    for n in range(families):
        (folder / "families" / f"f{n}.toml").write_text(SHEET.format(n, 40 + n))
    pistons, rings = [COLUMNS], [RINGS]
    for at in range(rows // 2):
        family, step = at % families, at // families % SIZES
        bore = 40 + family + step / 4
        pistons.append(
            f"P{at},F{family},{step / 4},{bore - 0.06:.3f},{bore - 0.05:.3f},1.53,1.55,20.00,1\n"
        )
        rings.append(f"R{at},F{family},1,{bore},0.15,0.30,1.47,1.49,5.00,1\n")
    (folder / "pistons.csv").write_text("".join(pistons))
    (folder / "rings.csv").write_text("".join(rings))
    return folder


def spent(folder: Path) -> float:
    """Processor seconds of a review of all families."""
    start = process_time()
    review_catalogue(folder)
    return process_time() - start


@pytest.mark.bench
def test_near_linear_in_rows(tmp_path: Path) -> None:
    """Five times the rows take at most 7 times as long (processor seconds, in one run)."""
    few, many = (drawn(tmp_path / str(rows), rows, 20) for rows in (20_000, 100_000))
    spent(drawn(tmp_path / "warm", 400, 20))
    ratio = spent(many) / spent(few)
    print(f"100,000 rows / 20,000 rows: {ratio:.2f}")
    assert ratio < 7


@pytest.mark.bench
def test_families_add_little(tmp_path: Path) -> None:
    """20,000 rows of forty families take at most twice as long as those of two."""
    few, many = (drawn(tmp_path / str(n), 20_000, n) for n in (2, 40))
    spent(drawn(tmp_path / "warm", 400, 20))
    ratio = spent(many) / spent(few)
    print(f"40 families / 2 families: {ratio:.2f}")
    assert ratio < 2
