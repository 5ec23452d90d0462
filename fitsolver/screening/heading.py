"""The columns of a table of bores to be screened: sizes, scratches, names, materials."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit, parse_unit
from fitsolver.reading.chunks import Header

LENGTHS: Final = ("bore", "largest", "smallest", "scratch")
_TEXTS: Final = ("name", "material")


def heading(path: Path, titles: Iterable[str], unit: Unit) -> Header:
    """Return the columns used in a table of bores; `unit` holds for columns that name none.

    Raises InputError for sizes that are missing or doubled, and for unknown units.
    """
    named: dict[str, str] = {}
    units: dict[str, Unit] = {}
    for title in titles:
        name, bracket, rest = title.partition("[")
        name = name.strip().lower()
        if name not in (*LENGTHS, *_TEXTS):
            continue
        if name in named:
            raise InputError("this column is there twice", file=str(path), field=name)
        try:
            units[name] = parse_unit(rest.rstrip().removesuffix("]")) if bracket else unit
        except ValueError as error:
            raise InputError(str(error), file=str(path), field=title) from error
        named[name] = title
    sized = {"largest", "smallest"} & set(named)
    if "bore" in named and sized:
        raise InputError(
            "a bore has one size or two", file=str(path), field="bore",
            found=", ".join(sorted(named)), allowed="bore, or largest and smallest",
        )  # fmt: skip
    if "bore" not in named and len(sized) < 2:
        raise InputError(
            "a column is missing", file=str(path), found=", ".join(titles)[:200],
            allowed="bore, or largest and smallest; besides name, scratch, material",
        )  # fmt: skip
    return Header(named, units, LENGTHS)
