"""A job or its parts with one figure changed by whole ticks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fitsolver.choices.parts import Shelf
from fitsolver.metrology.form import bore_form
from fitsolver.records.base import Range
from fitsolver.records.firm import Narrowed
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.windows import Window


def grown(job: Job, cylinder: Cylinder, more: int) -> Cylinder:
    """Return the cylinder with its largest deciding reading changed (ticks, signed)."""
    if not cylinder.readings:
        return cylinder.model_copy(update={"finished_size": (cylinder.finished_size or 0) + more})
    largest = bore_form(cylinder, job.convention).largest_at
    place = cylinder.readings.index(largest)
    readings = list(cylinder.readings)
    readings[place] = largest.model_copy(update={"size": largest.size + more})
    return cylinder.model_copy(update={"readings": tuple(readings)})


def narrowed(job: Job, window: Window, side: str, of_kept: bool, more: int) -> Job:
    """Return the job with one edge of a window moved inwards, in every cylinder it holds for."""

    def changed(windows: Sequence[Window]) -> tuple[Window, ...]:
        return tuple(
            Narrowed.model_construct(
                **{name: getattr(each, name) for name in Window.model_fields},
                raised=more if side == "low" else 0,
                lowered=more if side == "high" else 0,
                of_kept=of_kept,
            )
            if each.model_copy(update={"guard": 0}) == window
            else each
            for each in windows
        )

    cylinders = tuple(
        cylinder.model_copy(update={"windows": changed(cylinder.windows)})
        for cylinder in job.cylinders
    )
    return job.model_copy(update={"windows": changed(job.windows), "cylinders": cylinders})


def widened(parts: Shelf, key: tuple[str, str], more: int) -> Shelf:
    """Return the shelf with one piston's skirt range widened on both sides."""
    return replace(
        parts,
        pistons=tuple(
            replace(p, skirt=Range(low=p.skirt.low - more, high=p.skirt.high + more))
            if p.key == key
            else p
            for p in parts.pistons
        ),
    )
