"""Errors of the fits of a cylinder, from the independent sources of how it was measured.

JCGM 100:2008, first order, through the `uncertainties` package: bore and piston are computed
by `size_at_20` from quantities that carry their sources, so what they share (the micrometer
that measured the piston and set the gauge) cancels in the clearance by itself.

An error is true value minus estimate, in ticks, with mean 0.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import fsum, sqrt
from typing import TYPE_CHECKING, Final, NamedTuple, TypeAlias

from fitsolver.metrology.reading_errors import Reader
from fitsolver.metrology.sources import PI, Fact, Sources, as_error
from fitsolver.metrology.spread import (
    FormErrors,
    Spread,
    clearance_spread,
    difference_spread,
    gap_spread,
    seat_spread,
    tried_spread,
)
from fitsolver.metrology.whole_bore import Scatter, WholeBore
from fitsolver.records.base import FitName
from fitsolver.records.budget import Budget, Contribution
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.measuring import Measuring
from fitsolver.records.plan import OddsOf

if TYPE_CHECKING:
    from fitsolver.metrology.sources import Error

COVERAGE: Final = 2.0  # JCGM 100:2008, 6.3: about 95 %
FitErrors: TypeAlias = "dict[tuple[FitName, int | None], Error]"
FitSpreads: TypeAlias = "dict[tuple[FitName, int | None], Spread]"


class TriedGap(NamedTuple):
    """Where the end gap of a ring was measured: a bore's size (ticks), and whether it was this one.

    In this bore, left as it is, the gap is what was measured: the bore's own error has no part in
    it. In another bore, read with the same gauge, the errors of both bores have.
    """

    bore: int
    here: bool


def errors_of(spreads: FitSpreads) -> FitErrors:
    """Return the error of every fit by its instruments alone, without what its form adds."""
    return {key: spread.error for key, spread in spreads.items()}


def fit_spreads(  # noqa: PLR0913 - each changes the error by itself
    job: Job,
    cylinder: Cylinder,
    *,
    bore: int,
    piston: int,
    piston_measured: bool,
    piston_expansion: int,
    sources: Sources,
    machined: bool = False,
    gaps: Mapping[int, int | None] | None = None,
    tried: Mapping[int, TriedGap] | None = None,
    over: OddsOf | None = "whole bore",
) -> FitSpreads:
    """Return the spread (ticks) of every fit of a cylinder that depends on a measurement.

    `bore` and `piston` are sizes at 20 °C (ticks), `piston_expansion` 10**-9 per kelvin. A
    piston that was not measured has no error: its tolerance is a range. A `machined` bore
    will be read once, and keeps to the half-width of its route; one left as it is has what its
    readings tell of its form, `over` the whole bore or the places read (None: nothing is told).
    `gaps` names the grooves that hold a ring, with how far the two blades between which its gap
    was measured lie apart (0 where these are the ends of the fit's range already), None where
    the gap is the maker's; `tried` says where a measured gap was measured.

    clearance D - P; end_gap pi e_D and ring_seat -e_D per groove, D there the mean circle of a
    depth; out_of_round and taper, two readings of one gauge, in which setting, calibration and
    temperature cancel.
    """
    measuring = job.measuring or Measuring()
    reader = Reader(job, measuring, cylinder, sources)
    known = None if machined or over is None else reader.whole(over)
    readings = 1 if machined else None
    bore_error = reader.bore(bore, readings) if known is None else reader.bore(bore, 0)
    piston_error = reader.piston(piston, piston_expansion) if piston_measured else as_error(0.0)
    form = None if known is None else FormErrors(known, reader.form_parts(known))
    found: FitSpreads = {("clearance", None): clearance_spread(bore_error - piston_error, form)}
    for groove, width in (gaps or {}).items():
        blades, where = reader.blades(groove, width), (tried or {}).get(groove)
        if where is not None and where.here:
            found["end_gap", groove] = tried_spread(as_error(blades), form, where.bore)
        else:
            other = 0.0 if where is None else reader.other_bore(groove, where.bore)
            found["end_gap", groove] = gap_spread(PI * (bore_error - other) + blades, form)
        found["ring_seat", groove] = seat_spread(-bore_error, form)
    of_form: tuple[tuple[FitName, str], ...] = (
        ("out_of_round", "out-of-round"),
        ("taper", "taper"),
    )
    for fit, words in of_form:
        found[fit, None] = difference_spread(fit, reader.two_readings(words), form)
    return found


def gauge_scatter(job: Job, cylinder: Cylinder) -> Scatter:
    """Return the scatter of one reading of a job's bore gauge (ticks)."""
    return Reader(job, job.measuring or Measuring(), cylinder, Sources()).scatter()


def whole_of(job: Job, cylinder: Cylinder) -> WholeBore | None:
    """Return the sample of the whole bore from its readings; see `whole_bore`."""
    return Reader(job, job.measuring or Measuring(), cylinder, Sources()).whole("whole bore")


def covariance(errors: Sequence[Error]) -> list[list[float]]:
    """Return the covariances of errors (square ticks), each with each, in their order."""
    from uncertainties import covariance_matrix

    return [[float(cell) for cell in row] for row in covariance_matrix(list(errors))]


def budget(
    error: Error,
    *,
    cylinder: str,
    fit: FitName,
    groove: int | None = None,
    guard: int = 0,
    sources: Sources,
) -> Budget:
    """Return the budget of one fit: its contributions, the largest first, shares summing to 1.

    What enters twice under one name (two readings of one gauge) is one contribution; what
    enters on both sides and cancels is listed with nothing. The `improvement` is the cause
    whose halving lowers the combined uncertainty most: the largest over all its contributions,
    for one instrument is bettered in all its uses. `guard` (ticks) is shown as given.
    """
    squares: dict[Fact, float] = {}
    causes: dict[str, float] = {}
    for source, part in error.error_components().items():
        fact = sources.fact(source)
        squares[fact] = squares.get(fact, 0.0) + part * part
        causes[fact.cause] = causes.get(fact.cause, 0.0) + part * part
    total = fsum(squares.values())
    rows = [
        Contribution(
            name=fact.name,
            distribution=fact.distribution,
            evaluation=fact.evaluation,
            standard=sqrt(square),
            share=square / total if total else 0.0,
        )
        for fact, square in sorted(squares.items(), key=lambda item: (-item[1], item[0].name))
    ]
    return Budget(
        cylinder=cylinder,
        fit=fit,
        groove=groove,
        contributions=tuple(rows),
        combined=sqrt(total),
        expanded=COVERAGE * sqrt(total),
        coverage=COVERAGE,
        guard=guard,
        improvement=max(causes, key=lambda cause: (causes[cause], cause)) if total else "",
    )
