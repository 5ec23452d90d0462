"""An invented catalogue, pattern and table of bores for screening, from a seed."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Groove, Piston, Ring, Route
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.readings import Reading
from fitsolver.records.windows import Window
from fitsolver.screening.pattern import Pattern, pattern

MM, UM = 100_000, 100
BORE = 80 * MM
#: Fifty oversizes of 0.02 mm in four grades.
STEP, SIZES, GRADES = 20 * UM, 50, 4
LOW, HIGH, HALF = 40 * UM, 60 * UM, 3 * UM


def screen_pattern() -> Pattern:
    """Two hundred pistons in fifty oversizes, a ring set for every fifth of a millimetre."""
    groove = Groove(number=1, width=Range(low=204_000, high=205_500))
    pistons = [
        Piston(
            number=f"P{size:02d}{'ABCD'[grade]}",
            oversize=size * STEP,
            nominal_bore=BORE + size * STEP,
            skirt=Range(low=skirt(size, grade), high=skirt(size, grade) + 5 * UM),
            grooves=(groove,),
            price=5_000 + size,
            lead_days=4,
        )
        for size in range(SIZES)
        for grade in range(GRADES)
    ]
    rings = [
        Ring(
            number=f"R{size}",
            grooves=(1,),
            gauge_diameter=BORE + size * MM // 5,
            gap=Range(low=20_000, high=30_000),
            width=Range(low=198_000, high=200_000),
            file_most=40_000,
            price=900,
            lead_days=4,
        )
        for size in range(6)
    ]
    routes = [
        Route(name="finish hone", kind="finish hone", min_cut=10 * UM, max_cut=80 * UM,
              half_width=HALF, cost=2_500, days=1),
        Route(name="bore and hone", kind="bore and hone", min_cut=50 * UM, half_width=4 * UM,
              cost=6_000, days=3),
    ]  # fmt: skip
    like = Job(
        name="screening",
        finishing="set size",
        cylinders=(
            Cylinder(
                name="1",
                material="iron",
                readings=(Reading(depth=MM, angle=0, size=BORE),),
            ),
        ),
        windows=(
            Window(fit="clearance", low=LOW, high=HIGH),
            Window(fit="end_gap", low=30_000, high=110_000),
            Window(fit="side_clearance", low=3_000, high=9_000),
            Window(fit="out_of_round", high=15 * UM),
        ),
    )
    parts = Catalogue(
        name="screening",
        family="screening",
        standard_bore=BORE,
        pistons=tuple(pistons),
        rings=tuple(rings),
        routes=tuple(routes),
    )
    return pattern(like, parts)


def skirt(size: int, grade: int) -> int:
    """The least skirt size (ticks) of a size and grade."""
    return BORE + size * STEP - 55 * UM + grade * 5 * UM


def bore_sizes(rows: int, seed: int = 7) -> tuple[np.ndarray, np.ndarray]:
    """Largest and smallest local sizes (ticks) of worn bores, to the micrometre."""
    dice = np.random.default_rng(seed)
    smallest = BORE + dice.integers(0, 950, rows) * UM
    return smallest + dice.integers(0, 30, rows) * UM, smallest


def write_parquet(path: Path, rows: int, *, piece: int = 1 << 17) -> None:
    """Write a table of bores in mm as binary fractions, piece by piece."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    schema = pa.schema([("largest", pa.float64()), ("smallest", pa.float64())])
    with pq.ParquetWriter(path, schema) as writer:
        for start in range(0, rows, piece):
            largest, smallest = bore_sizes(min(piece, rows - start), seed=start)
            writer.write_table(
                pa.table({"largest": largest / MM, "smallest": smallest / MM}, schema=schema)
            )
