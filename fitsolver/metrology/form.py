"""Form of a measured bore: deciding readings, out-of-round, taper, wear. All on diameter.

Every reading is a local size, a two-point diameter (ISO 14405-1). Lengths are in ticks of
10 nm throughout. The shape's name comes from `fitsolver.metrology.shape`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from itertools import pairwise
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import exact_text
from fitsolver.metrology.coverage import next_place
from fitsolver.metrology.shape import name_shape
from fitsolver.records.form import AxisForm, BoreForm, DepthForm
from fitsolver.records.job import Convention, Cylinder
from fitsolver.records.readings import Reading

LOBING_CAUTION: Final = (
    "Two-point sizes cannot see odd lobing: a bore with three or five lobes reads round."
)


def deciding(cylinder: Cylinder) -> tuple[Reading, ...]:
    """Return the readings that decide, by depth and then angle.

    They lie inside the zone (without a zone every depth does) and not in a port band,
    unless that band decides. A cylinder without readings has none. Raises InputError when
    there are readings and none of them decides.
    """
    found = sorted(
        (reading for reading in cylinder.readings if cylinder.decides(reading)),
        key=lambda reading: (reading.depth, reading.angle, reading.size),
    )
    if cylinder.readings and not found:
        raise _nothing_decides(cylinder)
    return tuple(found)


def extremes(cylinder: Cylinder) -> tuple[int, int]:
    """Return the smallest and the largest local size that decide (ticks).

    A cylinder given by its finished size has them at that size less and plus its
    half-width. The cylinder's form allowance widens what was read: between readings a local
    size may lie further out. Raises InputError when it has neither readings that decide nor
    that size.
    """
    if not cylinder.readings:
        if cylinder.finished_size is None:
            raise _no_readings(cylinder)
        half_width = cylinder.finished_half_width
        return cylinder.finished_size - half_width, cylinder.finished_size + half_width
    sizes = [reading.size for reading in deciding(cylinder)]
    return min(sizes) - cylinder.form_allowance, max(sizes) + cylinder.form_allowance


def bore_form(cylinder: Cylinder, convention: Convention) -> BoreForm:
    """Return the form of a measured bore.

    By axis: out-of-round is the largest over the depths of largest minus smallest local size at one
    depth; taper is, of the axes' top minus bottom, the one greatest in size, with its sign. "Six
    readings" uses a convention of workshop manuals for both instead (see `six_readings`). Raises
    InputError when no reading decides, or when the convention does not apply to them.
    """
    if not cylinder.readings:
        raise _no_readings(cylinder)
    readings = deciding(cylinder)
    by_depth, by_axis = _depth_forms(readings), _axis_forms(readings)
    out_of_round = max(depth.out_of_round for depth in by_depth)
    taper = max((axis.taper for axis in by_axis), key=abs)
    if convention == "six readings":
        out_of_round, taper = six_readings(cylinder)
    shape, shape_at = name_shape(_profile(readings, by_axis))
    largest = max(readings, key=lambda reading: reading.size)
    smallest = min(readings, key=lambda reading: reading.size)
    reference = _reference(cylinder)
    return BoreForm(
        cylinder=cylinder.name,
        largest=largest.size,
        smallest=smallest.size,
        largest_at=largest,
        smallest_at=smallest,
        out_of_round=out_of_round,
        taper=taper,
        by_depth=by_depth,
        by_axis=by_axis,
        shape=shape,
        shape_at=shape_at,
        reference=reference,
        wear=None if reference is None else largest.size - reference,
        port_excess=_port_excess(cylinder, largest.size),
        readings_deciding=len(readings),
        readings_shown=len(cylinder.readings),
        next_place=next_place(cylinder),
        cautions=tuple(_cautions(cylinder, readings, reference)),
    )


def six_readings(cylinder: Cylinder) -> tuple[int, int]:
    """Return out-of-round and taper (ticks) by the six-reading convention of workshop manuals.

    Two axes are read at the top, the middle and the bottom. Taper is the larger size at the
    top less the larger at the bottom; out-of-round the largest on the first axis less the
    smallest on the second. The convention leaves open which axis is the first; here it is the
    one with the largest local size (the thrust axis when they tie), so that out-of-round is
    never negative. Raises
    InputError unless the readings that decide are two axes at each of three depths.
    """
    readings = deciding(cylinder)
    angles = sorted({reading.angle for reading in readings})
    depths = sorted({reading.depth for reading in readings})
    places = {(reading.depth, reading.angle) for reading in readings}
    if not len(readings) == len(places) == 6 or (len(depths), len(angles)) != (3, 2):
        raise InputError(
            "the six-reading convention does not apply to this bore",
            row=f"cylinder {cylinder.name}",
            field="convention",
            found=f"{len(readings)} deciding readings, {len(depths)} depths, {len(angles)} axes",
            allowed="two axes at each of three depths inside the zone, or convention 'by axis'",
        )
    sizes = {(reading.depth, reading.angle): reading.size for reading in readings}
    lines = [[sizes[depth, angle] for depth in depths] for angle in angles]
    first, second = lines if max(lines[0]) >= max(lines[1]) else reversed(lines)
    out_of_round = max(first) - min(second)
    return out_of_round, max(first[0], second[0]) - max(first[2], second[2])


def sees_no_oval(readings: Iterable[Reading]) -> bool:
    """Tell whether an oval at 45° to the axes read passes unseen: none or all square on."""
    turned = {reading.angle % 90 for reading in readings}
    return len(turned) < 2


def _in_port(cylinder: Cylinder, reading: Reading) -> bool:
    return any(band.holds(reading.depth) for band in cylinder.ports)


def _depth_forms(readings: Iterable[Reading]) -> tuple[DepthForm, ...]:
    sizes: dict[int, list[int]] = defaultdict(list)
    for reading in readings:
        sizes[reading.depth].append(reading.size)
    return tuple(
        DepthForm(depth=depth, out_of_round=high - low, largest=high, smallest=low)
        for depth, low, high in sorted((depth, min(row), max(row)) for depth, row in sizes.items())
    )


def _line(readings: Iterable[Reading], angle: int) -> dict[int, int]:
    """Return one axis as largest size by depth, from the top down."""
    line: dict[int, int] = {}
    for reading in readings:
        if reading.angle == angle:
            line[reading.depth] = max(reading.size, line.get(reading.depth, 0))
    return dict(sorted(line.items()))


def _axis_forms(readings: tuple[Reading, ...]) -> tuple[AxisForm, ...]:
    forms = []
    for angle in sorted({reading.angle for reading in readings}):
        sizes = list(_line(readings, angle).values())
        every = [reading.size for reading in readings if reading.angle == angle]
        forms.append(
            AxisForm(angle=angle, taper=sizes[0] - sizes[-1], spread=max(every) - min(every))
        )
    return tuple(forms)


def _profile(
    readings: tuple[Reading, ...], by_axis: tuple[AxisForm, ...]
) -> tuple[tuple[int, int], ...]:
    """Return depth and size, top to bottom, along the axis with the largest spread."""
    worst = max(by_axis, key=lambda axis: axis.spread)
    return tuple(_line(readings, worst.angle).items())


def _reference(cylinder: Cylinder) -> int | None:
    """Return the unworn size: as stated, else the smallest local size outside zone and ports.

    The smallest local size is used, so that wear is not understated.
    """
    if cylinder.unworn is not None:
        return cylinder.unworn
    outside = (r.size for r in cylinder.outside_zone if not _in_port(cylinder, r))
    return min(outside, default=None)


def _port_excess(cylinder: Cylinder, largest: int) -> int | None:
    ports = [reading.size for reading in cylinder.readings if _in_port(cylinder, reading)]
    return max(ports) - largest if ports else None


def _cautions(
    cylinder: Cylinder, readings: tuple[Reading, ...], reference: int | None
) -> Iterable[str]:
    yield LOBING_CAUTION
    axes: dict[int, set[int]] = defaultdict(set)
    for reading in readings:
        axes[reading.depth].add(reading.angle)
    single = sum(len(angles) == 1 for angles in axes.values())
    if single == len(axes):
        yield "No depth was read on two axes: out-of-round cannot be told."
    elif single:
        yield f"At {single} of {len(axes)} depths only one axis was read."
    if len(axes) < 3:
        yield f"Only {len(axes)} of the depths read decide: too few to see a barrel or a waist."
    yield from _unread_zone(cylinder, list(axes))
    largest = max(reading.size for reading in readings)
    if (_port_excess(cylinder, largest) or 0) > 0:
        yield "Beside a port the bore is larger than anywhere that decides: look at it there."
    if reference is not None and reference > largest:
        yield "The unworn reference is larger than every deciding reading: check both."


def _unread_zone(cylinder: Cylinder, depths: list[int]) -> Iterable[str]:
    zone = cylinder.zone
    if zone is None:
        yield "No zone is given: every depth outside the port bands decides."
        return
    length = zone.bottom - zone.top
    if 4 * (depths[0] - zone.top) > length:
        yield "The top quarter of the zone was not read, where wear is often greatest."
    edges = [zone.top, *depths, zone.bottom]
    if max(2 * (below - above) for above, below in pairwise(edges)) > length:
        yield "More than half of the zone lies between two deciding readings."


def _no_readings(cylinder: Cylinder) -> InputError:
    return InputError(
        "the bore has no readings",
        row=f"cylinder {cylinder.name}",
        field="readings",
        found="none",
        allowed="at least one reading inside the zone, or finished_size",
    )


def _nothing_decides(cylinder: Cylinder) -> InputError:
    depths = sorted({reading.depth for reading in cylinder.readings})
    allowed = "a depth outside the port bands that do not decide"
    if cylinder.zone is not None:
        top, bottom = exact_text(cylinder.zone.top), exact_text(cylinder.zone.bottom)
        allowed = f"a depth from {top} to {bottom} mm, {allowed.removeprefix('a depth ')}"
    return InputError(
        "no reading decides: none lies inside the zone and outside the ports",
        row=f"cylinder {cylinder.name}",
        field="zone",
        found=f"readings at depths {', '.join(map(exact_text, depths))} mm",
        allowed=allowed,
    )
