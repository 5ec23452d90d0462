"""Articles of a list as the files of a catalogue folder, and what changed since the last list."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from functools import lru_cache
from itertools import count
from typing import Final

from fitsolver.base.lengths import exact_text
from fitsolver.reading.limits import MOST_CELLS, too_many
from fitsolver.reading.list_mapping import MAPPING, ListMapping, mapping_text
from fitsolver.reading.list_own import (
    ASIDE,
    ASIDE_COLUMNS,
    COLUMNS,
    GASKETS,
    OTHERS,
    PISTON_KINDS,
    PISTONS,
    SKIRT,
    Stood,
    clearance_of,
)
from fitsolver.reading.list_words import plain
from fitsolver.reading.toml_text import toml_text
from fitsolver.records.amounts import amount
from fitsolver.records.intake import Article, Changed, Unclear

#: Rows that were not understood, to correct: a table beside the catalogue.
UNCLEAR: Final = "not_understood.csv"
#: The files that a list is taken into; all others of the folder are left as they are.
OWN: Final = (PISTONS, GASKETS, OTHERS, UNCLEAR, ASIDE, MAPPING)
_OTHER_KINDS: Final = ("rings", "pin", "circlip")
_FIGURES: Final = ("price", "stock", "lead_days")


def files_of(
    articles: Sequence[Article],
    unclear: Sequence[Unclear],
    mapping: ListMapping,
    stood: Stood,
    kept: Mapping[str, tuple[int, int]],
) -> dict[str, str]:
    """Return the files of a catalogue by name: its tables, sheets of families, the mapping.

    Sizes are written in millimetres, exactly, and headings say so: the catalogue may be in inches.
    A piston of unknown skirt stands as made for its bore with the maker's clearance, or with that
    of `kept`. Columns of `stood` that no list fills stay, by number. Raises InputError for more
    of them than a table may hold.
    """
    files = {MAPPING: mapping_text(mapping)}
    pistons = [item for item in articles if item.kind in PISTON_KINDS]
    width = len(COLUMNS[PISTONS]) + len(stood.own.get(PISTONS, ()))
    if (len(pistons) + 1) * width > MOST_CELLS:  # it could not be read again
        most = MOST_CELLS // width - 1
        raise too_many(PISTONS, "pistons", len(pistons), most)
    gaskets = [item for item in articles if is_counted_gasket(item)]
    others = [
        item
        for item in articles
        if item.kind in _OTHER_KINDS or (item.kind == "gasket" and not is_counted_gasket(item))
    ]
    if pistons:
        measured = stood.own.get(PISTONS, {})
        skirts = {n for h, cells in measured.items() if h.startswith(SKIRT) for n in cells}
        rows = (_piston(item, mapping, kept, skirts) for item in pistons)
        files[PISTONS] = _with_own(PISTONS, rows, stood)
    if others:
        files[OTHERS] = _with_own(OTHERS, map(_other, others), stood)
    if gaskets:
        files[GASKETS] = _with_own(GASKETS, map(_gasket, gaskets), stood)
    waiting = list(stood.waiting(kept, articles))
    if waiting:
        files[ASIDE] = _table(ASIDE_COLUMNS, waiting)
    if unclear:
        left = ((u.sheet, u.row, u.number, u.description, u.field, u.reason) for u in unclear)
        files[UNCLEAR] = _table(("sheet", "row", "number", "description", "field", "reason"), left)
    return files


def is_counted_gasket(item: Article) -> bool:
    """Tell whether a plan can count a gasket: its place and its thickness are known."""
    return item.kind == "gasket" and bool(item.place) and item.thickness is not None


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
    worn = "# Of a new bore: put in as `high` what the maker permits in a used one."
    return f"{text}\n{worn}\n[[window]]\n{toml_text(window)}\n"


def head_text(name: str, currency: str) -> str:
    """Return `catalogue.toml` of a catalogue of several families."""
    data = {"format": 1, "name": name, "units": "mm", "currency": currency}
    return toml_text({key: value for key, value in data.items() if value}) + "\n"


def _piston(
    item: Article,
    mapping: ListMapping,
    kept: Mapping[str, tuple[int, int]],
    skirts: Collection[str],
) -> tuple[object, ...]:
    """Return a row of the table of pistons; `skirts` are the numbers whose skirt is known."""
    assert item.nominal_bore is not None
    low, high = kept.get(item.number) or clearance_of(item.family, mapping) or (0, 0)
    made = ("",) * 3 if item.number in skirts else map(_mm, (item.nominal_bore, low, high))
    over = _mm(item.oversize or 0)
    return (item.number, item.family, over, *made, item.grade, *_sold(item))


def _gasket(item: Article) -> tuple[object, ...]:
    assert item.thickness is not None
    return item.number, item.family, item.place, _mm(item.thickness), *_sold(item)


def _other(item: Article) -> tuple[object, ...]:
    bore, over = ("" if t is None else _mm(t) for t in (item.nominal_bore, item.oversize))
    return (item.number, item.kind, item.family, bore, over, item.description, *_sold(item))


@lru_cache(maxsize=1 << 14)
def _mm(ticks: int) -> str:
    return exact_text(ticks)


def _sold(item: Article) -> tuple[object, ...]:
    price = "" if item.price is None else amount(item.price)
    return price, item.stock, "" if item.lead_days is None else item.lead_days


def _with_own(name: str, rows: Iterable[tuple[object, ...]], stood: Stood) -> str:
    """Return a table in millimetres, with the columns of one's own behind those of the list."""
    listed = COLUMNS[name].items()
    titles = [f"{title} [mm]" if kind == "length" else title for title, kind in listed]
    own = stood.own.get(name, {})
    filled = ((*row, *(cells.get(str(row[0]), "") for cells in own.values())) for row in rows)
    return _table([*titles, *own], filled)


def _table(titles: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(titles)
    writer.writerows(rows)
    return out.getvalue()


def differences(
    before: Mapping[str, Mapping[str, int | None]],
    articles: Sequence[Article],
    unclear: Collection[str] = (),
) -> tuple[list[str], list[str], list[Changed]]:
    """Return the numbers that are new, those that are gone, and the figures that changed.

    `unclear` are numbers that stand in the list, in rows that are not understood.
    """
    now = {item.number: item for item in articles}
    new = [number for number in now if number not in before]
    gone = [number for number in before if number not in now and number not in unclear]
    changed = [
        Changed(number=number, field=key, before=old[key], now=getattr(now[number], key))
        for number, old in before.items()
        if number in now
        for key in _FIGURES
        if old[key] != getattr(now[number], key)
    ]
    return new, gone, changed
