"""What the steps of a job show: its fields, those of the sheet, the bores, the answer."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Final

from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import format_length
from fitsolver.page import entered, fields
from fitsolver.page.bench import Bench, on_the_bench
from fitsolver.page.content import Content, Sheet, sheet_of, shown, tables
from fitsolver.page.picture import pictures
from fitsolver.page.standing import STEPS, Kept, steps, told
from fitsolver.reading.owned import Owned
from fitsolver.reading.sections import UNITS
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.plan import Answer, Plan

if TYPE_CHECKING:
    from fitsolver.page.room import Inquiry

#: A figure with decimals, or nothing: no unit, no sum.
_PLAIN: Final = re.compile(r"[+\-\N{MINUS SIGN}]?(\d*[.,]\d+|0)")
#: Rows of an empty sheet.
_ROWS: Final = 8
#: Facts that are measured with the readings, a row each under them.
MEASURED: Final = (
    ("zero_on_piston", "zero is the old piston's size"),
    ("scratch", "deepest scratch"),
    ("squish.measured", "squish, old parts"),
    ("squish.old_gaskets", "old gaskets, compressed"),
    ("squish.old_compression_height", "old compression height"),
)


class Standing:
    """A job as it stands: what was typed, what it comes to, and its answer once there is one."""

    def __init__(self, about: Inquiry, step: str) -> None:
        self.about, self.step = about, step if step in STEPS else "measure"
        self.data: Content = about.content
        self.bench: Bench = on_the_bench(self.data, about.room.shelf)
        if self.bench.job is not None and self.bench.catalogue is not None:
            about.known = self.bench.job, self.bench.catalogue
        self.answer: Answer | None = None
        self.refusal: InputError | None = self.bench.refusal

    @property
    def plan(self) -> Plan | None:
        """The plan, where there is one."""
        return None if self.answer is None else self.answer.plan

    def shown(self) -> dict[str, Any]:
        """Return what every step shows: head, steps, strip, doubts."""
        drafts, key = self.about.room.drafts, self.about.key
        passes = drafts.passes(key)
        ordered = drafts.ordered(key) is not None
        return {
            **self.about.shown(),
            "step": self.step,
            "steps": steps(
                self.data,
                self.bench,
                self.answer,
                Kept(passes, len(drafts.ticks(key)), ordered, drafts.checked(key)),
            ),
            "told": None if self.answer is None else told(self.answer),
            "refusal": self.refusal,
            "lacks": self.bench.lacks,
            "doubts": self.bench.doubts,
            "marks": self.bench.marks,
            "doubted": {doubt.field for doubt in self.bench.doubts},
            "step_of_field": _step_of_field,
            "sizes_in_question": _in_question(self.bench),
            "pictures": _pictures(self),
            "unit_said": self.bench.unit or "",
            "can_undo": drafts.can_undo(key),
            "notice": "",
            "more_of": self.about.request.query_params.get("more", ""),
            **_fields_shown(self.data, self.bench, self.about.room.shelf.all()),
        }


def _step_of_field(name: str) -> str:
    """Return the step where a field is typed, as its address has it; empty for the first."""
    of_bore = name.startswith(("read.", "depth.", "cylinder."))
    return "" if of_bore and ".piston" not in name else "/choose"


async def standing_of(about: Inquiry, step: str) -> Standing:
    """Return how a job stands, its answer worked out; what stands in its way is in it."""
    standing = await run_in_threadpool(Standing, about, step)
    if standing.bench.job is not None and standing.bench.catalogue is not None:
        try:
            standing.answer = await about.pick()
        except InputError as error:
            standing.refusal = error
    return standing


def _pictures(standing: Standing) -> list[Any]:
    unit = standing.bench.unit
    return [] if unit is None else pictures(standing.bench.bores, unit, standing.plan)


def _in_question(bench: Bench) -> list[str]:
    """Return the oversizes of the catalogue above what was read so far."""
    sizes = [bore.form.largest for bore in bench.bores if bore.form is not None]
    if bench.parts is None or not sizes or bench.unit is None:
        return []
    unit = bench.unit
    larger = {
        (p.nominal_bore, p.oversize) for p in bench.parts.pistons if p.nominal_bore >= max(sizes)
    }
    return [format_length(oversize, unit, sign=True) for _, oversize in sorted(larger)]


def _fields_shown(data: Content, bench: Bench, shelf: Mapping[str, Catalogue]) -> dict[str, Any]:
    """Return what the macros of `_fields.html` ask for."""
    values = entered.entries(data)
    given = {name: text for name, text in _given(bench).items() if name not in values}
    parts = bench.parts
    return {
        "values": values,
        "given": given,
        "field_of": fields.field_of,
        "path_part": fields.part_of,
        "PARTS": fields.PARTS,
        "options": {
            "catalogue": ("", *shelf),
            "units": UNITS,
        },
        "lists": {} if parts is None else _lists(parts),
        "count": lambda path: _count(data, path),
        "from_sheet": lambda path: _from_sheet(data, bench, path),
        "any_own": lambda path: any(name.startswith(f"{path}.") for name in values),
        "any_given": lambda path: _said_of(given, path),
        "cylinders": [
            {"index": index, "name": shown(item.get("name")) or str(index + 1), "plain": plain}
            for index, (item, plain) in enumerate(
                zip(tables(data, "cylinder"), sheet_of(data).plain, strict=True)
            )
        ],
        "units": shown(data.get("units")),
    }


def _given(bench: Bench) -> dict[str, str]:
    """Return the figures that the family's sheet gives, by their fields."""
    if not isinstance(bench.laid, Owned):
        return {}
    return {
        name: text for name, text in entered.entries(bench.laid).items() if "window" not in name
    }


def _said_of(given: Mapping[str, str], path: str) -> str:
    said = [
        f"{field.label} {text}"
        for name, text in given.items()
        if name.rpartition(".")[0] == path and (field := fields.field_of(name)) is not None
    ]
    return "sheet: " + ", ".join(said) if said else ""


def _lists(parts: Catalogue) -> dict[str, list[str]]:
    """Return what may be chosen from the catalogue, by the key of the field."""
    tabled = (parts.pistons, parts.rings, parts.gaskets)
    return {
        "number": [item.number for table in tabled for item in table],
        "piston": [item.number for item in parts.pistons],
        "route": [route.name for route in parts.routes],
        "place": sorted({gasket.place for gasket in parts.gaskets}),
    }


def _count(data: Content, path: str) -> int:
    *outer, key = path.split(".")
    holder: Mapping[str, object] = data
    if len(outer) == 2:
        holder = tables(data, "cylinder")[int(outer[1])]
    found = holder.get(key)
    return len(found) if isinstance(found, list) else 0


def _from_sheet(data: Content, bench: Bench, path: str) -> list[dict[str, Any]]:
    """Return the rows of a list that the family's sheet gives, those that hold."""
    laid = bench.laid
    if not isinstance(laid, Owned) or "." in path:
        return []
    if path != "window" and path in data:
        return []
    found = []
    for number, item in enumerate(tables(laid, path)):
        if path == "window" and not (isinstance(item, Owned) and item.source is not None):
            continue
        if isinstance(item, Owned) and item.source is not None and item.source.owner == "job":
            continue
        said = [
            (field.label, entered.written(field, item[field.key]))
            for field in fields.PARTS[path].fields
            if field.key in item and entered.written(field, item[field.key])
        ]
        open_name = ""
        if path == "window":
            groove = item.get("groove")
            open_name = f"{item.get('fit')}" + (f" {groove}" if groove is not None else "")
        found.append({"number": number, "said": said, "open": open_name})
    return found


def measure_shown(standing: Standing, rows: int) -> dict[str, Any]:
    """Return what the first step shows beside that: the sheet of readings."""
    sheet = sheet_of(standing.data)
    least = len(sheet.depths) + (0 if len(sheet.depths) >= _ROWS else 1)
    return {
        "sheet": _aligned(sheet),
        "rows": min(max(least, _ROWS, rows), 128),
        "where": _where(standing),
        "measured": MEASURED,
        "pasting": False,
    }


def _aligned(sheet: Sheet) -> Sheet:
    """Return a sheet with as many decimals to the depths, and to each bore, as the finest has."""
    depths = _filled(sheet.depths)
    figures: dict[tuple[int, int, int], str] = {}
    for cylinder in range(len(sheet.plain)):
        mine = {at: text for at, text in sheet.figures.items() if at[0] == cylinder}
        figures |= zip(mine, _filled(tuple(mine.values())), strict=True)
    return sheet._replace(depths=depths, figures=figures)


def _filled(texts: tuple[str, ...]) -> tuple[str, ...]:
    plain = [text.replace(",", ".") for text in texts if _PLAIN.fullmatch(text)]
    places = max((len(text.partition(".")[2]) for text in plain), default=0)
    return tuple(_with_places(text, places) for text in texts)


def _with_places(text: str, places: int) -> str:
    if not places or not _PLAIN.fullmatch(text):
        return text
    mark = "," if "," in text else "."
    whole, _, decimals = text.partition(mark)
    return f"{whole}{mark}{decimals:0<{places}}"


def _where(standing: Standing) -> dict[int, str]:
    """Return for each row where it lies: beside a port, outside the zone."""
    found: dict[int, str] = {}
    for bore in standing.bench.bores[:1]:
        zone, ports = bore.cylinder.zone, bore.cylinder.ports
        for row, depth in standing.bench.depths.items():
            port = next((band.name for band in ports if band.holds(depth)), "")
            if port:
                found[row] = f"{port} port"
            elif zone is not None and not zone.holds(depth):
                found[row] = "unworn" if depth < zone.top else "below"
    return found


def choose_shown(standing: Standing) -> dict[str, Any]:
    """Return what the second step shows beside that."""
    data = standing.data
    opened, accepted = data.get("no_window"), data.get("accept")
    return {
        "opened": [str(name) for name in opened] if isinstance(opened, list) else [],
        "accepted": [str(name) for name in accepted] if isinstance(accepted, list) else [],
        "has_sheet": data.get("format") == 2,
    }
