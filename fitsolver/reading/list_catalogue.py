"""Articles of a list as the files of a catalogue folder, and what changed since the last list."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import count
from pathlib import Path
from typing import Final

from fitsolver.base.lengths import exact_text
from fitsolver.reading.limits import MOST_CELLS, too_many
from fitsolver.reading.list_mapping import MAPPING, ListMapping, mapping_text
from fitsolver.reading.list_words import plain
from fitsolver.reading.tables import read_table
from fitsolver.reading.toml_text import toml_text
from fitsolver.records.amounts import amount
from fitsolver.records.intake import Article, Changed, Unclear

PISTONS: Final = "pistons.csv"
GASKETS: Final = "gaskets.csv"
#: Rows that were not understood, to correct: a table beside the catalogue.
UNCLEAR: Final = "not_understood.csv"
#: The files that a list is taken into; all others of the folder are left as they are.
OWN: Final = (PISTONS, GASKETS, UNCLEAR, MAPPING)
_PISTON: Final = (
    "number", "family", "oversize", "for_bore", "for_clearance_low", "for_clearance_high", "grade",
    "price", "stock", "lead_days",
)  # fmt: skip
_GASKET: Final = ("number", "family", "place", "thickness", "price", "stock", "lead_days")
_FIGURES: Final = ("price", "stock", "lead_days")


def files_of(
    articles: Sequence[Article], unclear: Sequence[Unclear], mapping: ListMapping
) -> dict[str, str]:
    """Return the files of a catalogue by name: its tables, sheets of families, the mapping.

    Sizes are written in millimetres, exactly. A piston of unknown skirt stands as made for its
    bore with the maker's clearance. Raises InputError for more of them than a table may hold.
    """
    files = {MAPPING: mapping_text(mapping)}
    pistons = [item for item in articles if item.nominal_bore is not None]
    if (len(pistons) + 1) * len(_PISTON) > MOST_CELLS:  # it could not be read again
        most = MOST_CELLS // len(_PISTON) - 1
        raise too_many(PISTONS, "pistons", len(pistons), most)
    gaskets = [item for item in articles if item.kind == "gasket"]
    files[PISTONS] = _table(_PISTON, (_piston(item, mapping) for item in pistons))
    if gaskets:
        files[GASKETS] = _table(_GASKET, map(_gasket, gaskets))
    if unclear:
        rows = ((u.sheet, u.row, u.number, u.description, u.field, u.reason) for u in unclear)
        files[UNCLEAR] = _table(("sheet", "row", "number", "description", "field", "reason"), rows)
    return files


def sheet_name(family: str, taken: Callable[[str], bool]) -> str:
    """Return a file name for a family's sheet, one that is not `taken` by another."""
    bare = re.sub(r"[^a-z0-9]+", "_", plain(family)).strip("_") or "family"
    names = (f"families/{bare}{'' if n == 1 else f'_{n}'}.toml" for n in count(1))
    return next(name for name in names if not taken(name))


def sheet_text(family: str, bore: int, clearance: tuple[int, int] | None = None) -> str:
    """Return the sheet of a family to begin with: its other windows are to be filled in.

    `clearance` is the maker's between a piston and its bore, lowest and highest (ticks).
    """
    data = {"format": 1, "family": family, "units": "mm", "standard_bore": exact_text(bore)}
    text = (
        "# The sheet of one type of engine: put in its windows, zone and stroke from the"
        f" maker's own.\n{toml_text(data)}\n"
    )
    if clearance is None:
        return text
    low, high = map(exact_text, clearance)
    window = {"fit": "clearance", "low": low, "high": high, "source": "told at intake"}
    return f"{text}\n[[window]]\n{toml_text(window)}\n"


def head_text(name: str, currency: str) -> str:
    """Return `catalogue.toml` of a catalogue of several families."""
    data = {"format": 1, "name": name, "units": "mm", "currency": currency}
    return toml_text({key: value for key, value in data.items() if value}) + "\n"


def _piston(item: Article, mapping: ListMapping) -> tuple[object, ...]:
    assert item.nominal_bore is not None
    low, high = clearance_of(item.family, mapping) or (0, 0)
    sizes = (item.oversize or 0, item.nominal_bore, low, high)
    return (item.number, item.family, *map(exact_text, sizes), item.grade, *_sold(item))


def _gasket(item: Article) -> tuple[object, ...]:
    return item.number, item.family, item.place, exact_text(item.thickness or 0), *_sold(item)


def _sold(item: Article) -> tuple[object, ...]:
    price = "" if item.price is None else amount(item.price)
    return price, item.stock, "" if item.lead_days is None else item.lead_days


def clearance_of(family: str, mapping: ListMapping) -> tuple[int, int] | None:
    """Return what the maker gives between a piston and the bore it is made for, None if unknown."""
    return mapping.clearance.get(family) or mapping.clearance.get("")


def _table(titles: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(titles)
    writer.writerows(rows)
    return out.getvalue()


def sold_before(folder: Path) -> dict[str, dict[str, int | None]]:
    """Return price (hundredths), stock and lead time of what the last list took in, by number."""
    found: dict[str, dict[str, int | None]] = {}
    for name, titles in ((PISTONS, _PISTON), (GASKETS, _GASKET)):
        if not (folder / name).is_file():
            continue
        table = read_table(folder / name, dict.fromkeys(titles, "text").get, titles, ("number",))  # type: ignore[arg-type]
        for _, cells in table.rows:
            row = {title: cells[at] for title, at in table.columns.items()}
            found[row["number"]] = {key: _figure(key, row.get(key, "")) for key in _FIGURES}
    return found


def _figure(key: str, text: str) -> int | None:
    if not text:
        return None
    if key != "price":
        return int(text)
    whole, _, cents = text.partition(".")
    return int(whole) * 100 + int(cents.ljust(2, "0") or 0)


def differences(
    before: Mapping[str, Mapping[str, int | None]], articles: Sequence[Article]
) -> tuple[list[str], list[str], list[Changed]]:
    """Return the numbers that are new, those that are gone, and the figures that changed."""
    now = {item.number: item for item in articles}
    new = [number for number in now if number not in before]
    gone = [number for number in before if number not in now]
    changed = [
        Changed(number=number, field=key, before=old[key], now=getattr(now[number], key))
        for number, old in before.items()
        if number in now
        for key in _FIGURES
        if old[key] != getattr(now[number], key)
    ]
    return new, gone, changed
