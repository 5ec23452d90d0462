"""A gauge study: repeatability, differences between people, and their effect on a window.

Equations: docs/gauge_study.md.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, floor, sqrt
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit, exact_text
from fitsolver.metrology.variance import Cells, crossed, one_person
from fitsolver.records.gauge import GaugeReading, GaugeStudy, VarianceRow

#: Width of a process in standard deviations; common practice, from memory.
STUDY_WIDTH: Final = 6
#: Fewer degrees of freedom leave the repeatability itself too unsure (JCGM 100, E.4.3).
FEW_DEGREES: Final = 10
#: A gauge that takes up more of a window is hardly fit to decide on it; from memory.
_LARGE_SHARE: Final = 0.3
NOT_SHOWN: Final = (
    "What the gauge is wrong by alike in every reading does not show in repeats: "
    "add its permissible error to the instrument."
)
_TWO: Final = 2
#: Of studies by so few people: what a guard of 95 % covers on average, and in how many of 100 it
#: covers less than 90 %. From drawn studies, people differing as much as readings scatter
#: (docs/gauge_study.md).
FEW_PEOPLE: Final = {2: (93, 28), 3: (94, 19)}


def study(
    readings: Sequence[GaugeReading],
    window: int | None = None,
    *,
    unit: Unit = "mm",
    name: str = "",
    resolution: int = 0,
    permissible_error: int = 0,
    file: str = "",
) -> GaugeStudy:
    """Return repeatability and reproducibility of a bore gauge from repeated readings.

    `window` is the width of the window to be decided on, in ticks as `resolution`, the step
    read, and `permissible_error`, which repeats cannot show: it only goes into the instrument's
    lines. `name` is that of the gauge, `file` where the readings stand (for messages). One
    person: one-way, bores x repeats, of any number each. Several: two-way crossed with
    interaction, people x bores x repeats, every person each bore equally often. Raises
    InputError where readings are too few, not crossed, or all repeats equal.
    """
    if window is not None and window <= 0:
        raise InputError(
            "a window has a width", file=file, field="window", found=window, allowed="above 0"
        )
    cells = _cells(readings)
    bores, people = _distinct(bore for bore, _ in cells), _distinct(who for _, who in cells)
    _check(cells, bores, people, file)
    table = one_person(cells) if len(people) == 1 else crossed(cells, bores, people)
    gauge = _Gauge(name, resolution, permissible_error, unit)
    if table[-1].sum_of_squares == 0 and not resolution:
        raise InputError(
            "all repeats are equal: the scale is too coarse to show how the gauge repeats",
            file=file,
            field="reading",
            found="no scatter",
            allowed="readings to a finer step, or the gauge's resolution given",
        )
    return _found(readings, bores, people, table, window, gauge)


@dataclass(frozen=True)
class _Gauge:
    name: str
    resolution: int
    permissible_error: int
    unit: Unit


def _cells(readings: Sequence[GaugeReading]) -> Cells:
    """Return the readings by bore and person."""
    cells: Cells = {}
    for one in readings:
        cells.setdefault((one.bore, one.person), []).append(one.reading)
    return cells


def _check(cells: Cells, bores: tuple[str, ...], people: tuple[str, ...], file: str) -> None:
    """Refuse readings that do not permit an analysis of variance."""
    if len(bores) < _TWO:
        raise InputError(
            "a gauge study reads several bores",
            file=file,
            field="bore",
            found=", ".join(bores) or "none",
            allowed="two bores or more, better five",
        )
    most = max(map(len, cells.values()))
    for who in people:
        for bore in bores:
            count = len(cells.get((bore, who), ()))
            if count < _TWO or (len(people) > 1 and count != most):
                by = f", person '{who}'" if who else ""
                raise InputError(
                    "every person reads every bore equally often, twice or more"
                    if len(people) > 1
                    else "every bore is read twice or more",
                    file=file,
                    row=f"bore '{bore}'{by}",
                    field="reading",
                    found=f"{count} reading{'s' * (count != 1)}",
                    allowed=f"{max(most, _TWO)} readings" if len(people) > 1 else "two or more",
                )


def _found(
    readings: Sequence[GaugeReading],
    bores: tuple[str, ...],
    people: tuple[str, ...],
    table: tuple[VarianceRow, ...],
    window: int | None,
    gauge: _Gauge,
) -> GaugeStudy:
    deviation = {row.source: row.deviation for row in table}
    repeatability = deviation["repeats"]
    between = None
    if len(people) > 1:
        between = sqrt(deviation["people"] ** 2 + deviation["bores x people"] ** 2)
    step = gauge.resolution / sqrt(12)
    combined = sqrt(max(repeatability, step) ** 2 + (between or 0) ** 2)
    share, of_repeats, of_people = (
        None if window is None or part is None else STUDY_WIDTH * part / window
        for part in (combined, repeatability, between)
    )
    notes = _notes(table, people, share, step)
    if not gauge.permissible_error:
        notes += (NOT_SHOWN,)
    return GaugeStudy(
        unit=gauge.unit,
        bores=bores,
        people=people,
        readings=len(readings),
        table=table,
        repeatability=repeatability,
        repeatability_degrees=table[-1].degrees,
        reproducibility=between,
        combined=combined,
        bores_deviation=deviation["bores"],
        distinct_sizes=max(1, floor(sqrt(2) * deviation["bores"] / combined)),
        window=window,
        share=share,
        repeatability_share=of_repeats,
        reproducibility_share=of_people,
        notes=notes,
        instrument_lines=_instrument_lines(
            gauge, repeatability, between, _basis(readings, bores, people, table[-1].degrees)
        ),
    )


def _notes(
    table: tuple[VarianceRow, ...], people: tuple[str, ...], share: float | None, step: float
) -> tuple[str, ...]:
    """Return notes that the figures need."""
    notes = [
        f"The variance of {row.source} came out below zero, which is chance, and is set to 0."
        for row in table
        if row.negative
    ]
    repeats = table[-1]
    if repeats.deviation < step:
        notes.append(
            "The readings scatter less than the gauge resolves; its resolution is counted."
        )
    if repeats.degrees < FEW_DEGREES:
        unsure = 100 / sqrt(2 * repeats.degrees)  # JCGM 100, E.4.3: of a standard deviation
        notes.append(
            f"The repeatability rests on {repeats.degrees} degrees of freedom and is itself known "
            f"to about {unsure:.0f} %; read more bores or more often."
        )
    if len(people) == 1:
        notes.append("One person read: what differs between people is not known.")
    elif (known := FEW_PEOPLE.get(len(people))) is not None:
        covered, poor = known
        notes.append(
            f"{len(people)} people read: what differs between people is only roughly known. A "
            f"measuring allowance of 95 % that rests on such a study covers {covered} % on "
            f"average, and less than 90 % in {poor} of 100 such studies."
        )
    if share is not None and share > _LARGE_SHARE:
        notes.append(
            f"Six standard deviations take up {100 * share:.0f} % of the window; "
            "above 30 % a gauge is hardly fit to decide on it (common practice, from memory)."
        )
    return tuple(notes)


def _basis(
    readings: Sequence[GaugeReading], bores: tuple[str, ...], people: tuple[str, ...], degrees: int
) -> str:
    who = "1 person" if len(people) == 1 else f"{len(people)} people"
    return f"{len(readings)} readings of {len(bores)} bores by {who}, {degrees} degrees"


def _instrument_lines(
    gauge: _Gauge, repeatability: float, between: float | None, basis: str
) -> str:
    """Return an [[instrument]] section (docs/formats.md), figures rounded up to a tick.

    A person's offset is the same in all readings of that person. It is therefore a separate figure,
    which repeats do not reduce.
    """
    error, calibration = gauge.permissible_error, "no calibration"
    if error:
        calibration = f"error {_um(error)}"
    figures = {
        "permissible_error": error,
        "resolution": gauge.resolution,
        "repeatability": repeatability,
        "reproducibility": between or 0,
    }
    lines = ["[[instrument]]", 'kind = "bore gauge"']
    if gauge.name:
        lines.append(f"name = {_quoted(gauge.name)}")
    lines += [f"{key} = {_quoted(_um(value))}" for key, value in figures.items() if value]
    return "\n".join([*lines, f"basis = {_quoted(f'{basis}; {calibration}')}", ""])


def _um(ticks: float) -> str:
    return f"{exact_text(ceil(ticks), 'um')} um"


def _quoted(text: str) -> str:
    """Return a TOML basic string; JSON's escapes are among TOML's, but it leaves DEL alone."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _distinct(names: Iterable[str]) -> tuple[str, ...]:
    """Return names once each, in the order in which they come first."""
    return tuple(dict.fromkeys(names))
