"""The form of measured bores."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import RenderableType
from rich.padding import Padding

from fitsolver.records.form import BoreForm
from fitsolver.records.readings import Reading
from fitsolver.reporting.show import Show, facts, heading, table


def forms_table(forms: Sequence[BoreForm], show: Show) -> RenderableType:
    """Return one line a bore."""
    columns = ("cyl.", "smallest", "largest", "out-of-round", "taper", "shape", "wear", "port")
    found = table(columns, right=columns[1:5] + columns[6:])
    for form in forms:
        found.add_row(
            form.cylinder,
            show.size(form.smallest, "down"),
            show.size(form.largest, "up"),
            show.size(form.out_of_round, "up"),
            show.size(form.taper, sign=True),
            _shape(form),
            show.size(form.wear, "up"),
            show.size(form.port_excess, sign=True),
        )
    return Padding(found, (1, 0, 1, 2))


def form_details(form: BoreForm, show: Show) -> Iterator[RenderableType]:
    """Yield one bore depth by depth and axis by axis."""
    yield heading(f"Cylinder {form.cylinder}")
    found = table(
        ("depth", "smallest", "largest", "out-of-round"),
        right=("depth", "smallest", "largest", "out-of-round"),
    )
    for depth in form.by_depth:
        found.add_row(
            show.size(depth.depth),
            show.size(depth.smallest, "down"),
            show.size(depth.largest, "up"),
            show.size(depth.out_of_round, "up"),
        )
    yield Padding(found, (1, 0, 1, 2))
    rows = [
        ("largest", _place(form.largest, form.largest_at, show)),
        ("smallest", _place(form.smallest, form.smallest_at, show)),
    ]
    for axis in form.by_axis:
        name = Reading(depth=0, angle=axis.angle, size=1).axis
        taper = show.size(axis.taper, sign=True)
        rows.append((f"{name} axis", f"taper {taper}, spread {show.size(axis.spread, 'up')}"))
    rows.append(("shape", _shape(form)))
    if form.reference is not None:
        rows.append(
            ("wear", f"{show.size(form.wear, 'up')} over {show.size(form.reference)} unworn")
        )
    if form.port_excess is not None:
        rows.append(
            ("beside the ports", f"{show.size(form.port_excess, sign=True)} on the largest")
        )
    rows.append(("readings", f"{form.readings_deciding} of {form.readings_shown} decide"))
    yield facts(rows)


def _place(size: int, at: Reading, show: Show) -> str:
    return f"{show.size(size)} at depth {show.size(at.depth)}, {at.axis}"


def _shape(form: BoreForm) -> str:
    return f"{form.shape} at {form.shape_at}" if form.shape_at else form.shape
