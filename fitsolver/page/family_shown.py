"""A family of a catalogue as it is shown: its sizes as a ladder, and the figures of its sheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final, NamedTuple

from fitsolver.base.lengths import exact_text
from fitsolver.page.content import shown, tables
from fitsolver.page.entered import written
from fitsolver.page.fields import PARTS, field_of, label_of
from fitsolver.page.named import names_typed
from fitsolver.page.said import words_of_fit
from fitsolver.records.catalogue import Catalogue, Piston
from fitsolver.records.figures import Figures, money
from fitsolver.records.review import SizeStep
from fitsolver.records.windows import FORM_FITS
from fitsolver.usecases.catalogue_change import TableRow, TableShown
from fitsolver.usecases.family_change import Typed

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
    "name": "route",
    "kind": "kind",
    "min_cut": "least cut",
    "max_cut": "largest cut",
    "half_width": "holds within ±",
    "materials": "materials",
    "cost": "cost",
    "days": "days",
    "restored_bore": "bore as sleeved or re-plated",
    "route": "route",
    "stage": "stage",
    "leaves_low": "leaves from",
    "leaves_high": "to",
}
TABLE_WORDS: Final[Mapping[str, str]] = {
    "pistons": "Pistons and piston kits",
    "rings": "Rings",
    "gaskets": "Gaskets",
    "kits": "Kits",
    "routes": "Routes of the shop",
    "stages": "Stages of the routes",
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
    "same_size": ("Set of pistons of one oversize", ("cylinders",)),
    "mass_match": ("Mass match", ("cylinders", "limit", "source")),
}
#: Parts that may say no more than that they are there.
_BARE: Final = ("same_size",)
#: Parts of single figures, and how they are headed.
_PARTS: Final[Mapping[str, str]] = {
    "": "More of the family",
    "engine": "More of the engine",
    "engine.rise": PARTS["engine.rise"].title,
    "finish": PARTS["finish"].title,
    "zone": PARTS["zone"].title,
    "squish": PARTS["squish"].title,
    "measuring": PARTS["measuring"].title,
    "each_cylinder": PARTS["each_cylinder"].title,
}
_TOP: Final = (
    "note", "standard_bore", "convention", "best", "no_window", "accept", "wear_per_rebuild",
)  # fmt: skip
_FIGURES: Final = ("standard_bore",)
#: What is typed for a field of a job, in a sheet.
_KINDS: Final[Mapping[str, str]] = {
    "figure": "figure", "count": "figure", "text": "text", "date": "text", "names": "list",
    "figures": "list", "choice": "choice", "flag": "choice",
}  # fmt: skip
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
    """One figure of a family's sheet: its path, its label, its value.

    `kind` is figure, text, list (with commas between), choice, or tick.
    """

    path: str
    label: str
    value: str
    kind: str = "text"
    choices: tuple[str, ...] = ()


class Group(NamedTuple):
    """Figures that belong together, and `more` that are seldom stated.

    `item` is the path of one that can be taken out, `new` one that is not there yet.
    """

    title: str
    figures: tuple[Figure, ...]
    more: tuple[Figure, ...] = ()
    item: str = ""
    new: bool = False

    @property
    def every(self) -> tuple[Figure, ...]:
        return (*self.figures, *self.more)


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


def groups(sheet: Mapping[str, object]) -> Iterator[Group]:
    """Yield the figures of a family's sheet as they may be corrected, single ones first.

    Every figure that a sheet may have is in one of them.
    """
    single = tuple(_single(sheet))
    yield Group("Figures of the engine", single)
    for name, (title, keys) in _MANY.items():
        items = tables(sheet, name)
        for number, item in enumerate(items):
            at = f"{name}.{number}"
            yield Group(_title(name, title, item), *_of_item(at, item, keys), at)
        at = f"{name}.{len(items)}"
        figures, more = _of_item(at, {}, keys)
        if name in _BARE:
            figures = (Figure(at, "one for every cylinder", "", "tick"), *figures)
        yield Group(f"One more {title.lower()}", figures, more, new=True)
    there = {figure.path for figure in single}
    for part, title in _PARTS.items():
        paths = (f"{part}.{key}" if part else key for key in _keys_of(part))
        missing = tuple(_figure(path, None) for path in paths if path not in there)
        if missing:
            yield Group(title, (), missing)


def _keys_of(part: str) -> tuple[str, ...]:
    """Return the keys of single figures that a family's sheet may have in a part."""
    return tuple(field.key for field in PARTS[part].fields) if part else _TOP


def _single(sheet: Mapping[str, object]) -> Iterator[Figure]:
    there = dict(_scalars(sheet))
    for path in dict.fromkeys([*_ALWAYS, *there]):
        if path not in _FIXED:
            yield _figure(path, there.get(path))


def _scalars(table: Mapping[str, object], path: str = "") -> Iterator[tuple[str, object]]:
    """Yield what is no part that stands more than once, by its path."""
    for key, value in table.items():
        at = f"{path}.{key}" if path else key
        if isinstance(value, Mapping):
            yield from _scalars(value, at)
        elif at not in _MANY:
            yield at, value


def _of_item(
    at: str, item: Mapping[str, object], keys: Sequence[str]
) -> tuple[tuple[Figure, ...], tuple[Figure, ...]]:
    """Return the figures of an item that are usual or there, and all others it may have."""
    form = item.get("fit") in FORM_FITS
    wanted = [key for key in keys if not (form and key in ("low", "groove"))]
    first = dict.fromkeys([*wanted, *item])
    every = (field.key for field in PARTS[at.rpartition(".")[0]].fields)
    return (
        tuple(_figure(f"{at}.{key}", item.get(key)) for key in first),
        tuple(_figure(f"{at}.{key}", None) for key in every if key not in first),
    )


def _figure(path: str, value: object) -> Figure:
    known = field_of(path)
    label = _LABELS.get(path, label_of(path.rpartition(".")[2]) if known is None else known.label)
    said = value_shown(value) if known is None or known.kind == "flag" else written(known, value)
    if known is None:
        return Figure(path, label, said, "figure" if path in _FIGURES else "text")
    choices = ("", "yes", "no") if known.kind == "flag" else known.choices
    if choices and said not in choices:
        choices = (*choices, said)
    return Figure(path, label, said, _KINDS[known.kind], choices)


def value_shown(value: object) -> str:
    """Return a value of a sheet as a field shows it; a list with commas between."""
    if isinstance(value, list):
        return ", ".join(shown(item) for item in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return shown(value)


def typed(figure: Figure, text: str) -> Typed:
    """Return what was typed for a figure as its sheet takes it."""
    if figure.kind == "tick":
        return bool(text)
    if figure.kind == "list":
        return tuple(names_typed(figure.path.rpartition(".")[2], text))
    return text


def _title(name: str, title: str, item: Mapping[str, object]) -> str:
    if name in ("mass_match", "same_size"):
        return title
    own = shown(item.get("fit") or item.get("name") or item.get("place"))
    groove = shown(item.get("groove"))
    return f"{title}: {words_of_fit(f'{own} {groove}'.strip())}"
