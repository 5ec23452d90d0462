"""What `tests.bench.fuzz` changes: a sound file of every kind, and the commands that read it."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).parents[2]
DEMOS: Final = ROOT / "catalogs_demo"


@dataclass(frozen=True)
class Kind:
    """One kind of file: a good one, and the commands that read it. `{file}` is the mutated one."""

    name: str
    source: Callable[[Path], Path]
    commands: tuple[tuple[str, ...], ...]
    file: str = ""


def _pump(folder: Path) -> Path:
    shutil.copytree(DEMOS / "pump", folder / "pump")
    return folder / "pump"


def _one(name: str) -> Callable[[Path], Path]:
    return lambda folder: _pump(folder) / name


def _shop(folder: Path) -> Path:
    _pump(folder)
    shutil.copytree(DEMOS / "workshop", folder / "workshop")
    return folder / "workshop"


def _of_shop(name: str) -> Callable[[Path], Path]:
    return lambda folder: _shop(folder) / name


@cache
def _allotment() -> str:
    from fitsolver.reporting.schema import to_json
    from fitsolver.usecases.tables import allot

    return to_json(allot(DEMOS / "workshop", workers=1))


def _earlier_answer(folder: Path) -> Path:
    _shop(folder)
    file = folder / "week.json"
    file.write_text(_allotment(), encoding="utf-8")
    return file


def _bores_parquet(folder: Path) -> Path:
    import pandas as pd

    file = _pump(folder) / "bores.parquet"
    pd.read_csv(DEMOS / "pump" / "bores.csv").to_parquet(file)
    return file


def _pairs(name: str) -> Callable[[Path], Path]:
    def source(folder: Path) -> Path:
        shutil.copytree(DEMOS / "pairs", folder / "pairs")
        return folder / "pairs" / name

    return source


@cache
def _export() -> str:
    from tests.unit.book.damaging import truth

    return truth().export


def _book(folder: Path) -> Path:
    file = folder / "book.jsonl"
    file.write_text(_export(), encoding="utf-8")
    return file


def _book_file(folder: Path) -> Path:
    from tests.unit.book.damaging import copied

    return copied(folder / "book.sqlite")


@cache
def _answer() -> str:
    from fitsolver import decide, load
    from fitsolver.reporting.schema import to_json

    return to_json(decide(*load(DEMOS / "pump" / "job.toml")))


def _ordered(folder: Path) -> Path:
    _pump(folder)
    file = folder / "answer.json"
    file.write_text(_answer(), encoding="utf-8")
    return file


def _workbook(folder: Path) -> Path:
    import csv

    from openpyxl import Workbook

    pump = _pump(folder)
    book = Workbook()
    with (pump / "readings.csv").open(encoding="utf-8") as stream:
        for row in csv.reader(stream):
            book.active.append(row)
    book.save(pump / "readings.xlsx")
    job = (pump / "job.toml").read_text(encoding="utf-8")
    (pump / "job.toml").write_text(job.replace("readings.csv", "readings.xlsx"), encoding="utf-8")
    return pump / "readings.xlsx"


WINDOWS = b"""number,fit,use,groove,low,high,per_bore,of,times,source
PP-050A; PP-050B,clearance,,,0.06,0.09,,,,box
PR1-050,end_gap,street,1,0.0045,0.0090,yes,,,leaflet
PR1-050,end_gap,boost,1,0.0055,0.0100,yes,,,leaflet
PR2-050,end_gap,,2,,,,PR1-050,1.25,step 3
"""


def _windows(folder: Path) -> Path:
    """Windows of the makers of parts, and the job's use."""
    file = _pump(folder) / "windows.csv"
    file.write_bytes(WINDOWS.replace(b"PR2-050,end_gap,,", b"PR2-050,end_gap,boost,"))
    job = folder / "pump" / "job.toml"
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace("family =", 'use = "street"\nfamily =', 1), encoding="utf-8")
    return file


def _old_numbers(folder: Path) -> Path:
    file = _pump(folder) / "gaskets.csv"
    header, *rows = file.read_text(encoding="utf-8").splitlines()
    named = [f"{row},OLD-{at}; OLD-{at}B," for at, row in enumerate(rows)]
    file.write_text("\n".join([f"{header},replaces,same_as", *named]) + "\n", encoding="utf-8")
    return file


def _book_of_parts(folder: Path) -> Path:
    from tests.unit.reading.test_catalogue_workbook import pump_book

    return pump_book(folder / "parts.xlsx")


@cache
def _taken_in() -> tuple[tuple[str, bytes], ...]:
    """The files of a folder that the counter's list was taken into."""
    import tempfile

    from fitsolver.usecases.intake import Told, intake

    with tempfile.TemporaryDirectory() as work:
        shelf = Path(work) / "shelf"
        told = Told(clearance={"": (4_500, 5_500)})
        assert intake(DEMOS / "counter" / "list.xlsx", shelf, told=told, agreed=True).taken_in
        found = [path for path in sorted(shelf.rglob("*")) if path.is_file()]
        return tuple((str(path.relative_to(shelf)), path.read_bytes()) for path in found)


def _of_intake(name: str) -> Callable[[Path], Path]:
    def source(folder: Path) -> Path:
        for file, content in _taken_in():
            for place in ("shelf", ".shelf.before"):  # an intake leaves the folder as it was
                path = folder / place / file
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(content)
        shutil.copy(DEMOS / "counter" / "list.xlsx", folder / "list.xlsx")
        return folder / "shelf" / name

    return source


LOG = b"1, 20, 180, 20, 10 thrust 62.170, 10 pin 62.168, 70 thrust 62.165\n1, 12, 180\n2, 10, 240\n"


def _log(folder: Path) -> Path:
    file = _pump(folder) / "job.hone"
    file.write_bytes(LOG)
    return file


_JOB = "{folder}/pump/job.toml"
_ALLOT = ("allot", "{folder}/workshop", "--time-limit", "5", "--workers", "1")
_SCREEN = ("screen", "{file}", "{folder}/pump", "--like", "{folder}/pump/ladder.toml")
_PAIR = (
    "pair",
    "{folder}/pairs/bores.csv",
    "{folder}/pairs/pieces.csv",
    "--low",
    "0.044",
    "--high",
    "0.048",
)
KINDS: Final = (
    Kind("job", _one("job.toml"), (("bore", "{file}"), ("pick", "{file}", "--time-limit", "3"))),
    Kind("job with ladder", _one("ladder.toml"), (("fits", "{file}"), ("bore", "{file}"))),
    Kind("readings, CSV", _one("readings.csv"), (("bore", _JOB), ("fits", _JOB))),
    Kind("readings, xlsx", _workbook, (("bore", _JOB),)),
    *(
        Kind(f"catalogue: {name}", _one(name), (("catalogue", "{folder}/pump"), ("fits", _JOB)))
        for name in ("catalogue.toml", "pistons.csv", "rings.csv", "gaskets.csv", "kits.csv",
                     "routes.csv", "stages.csv")
    ),
    Kind("family sheet", _one("family.toml"), (("catalogue", "{folder}/pump"), ("fits", _JOB))),
    Kind("shop of a job", _one("shop.toml"), (("fits", _JOB), ("bore", _JOB))),
    Kind("windows of parts", _windows, (("catalogue", "{folder}/pump"), ("fits", _JOB))),
    Kind("old numbers", _old_numbers, (("catalogue", "{folder}/pump"), ("fits", _JOB))),
    Kind("parts, xlsx", _book_of_parts, (("catalogue", "{file}"),)),
    Kind("intake: mapping", _of_intake("intake.toml"),
         (("intake", "{folder}/list.xlsx", "--into", "{folder}/shelf"),)),
    Kind("intake: sheet of a family", _of_intake("families/heron_54.toml"), (
        ("catalogue", "{folder}/shelf"), ("catalogue", "{folder}/shelf", "--family", "Heron 54"),
    )),
    *(
        Kind(f"shop: {name}", _of_shop(name), (_ALLOT,))
        for name in ("shop.toml", "shelf.csv", "bores.csv", "template.toml",
                     "jobs/rally_boat.toml", "catalogue/pistons.csv")
    ),
    Kind("shop: answer to start from", _earlier_answer, ((*_ALLOT, "--start", "{file}"),)),
    Kind("bores", _one("bores.csv"), (_SCREEN,)),
    Kind("bores, Parquet", _bores_parquet, (_SCREEN,)),
    *(Kind(f"pair: {name}", _pairs(name), (_PAIR,)) for name in ("bores.csv", "pieces.csv")),
    Kind("hone log", _log, (("hone", _JOB),)),
    Kind("book export", _book, (("book", "import", "{file}", "--book", "{folder}/b.sqlite"),)),
    Kind("book", _book_file, (
        ("book", "history", "saw 3", "--book", "{file}"), ("book", "check", "--book", "{file}"),
        ("book", "search", "saw", "--book", "{file}"),
        ("book", "export", "{folder}/all.jsonl", "--book", "{file}"),
    )),
    Kind("answer", _ordered, (("arrived", _JOB, "--ordered", "{file}"),)),
    Kind("gauge readings", _one("gauge_readings.csv"), (("gauge", "{file}", "--window", "0.03"),)),
)  # fmt: skip
