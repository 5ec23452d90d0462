"""The entries of one cylinder as visits: arrival, work, departure, wear."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from math import hypot
from typing import Any, NamedTuple

from fitsolver.base.lengths import format_length
from fitsolver.base.version import __version__
from fitsolver.book.verifying import Damages
from fitsolver.book.wear import earlier_records
from fitsolver.metrology.wear import cautions as wear_cautions
from fitsolver.metrology.wear import wear_estimate
from fitsolver.records.book import BookEntry, BookKind, BookLine, HistoryAnswer, Visit


class _Dated(NamedTuple):
    """What an entry says of the cylinder, and its day."""

    day: dt.date
    line: BookLine


def history(
    marking: str, entries: list[BookEntry], damages: Damages | None = None
) -> HistoryAnswer:
    """Return all visits of a cylinder, oldest first, from its valid entries in order.

    If a damaged entry may belong to the cylinder, a visit shows the arrival only. Work, departure
    and wear could be wrong without the missing entry.
    """
    damages = damages or Damages()
    groups: dict[str, list[BookEntry]] = {}
    for entry in entries:
        groups.setdefault(entry.job or entry.key, []).append(entry)
    visits = [_visit(marking, group) for group in groups.values()]
    visits.sort(key=lambda visit: (visit.date, visit.key))
    visits = list(map(_came_in_alone, visits) if damages.touched else _with_wear(visits))
    lines = [_line(entry, marking) for entry in reversed(entries)]
    return HistoryAnswer(
        program_version=__version__,
        marking=marking,
        family=next((line.family for line in lines if line.family), None),
        material=next((line.material for line in lines if line.material), ""),
        unit=entries[-1].unit if entries else "mm",
        visits=tuple(visits),
        wear=wear_estimate(earlier_records(visits)),
        cautions=(*map(str, damages), *_cautions(visits, entries, damages)),
    )


def _came_in_alone(visit: Visit) -> Visit:
    kept = ("date", "key", "title", *(name for name in Visit.model_fields if "found" in name))
    return Visit(**{name: getattr(visit, name) for name in kept})


def _line(entry: BookEntry, marking: str) -> BookLine:
    return next(line for line in entry.lines if line.marking == marking)


def _visit(marking: str, entries: list[BookEntry]) -> Visit:
    """Return the visit made of one job's entries; the later of two of a kind counts."""
    lines: dict[BookKind, list[_Dated]] = {}
    for entry in entries:
        lines.setdefault(entry.kind, []).append(_Dated(entry.date, _line(entry, marking)))
    first = entries[0]
    visit: dict[str, Any] = {
        "date": first.date,
        "key": first.job or first.key,
        "title": next((entry.title for entry in entries if entry.title), ""),
        "passes": len(lines.get("pass", ())),
    }
    if "job" in lines:
        visit |= _came_in(lines["job"][-1].line)
    if "final" in lines:
        visit["holds"] = lines["final"][-1].line.passes
    for kind, as_what in (("fitted", "fitted"), ("final", "checked"), ("job", "planned")):
        if kind in lines and (parts := lines[kind][-1].line.parts) is not None:
            visit |= {"parts": parts, "parts_as": as_what}
            break
    return Visit(**visit | _left(lines))


def _came_in(line: BookLine) -> dict[str, Any]:
    return {
        "found_smallest": line.smallest,
        "found_largest": line.largest,
        "found_uncertainty": line.uncertainty,
        "route": line.route,
        "planned_low": line.bore_low,
        "planned_high": line.bore_high,
    }


def _left(lines: dict[BookKind, list[_Dated]]) -> dict[str, Any]:
    """Return the bore at departure: as last checked, else as last read, else as it came."""
    job = lines["job"][-1] if "job" in lines else None
    read = [item for item in lines.get("pass", ()) if item.line.largest is not None]
    if "final" in lines:
        last, by = lines["final"][-1], "final check"
    elif read:
        last, by = read[-1], "last pass"
    elif job is not None and job.line.machined is False:
        last, by = job, "not cut"
    else:
        return {}
    # A pass is read with the gauge that read the bore when it came in.
    known = job.line if job is not None and by == "last pass" else last.line
    return {
        "left_smallest": last.line.smallest,
        "left_largest": last.line.largest,
        "left_uncertainty": known.uncertainty,
        "left_by": by,
        "left_on": last.day,
    }


def _with_wear(visits: Iterable[Visit]) -> Iterator[Visit]:
    before: Visit | None = None
    for visit in visits:
        left = None if before is None else before.left_largest
        if before is None or left is None or visit.found_largest is None:
            yield visit
        else:
            errors = (before.left_uncertainty, visit.found_uncertainty)
            known = [error for error in errors if error is not None]
            yield visit.model_copy(
                update={
                    "wear": visit.found_largest - left,
                    "wear_uncertainty": hypot(*known) if len(known) == len(errors) else None,
                }
            )
        before = visit


def _cautions(visits: list[Visit], entries: list[BookEntry], damages: Damages) -> Iterator[str]:
    if damages.touched:
        yield (
            "What was done, how the bore left and its wear are not told: a damaged entry may be "
            "of this cylinder."
        )
        return
    for visit in visits[:-1]:
        if visit.left_largest is None:
            yield (
                f"Nothing tells how large the bore of {visit.date} was when it left: the wear "
                "after it is not known. A final check or a last reading at the hone would tell."
            )
    if (told := wear_estimate(earlier_records(visits))) is not None:
        yield from wear_cautions(told)
    for visit in visits:
        if visit.wear is not None and visit.wear < 0:
            smaller = format_length(-visit.wear, entries[-1].unit, symbol=True)
            yield (
                f"On {visit.date} the bore came in {smaller} smaller than it had left: a new liner "
                "or plating, another cylinder, or a wrong reading."
            )
