"""The form of measured bores."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Final

from fitsolver.base.lengths import small_length
from fitsolver.records.figures import Figures
from fitsolver.records.told import names_together
from fitsolver.records.words import axis_words, counted, shape_words
from fitsolver.reporting.budget_view import corrections_view
from fitsolver.reporting.layout import SCREEN_LINES, Columns, heading, indented, lines_of, pairs
from fitsolver.reporting.sections import WHOLE, Opened, Section
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.form import BoreForm, NextReading
    from fitsolver.records.forms_answer import FormsAnswer
    from fitsolver.records.readings import Reading

#: Most bores that the short report shows place by place.
_FEW: Final = 2
_SUMMARY: Final[Columns] = (
    ("cylinder", "text"),
    ("\nlargest", "figure"),
    ("\nsmallest", "figure"),
    ("out-of-\nround", "figure"),
    ("\ntaper", "figure"),
    ("\nwear", "figure"),
    ("port\nexcess", "figure"),
    ("\nshape", "text"),
)
_DEPTHS: Final[Columns] = (
    ("depth", "figure"),
    ("largest", "figure"),
    ("smallest", "figure"),
    ("out-of-round", "figure"),
)
_AXES: Final[Columns] = (
    ("axis", "text"),
    ("taper", "figure"),
    ("largest minus smallest", "figure"),
)


def form_summary(
    forms: Sequence[BoreForm], figures: Figures, room: int | None = None
) -> list[RenderableType]:
    """Return a line for each bore: sizes, out-of-round, taper, wear, port excess, shape.

    Where they take more than `room` lines the shapes stand below the table, then only as many
    bores are shown as there is room for (None: all).
    """
    parts = _summary(forms, figures)
    if room is None or lines_of(parts) <= room:
        return parts
    for shown in range(len(forms), 0, -1):
        parts = _summary_of(forms[:shown], figures)
        if more := len(forms) - shown:
            parts.append(indented(f"{counted(more, 'cylinder', 'cylinders')} more: --show form"))
        if lines_of(parts) <= room:
            break
    return parts


def _summary(forms: Sequence[BoreForm], figures: Figures) -> list[RenderableType]:
    return [heading("Form found"), table(_SUMMARY, [_summary_row(f, figures) for f in forms])]


def _summary_of(forms: Sequence[BoreForm], figures: Figures) -> list[RenderableType]:
    """Return the table with the shapes below it."""
    shapes: dict[str, list[str]] = {}
    for form in forms:
        shapes.setdefault(shape_words(form), []).append(form.cylinder)
    rows = [_summary_row(form, figures)[:-1] for form in forms]
    told = ((f"cyl. {names_together(names)}", shape) for shape, names in shapes.items())
    return [heading("Form found"), table(_SUMMARY[:-1], rows), pairs(told)]


def forms_view(
    answer: FormsAnswer, figures: Figures, opened: Opened = WHOLE, used: int = 4
) -> Iterator[RenderableType | Section]:
    """Yield the summary and, bore by bore, every depth and axis; then what was corrected.

    `used` lines of the first screen are taken by what stands above it.
    """
    if not answer.forms:
        yield ""
        yield indented("No cylinder of this job has readings.")
    else:
        room = None if opened.has("form") else SCREEN_LINES - used
        short = form_summary(answer.forms, figures, room)
        yield from short
        if not opened.has("form") and lines_of(_summary(answer.forms, figures)) > lines_of(short):
            yield Section("form", ())
    few = len(answer.forms) <= _FEW
    for form in answer.forms:
        yield Section("places", _places(form, figures), shut=not few)
    yield from corrections_view(answer.corrections)


def _places(form: BoreForm, figures: Figures) -> Iterator[RenderableType]:
    yield heading(f"Cylinder {form.cylinder}")
    yield pairs(_facts(form, figures))
    yield ""
    yield table(_DEPTHS, _depth_rows(form, figures))
    yield ""
    yield table(_AXES, _axis_rows(form, figures))


def _summary_row(form: BoreForm, figures: Figures) -> tuple[str, ...]:
    return (
        form.cylinder,
        figures.near(form.largest),
        figures.near(form.smallest),
        figures.up(form.out_of_round),
        figures.near(form.taper, sign=True),
        figures.near(form.wear),
        figures.near(form.port_excess, sign=True),
        shape_words(form),
    )


def _facts(form: BoreForm, figures: Figures) -> Iterable[tuple[str, str]]:
    yield "largest", _reading(form.largest_at, figures)
    yield "smallest", _reading(form.smallest_at, figures)
    yield "shape", shape_words(form)
    if form.reference is not None:
        wear = figures.near(form.wear)
        yield "wear", f"{wear}, from the unworn size of {figures.near(form.reference)}"
    else:
        yield "wear", "not known: no unworn reading and no unworn size"
    if form.port_excess is not None:
        excess = figures.near(form.port_excess, sign=True)
        yield "beside a port", f"{excess} to the largest that decides"
    if form.next_reading is not None:
        yield "read next", read_next(form.next_reading, figures)
    elif form.next_place is not None:
        place = form.next_place
        yield "read next", f"at depth {figures.near(place.depth)}, {axis_words(place.angle)}"
    yield "readings", f"{form.readings_deciding} decide, of {form.readings_shown}"


def read_next(reading: NextReading, figures: Figures) -> str:
    """Return where to read next, and the gain of that reading."""
    place = reading.place
    now, then = (small_length(u, figures.unit, "up") for u in (reading.now, reading.then))
    return (
        f"at depth {figures.near(place.depth)}, {axis_words(place.angle)}: what lies between the "
        f"readings would then leave the largest size {then} uncertain, not {now}"
    )


def _reading(reading: Reading, figures: Figures) -> str:
    where = f"at depth {figures.near(reading.depth)}, {axis_words(reading.angle)}"
    dial = "" if reading.dial is None else f" (dial {figures.near(reading.dial, sign=True)})"
    times = f", mean of {len(reading.repeats)}" if reading.repeats else ""
    return f"{figures.near(reading.size)} {where}{dial}{times}"


def _depth_rows(form: BoreForm, figures: Figures) -> Iterable[tuple[str, ...]]:
    for depth in form.by_depth:
        yield (
            figures.near(depth.depth),
            figures.near(depth.largest),
            figures.near(depth.smallest),
            figures.up(depth.out_of_round),
        )


def _axis_rows(form: BoreForm, figures: Figures) -> Iterable[tuple[str, ...]]:
    for axis in form.by_axis:
        taper, spread = figures.near(axis.taper, sign=True), figures.up(axis.spread)
        yield axis_words(axis.angle), taper, spread
