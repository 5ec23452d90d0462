"""The content of a job's steps: its fields, the readings sheet, the bores, the answer."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cached_property
from typing import Final, TypedDict

from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import format_length
from fitsolver.page.bench import Bench, Lack
from fitsolver.page.content import Content, Sheet, sheet_of
from fitsolver.page.fields_shown import FieldsShown, fields_shown
from fitsolver.page.order_kept import OrderKept, order_kept
from fitsolver.page.picture import Picture, pictures
from fitsolver.page.room import Inquiry, JobShown
from fitsolver.page.standing import STEPS, Kept, Told, steps, told_with
from fitsolver.records.doubts import Doubt
from fitsolver.records.plan import Answer, Plan

#: A figure with decimals, or nothing: no unit, no sum.
_PLAIN: Final = re.compile(r"[+\-\N{MINUS SIGN}]?(\d*[.,]\d+|0)")
#: Rows of an empty sheet.
_ROWS: Final = 8
#: Facts measured with the readings, shown in one row each below them.
MEASURED: Final = (
    ("zero_on_piston", "zero is the old piston's size"),
    ("scratch", "deepest scratch"),
    ("squish.measured", "squish, old parts"),
    ("squish.old_gaskets", "old gaskets, compressed"),
    ("squish.old_compression_height", "old compression height"),
)


class NotesShown(TypedDict):
    """Feedback on figures during typing: their errors, and the bores drawn."""

    job: str
    step: str
    doubts: tuple[Doubt, ...]
    marks: dict[str, str]
    step_of_field: Callable[[str], str]
    pictures: list[Picture]
    unit_said: str


class AnswerShown(NotesShown, JobShown):
    """The display of the answer: head, steps, strip."""

    told: Told | None
    refusal: InputError | None
    lacks: tuple[Lack, ...]
    sizes_in_question: list[str]


class StepShown(AnswerShown, FieldsShown):
    """The display common to all steps."""

    doubted: set[str]
    can_undo: bool
    notice: str
    more_of: str


class SheetShown(TypedDict):
    """The additional display of the first step: the readings sheet."""

    sheet: Sheet
    rows: int
    where: dict[int, str]
    measured: tuple[tuple[str, str], ...]
    pasting: bool


class ChooseShown(TypedDict):
    """The additional display of the second step."""

    opened: list[str]
    accepted: list[str]
    has_sheet: bool


class Standing:
    """The state of a job: its typed content, its bench, and its answer once there is one."""

    def __init__(self, about: Inquiry, step: str) -> None:
        self.about, self.step = about, step if step in STEPS else "measure"
        self.data: Content = about.content
        self.bench: Bench = about.room.benches.of(about.draft.text)
        if self.bench.job is not None and self.bench.catalogue is not None:
            about.known = self.bench.job, self.bench.catalogue
        self.answer: Answer | None = None
        self.refusal: InputError | None = self.bench.refusal

    @property
    def plan(self) -> Plan | None:
        """The plan, where there is one."""
        return None if self.answer is None else self.answer.plan

    @cached_property
    def ordered(self) -> OrderKept | None:
        """The order that is kept with the job."""
        return order_kept(self.about.room.drafts.ordered(self.about.key))

    def notes(self, *, drawn: bool = True) -> NotesShown:
        """Return what is shown of figures as they are typed; the bores where they are `drawn`."""
        return {
            "job": self.about.key,
            "step": self.step,
            "doubts": self.bench.doubts,
            "marks": self.bench.marks,
            "step_of_field": _step_of_field,
            "pictures": self._pictures() if drawn else [],
            "unit_said": self.bench.unit or "",
        }

    def answered(self) -> AnswerShown:
        """Return what is shown of the answer."""
        drafts, key = self.about.room.drafts, self.about.key
        kept = Kept(drafts.passes(key), len(drafts.ticks(key)), self.ordered, drafts.checked(key))
        head = self.about.shown()
        head["steps"] = steps(self.data, self.bench, self.answer, kept)
        return {
            **head,
            **self.notes(),
            "told": None
            if self.answer is None
            else told_with(self.answer, self.bench, self.ordered),
            "refusal": self.refusal,
            "lacks": self.bench.lacks,
            "sizes_in_question": _in_question(self.bench),
        }

    def shown(self) -> StepShown:
        """Return the display common to all steps: head, steps, strip, doubts, fields."""
        return {
            **self.answered(),
            **fields_shown(self.data, self.bench, self.about.room.shelf.all()),
            "doubted": {doubt.field for doubt in self.bench.doubts},
            "can_undo": self.about.room.drafts.can_undo(self.about.key),
            "notice": "",
            "more_of": self.about.request.query_params.get("more", ""),
        }

    def _pictures(self) -> list[Picture]:
        """Return the bores drawn; they stand on the first step."""
        unit = self.bench.unit
        if unit is None or self.step != "measure":
            return []
        return pictures(self.bench.bores, unit, self.plan)


def _step_of_field(name: str) -> str:
    """Return the step of a field as it appears in its address; empty for the first step."""
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


def measure_shown(standing: Standing, rows: int) -> SheetShown:
    """Return the additional display of the first step: the readings sheet."""
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
    """Return a sheet with equal decimals, those of the finest figure, in the depths and in each
    bore.
    """
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
    """Return the position of each row: beside a port, outside the zone."""
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


def choose_shown(standing: Standing) -> ChooseShown:
    """Return the additional display of the second step."""
    data = standing.data
    opened, accepted = data.get("no_window"), data.get("accept")
    return {
        "opened": [str(name) for name in opened] if isinstance(opened, list) else [],
        "accepted": [str(name) for name in accepted] if isinstance(accepted, list) else [],
        "has_sheet": data.get("format") == 2,
    }
