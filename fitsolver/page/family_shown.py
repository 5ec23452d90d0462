"""A family of a catalogue as it is shown: its sizes as a ladder, and the figures of its sheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final, NamedTuple

from fitsolver.base.lengths import exact_text
from fitsolver.page.content import shown
from fitsolver.page.fields import field_of, label_of
from fitsolver.page.said import words_of_fit
from fitsolver.records.catalogue import Catalogue, Piston
from fitsolver.records.figures import Figures, money
from fitsolver.records.review import SizeStep
from fitsolver.records.windows import FORM_FITS
from fitsolver.usecases.catalogue_change import TableRow, TableShown

#: What the columns of tables are called.
COLUMN_WORDS: Final[Mapping[str, str]] = {
    "oversize": "oversize",
    "skirt_low": "skirt from",
    "skirt_high": "to",
    "for_bore": "for bore",
    "for_clearance_low": "clearance from",
    "for_clearance_high": "to",
    "gauge_diameter": "for bore",
    "gap_low": "gap from",
    "gap_high": "to",
    "thickness": "thickness",
    "contents": "holds",
    "price": "price",
    "stock": "stock",
    "lead_days": "days",
}
TABLE_WORDS: Final[Mapping[str, str]] = {
    "pistons": "Pistons and piston kits",
    "rings": "Rings",
    "gaskets": "Gaskets",
    "kits": "Kits",
}
#: Figures that every sheet may have, shown though they are not there yet.
_ALWAYS: Final = (
    "standard_bore", "each_cylinder.material", "engine.stroke", "engine.pin_diameter",
    "engine.bore_limit", "zone.top", "zone.bottom",
)  # fmt: skip
_WINDOW: Final = ("fit", "groove", "low", "high", "source")
#: Parts of a sheet that stand more than once, what one of them is called, and its usual keys.
_MANY: Final[Mapping[str, tuple[str, tuple[str, ...]]]] = {
    "window": ("Window", _WINDOW),
    "port": ("Port", ("name", "top", "bottom")),
    "gasket_place": ("Gasket place", ("place", "least", "most")),
    "mass_match": ("Mass match", ("limit", "source")),
}
#: Labels of figures that say too little out of the part of the form they stand in.
_LABELS: Final[Mapping[str, str]] = {
    "zone.top": "rings and skirt from depth",
    "zone.bottom": "rings and skirt to depth",
    "each_cylinder.material": "material of the bore",
    "each_cylinder.readings_as": "readings are",
    "engine.rise.bore": "bore warmer by (K)",
    "engine.rise.piston": "piston warmer by (K)",
    "engine.rise.ring": "ring warmer by (K)",
}
_FIXED: Final = ("format", "family", "units")


class Rung(NamedTuple):
    """One size of the ladder: what is made and sold in it; or a gap, where nothing is."""

    size: str
    bore: str
    stock: int = 0
    price: str = ""
    rows: tuple[TableRow, ...] = ()
    gap: bool = False


class Figure(NamedTuple):
    """One figure of a family's sheet: its path, its label, its value; `fixed` = only shown."""

    path: str
    label: str
    value: str
    kind: str = "text"
    fixed: bool = False


class Group(NamedTuple):
    """Figures that belong together; `item` is the path of one that can be taken out."""

    title: str
    figures: tuple[Figure, ...]
    item: str = ""
    new: bool = False


def ladder(
    parts: Catalogue, steps: Sequence[SizeStep], pistons: TableShown | None
) -> tuple[Rung, ...]:
    """Return the sizes of a family from the smallest, with gaps of a regular step between them."""
    figures = Figures(parts.unit)
    rows = {} if pistons is None else {row.cells.get("number", ""): row for row in pistons.rows}
    found: list[Rung] = []
    for step in steps:
        for skipped in step.skipped:
            found.append(Rung(_size(skipped, parts), figures.near(parts.standard_bore + skipped),
                              gap=True))  # fmt: skip
        own = [piston for piston in parts.pistons if piston.oversize == step.oversize]
        found.append(
            Rung(
                _size(step.oversize, parts),
                figures.near(step.nominal_bore),
                sum(piston.stock for piston in own),
                _prices(own, parts.currency),
                tuple(rows[piston.number] for piston in own if piston.number in rows),
            )
        )
    return tuple(found)


def not_on_ladder(rungs: Sequence[Rung], pistons: TableShown | None) -> tuple[TableRow, ...]:
    """Return rows that stand in the table and are sold no more: another one replaces them."""
    shown_ = {row.number for rung in rungs for row in rung.rows}
    return () if pistons is None else tuple(r for r in pistons.rows if r.number not in shown_)


def _size(oversize: int, parts: Catalogue) -> str:
    return f"+{exact_text(oversize, parts.unit)}" if oversize else "std"


def _prices(pistons: Sequence[Piston], currency: str) -> str:
    known = sorted(piston.price for piston in pistons if piston.price is not None)
    if not known:
        return ""
    if known[0] == known[-1]:
        return money(known[0], currency)
    return f"{money(known[0])} to {money(known[-1], currency)}"


def groups(sheet: Mapping[str, Any]) -> Iterator[Group]:
    """Yield the figures of a family's sheet as they may be corrected, single ones first."""
    yield Group("Figures of the engine", tuple(_single(sheet)))
    for name, (title, keys) in _MANY.items():
        items = [item for item in sheet.get(name, []) if isinstance(item, Mapping)]
        for number, item in enumerate(items):
            at = f"{name}.{number}"
            yield Group(_title(name, title, item), tuple(_of_item(at, item, keys)), at)
        if name == "window":
            fresh = tuple(_figure(f"{name}.{len(items)}.{key}", None) for key in keys)
            yield Group("One more window", fresh, new=True)
    rest = [key for key, value in sheet.items() if _is_list(value) and key not in _MANY]
    fixed = tuple(Figure(key, label_of(key), _words(sheet[key]), fixed=True) for key in rest)
    if fixed:
        yield Group("Also in this sheet", fixed)


def _is_list(value: object) -> bool:
    return isinstance(value, list)


def _single(sheet: Mapping[str, Any]) -> Iterator[Figure]:
    there = dict(_scalars(sheet))
    for path in dict.fromkeys([*_ALWAYS, *there]):
        if path not in _FIXED:
            yield _figure(path, there.get(path))


def _scalars(table: Mapping[str, Any], path: str = "") -> Iterator[tuple[str, Any]]:
    for key, value in table.items():
        at = f"{path}.{key}" if path else key
        if isinstance(value, Mapping):
            yield from _scalars(value, at)
        elif not _is_list(value):
            yield at, value


def _of_item(at: str, item: Mapping[str, Any], keys: Sequence[str]) -> Iterator[Figure]:
    form = item.get("fit") in FORM_FITS
    wanted = [key for key in keys if not (form and key in ("low", "groove"))]
    for key in dict.fromkeys([*wanted, *item]):
        if not isinstance(item.get(key), Mapping | list):
            yield _figure(f"{at}.{key}", item.get(key))


def _figure(path: str, value: object) -> Figure:
    known = field_of(path)
    label = label_of(path.rpartition(".")[2]) if known is None else known.label
    label = _LABELS.get(path, label)
    key = path.rpartition(".")[2]
    kind = "fit" if key == "fit" else ("text" if key in ("source", "note", "name") else "figure")
    if known is not None and known.kind in ("text", "choice") and kind == "figure":
        kind = "text"
    return Figure(path, label, value_shown(value), kind)


def value_shown(value: object) -> str:
    """Return a value of a sheet as a field shows it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return shown(value)


def _words(value: object) -> str:
    items = value if isinstance(value, list) else [value]
    return ", ".join(
        "; ".join(f"{label_of(k)} {value_shown(v)}" for k, v in item.items()) or "yes"
        if isinstance(item, Mapping)
        else label_of(str(item))
        for item in items
    )


def _title(name: str, title: str, item: Mapping[str, Any]) -> str:
    if name == "mass_match":
        return title
    own = shown(item.get("fit") or item.get("name") or item.get("place"))
    groove = shown(item.get("groove"))
    return f"{title}: {words_of_fit(f'{own} {groove}'.strip())}"
