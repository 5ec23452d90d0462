"""One example of every verb: what the command line is given, and what the library is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any, Final

from fitsolver import NewJob, pick
from fitsolver.reporting.schema import to_json
from fitsolver.usecases.intake import Told
from tests.unit.cli.run import BRUSHSAW, DEMOS, LAUNCH, PUMP, Run

FINISHED: Final = DEMOS / "brushsaw" / "finished.toml"
GUARDED: Final = DEMOS / "brushsaw" / "guarded.toml"
TABLE: Final = DEMOS / "pump" / "bores.csv"
PRICES: Final = DEMOS / "counter" / "list.xlsx"
BORES, PIECES = DEMOS / "pairs" / "bores.csv", DEMOS / "pairs" / "pieces.csv"


@dataclass(frozen=True)
class Example:
    """Words of the command line behind the verb; `given` and `options` of the library.

    `first` makes what the example needs in a folder. A word or an argument with `{}` is the name of
    a file in it.
    """

    words: tuple[object, ...]
    given: tuple[object, ...] = ()
    options: dict[str, Any] = field(default_factory=dict)
    first: Callable[[Path, Run], None] = lambda folder, run: None


def _ordered(folder: Path, run: Run) -> None:
    (folder / "answer.json").write_text(to_json(pick(BRUSHSAW)), encoding="utf-8")


def _kept(folder: Path, run: Run) -> None:
    job = (DEMOS / "pump" / "ladder.toml").read_text(encoding="utf-8")
    job = job.replace('\nname = "1"', '\nname = "1"\nmarking = "liner 12"')
    job = job.replace('catalogue = "."', f'catalogue = "{DEMOS / "pump"}"')
    (folder / "liner.toml").write_text(job, encoding="utf-8")
    added = run("book", "add", folder / "liner.toml", "--book", folder / "book.sqlite")
    assert added.code == 0, added.err


def _job(*files: object, **options: Any) -> Example:
    return Example(files, files, options)


EXAMPLES: Final = {
    "pick": _job(PUMP),
    "why": _job(BRUSHSAW),
    "alternatives": _job(BRUSHSAW),
    "ladder": _job(LAUNCH),
    "plan": _job(PUMP),
    "firm": _job(BRUSHSAW),
    "fits": _job(BRUSHSAW),
    "counter": Example(
        ("p62", "62.31", "--catalogue", DEMOS / "pump"),
        ("p62", "62.31"),
        {"catalogue": DEMOS / "pump"},
    ),
    "budget": _job(GUARDED),
    "final": _job(FINISHED),
    "bore": _job(PUMP),
    "arrived": Example(
        (BRUSHSAW, "--ordered", "{}/answer.json"), (BRUSHSAW, "{}/answer.json"), first=_ordered
    ),
    "hone": _job(PUMP),
    "sheet": Example(
        (BRUSHSAW, "--date", "2027-03-01"), (BRUSHSAW,), {"made_on": date(2027, 3, 1)}
    ),
    "allot": _job(DEMOS / "workshop"),
    "screen": Example((TABLE, DEMOS / "pump", "--like", PUMP), (TABLE, DEMOS / "pump", PUMP), {}),
    "pair": Example(
        (BORES, PIECES, "--low", "0.044", "--high", "0.048"),
        (BORES, PIECES),
        {"low": "0.044", "high": "0.048"},
    ),
    "intake": Example(
        (PRICES, "--into", "{}/shelf", "--clearance", "0.045 0.055"),
        (PRICES, "{}/shelf"),
        {"told": Told(clearance={"": (4_500, 5_500)})},
    ),
    "gauge": _job(DEMOS / "pump" / "gauge_readings.csv"),
    "catalogue": _job(DEMOS / "pump"),
    "book history": Example(("liner 12", "--book", "{}/book.sqlite"), first=_kept),
    "book search": Example(("liner", "--book", "{}/book.sqlite"), first=_kept),
    "new": Example(
        ("{}/by_command.toml", "--name", "a job", "--cylinders", "2"),
        ("{}/by_library.toml", NewJob(name="a job", cylinders=2)),
    ),
}
