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

from fitsolver.metrology.repeats import decided_by, repeats_of
from fitsolver.metrology.sources import PI, Fact, Sources, as_error
from fitsolver.metrology.spread import (
    FORM_FIGURES,
    FormErrors,
    Spread,
    clearance_spread,
    difference_spread,
    gap_spread,
    seat_spread,
    tried_spread,
)
from fitsolver.metrology.temperature import (
    bore_expansion,
    instrument_expansion,
    size_at_20,
    standard_kind,
    temperatures_of,
)
from fitsolver.metrology.whole_bore import Scatter, WholeBore, whole_bore
from fitsolver.records.base import FitName
from fitsolver.records.budget import Budget, Contribution
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.measuring import REFERENCE, STEEL, InstrumentKind, Measuring, Temperatures
from fitsolver.records.plan import OddsOf

if TYPE_CHECKING:
    from fitsolver.metrology.sources import Error, Term

_SCATTER: Final = "bore gauge repeatability"
BETWEEN: Final = "bore between its readings"
COVERAGE: Final = 2.0  # JCGM 100:2008, 6.3: about 95 %
_PER_KELVIN: Final = 1e-9
_DEGREE: Final = 1e-3
_CALLED: Final[dict[InstrumentKind, str]] = {
    "outside micrometer": "micrometer",
    "bore gauge": "bore gauge",
    "setting master": "master",
    "feeler gauge": "feeler gauge",
}

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
    reader = _Reader(job, measuring, cylinder, sources)
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
    return _Reader(job, job.measuring or Measuring(), cylinder, Sources()).scatter()


def whole_of(job: Job, cylinder: Cylinder) -> WholeBore | None:
    """Return the sample of the whole bore from its readings; see `whole_bore`."""
    return _Reader(job, job.measuring or Measuring(), cylinder, Sources()).whole("whole bore")


class _Reader:
    """The uncertainty of one cylinder's readings."""

    def __init__(
        self, job: Job, measuring: Measuring, cylinder: Cylinder, sources: Sources
    ) -> None:
        self.job, self.measuring, self.cylinder, self.sources = job, measuring, cylinder, sources
        self.at: Temperatures = temperatures_of(job, cylinder)
        self.gauge = measuring.instrument("bore gauge")
        self.repeats = repeats_of(job)
        self.own = f"cylinder {cylinder.name}"
        #: Cylinders measured at temperatures of their own had a thermometer reading of their own.
        self.thermometer = self.own if cylinder.temperatures is not None else ""

    def whole(self, over: OddsOf) -> WholeBore | None:
        """Return what the readings tell of the bore."""
        return whole_bore(self.job, self.cylinder, self.scatter(), over)

    def scatter(self) -> Scatter:
        """Return the scatter of one reading of the dial."""
        one = standard(as_error(self._dial_repeatability(1)))
        return Scatter(one, standard(as_error(self._dial_step(self.own))))

    def form_parts(self, known: WholeBore) -> list[Error]:
        """Return independent errors of standard uncertainty 1, one for each figure of the form.

        Each is made of the scatter and the step of a reading and, for what the largest size is
        less certain than one reading, of what lies between the readings.
        """
        parts = []
        for index in range(len(FORM_FIGURES)):
            of = f"{self.own}, form {index}"
            read = self._dial_repeatability(1, of=of) + self._dial_step(of)
            share = known.read_share
            rest = self.sources.normal(BETWEEN, sqrt(1 - share), of=of)
            width = standard(as_error(read))
            parts.append(as_error(rest + (read * (sqrt(share) / width) if width else 0.0)))
        return parts

    def other_bore(self, groove: int, size: int) -> Error:
        """Return the error of another bore, in which a ring's gap was measured: read once."""
        return self.bore(size, 1, of=f"{self.own}, bore of the gap in groove {groove}")

    def bore(self, size: int, readings: int | None, *, of: str = "") -> Error:
        """Return the error of the bore's size, from the standard and the dial.

        `readings` is the number of repeats (None: that of the deciding reading; 0: without the
        reading's own error).
        """
        at, kind, of = self.at, standard_kind(self.job), of or self.own
        standard, part = instrument_expansion(self.job, kind), self._bore_expansion()
        grown = size * _growth(part, at.bore)
        zero = self.cylinder.zero
        length = grown / _growth(standard, at.standard) if zero is None else float(zero.size)
        dial = grown - length * _growth(standard, at.standard)
        return as_error(
            size_at_20(
                length + self._setting(of),
                dial + self._dial(readings, of),
                standard_expansion=self._expansion(_CALLED[kind], standard, at.standard),
                standard_temperature=self._temperature(_CALLED[kind], at.standard),
                part_expansion=self._expansion(f"bore ({self.cylinder.material})", part, at.bore),
                part_temperature=self._temperature("bore", at.bore),
            )
        )

    def piston(self, size: int, expansion: int) -> Error:
        """Return the error of the skirt size read with the micrometer."""
        at, own = self.at, instrument_expansion(self.job, "outside micrometer")
        read = size * _growth(expansion, at.piston) / _growth(own, at.micrometer)
        error = self._calibration("outside micrometer") + self._one_reading(
            "outside micrometer", "on the piston", self.own
        )
        return as_error(
            size_at_20(
                read + error,
                0.0,
                standard_expansion=self._expansion("micrometer", own, at.micrometer),
                standard_temperature=self._temperature("micrometer", at.micrometer),
                part_expansion=self._expansion("piston", expansion, at.piston),
                part_temperature=self._temperature("piston", at.piston),
            )
        )

    def two_readings(self, what: str) -> Error:
        """Return the error of the difference between two readings of the bore gauge."""
        total: Term = 0.0
        for which in ("first", "second"):
            of = f"{self.own}, {what}, {which}"
            total = total + self._dial_step(of) + self._dial_repeatability(1, of=of)
        return as_error(total)

    def blades(self, groove: int, width: int | None) -> Term:
        """Return the error of a gap measured with feeler blades; none when it was not."""
        if width is None:
            return 0.0
        of = f"{self.own}, groove {groove}"
        between = self.sources.rectangular("between two feeler blades", width / 2, of=of)
        feeler = self.measuring.instrument("feeler gauge")
        if feeler is None:
            return between
        repeats = self.sources.normal("feeler gauge repeatability", feeler.repeatability, of=of)
        return between + repeats + self._calibration("feeler gauge")

    def _setting(self, owner: str) -> Term:
        """Return the error of the standard: its calibration, and setting the gauge in it.

        The dial is turned to zero at one turning point: it scatters there as in the bore, and
        zero is set no finer than it is read.
        """
        kind, of = standard_kind(self.job), f"{owner}, setting"
        standard = self._calibration(kind) + self._one_reading(kind, "setting the gauge", owner)
        return standard + self._dial_step(of) + self._dial_repeatability(1, of=of)

    def _calibration(self, kind: InstrumentKind) -> Term:
        instrument = self.measuring.instrument(kind)
        return self.sources.calibration(f"{_CALLED[kind]} calibration", instrument)

    def _one_reading(self, kind: InstrumentKind, act: str, of: str) -> Term:
        instrument, name = self.measuring.instrument(kind), _CALLED[kind]
        if instrument is None:
            return 0.0
        step, scatter = f"{name} resolution", f"{name} repeatability"
        resolution = self.sources.step(f"{step}, {act}", instrument.resolution, of=of, cause=step)
        return resolution + self.sources.normal(
            f"{scatter}, {act}", instrument.repeatability, of=of, cause=scatter
        )

    def _dial(self, readings: int | None, of: str) -> Term:
        calibration = self._calibration("bore gauge") + self._person()
        if readings == 0:
            return calibration
        return calibration + self._dial_step(of) + self._dial_repeatability(readings, of=of)

    def _person(self) -> Term:
        """Return the offset of the person who read the cylinder: one source for all readings of
        that person.
        """
        who = self.cylinder.read_by or self.measuring.read_by
        width = 0 if self.gauge is None else self.gauge.reproducibility
        name = f"{who}'s own way of reading" if who else "between people"
        return self.sources.normal(name, width, of=who, cause="bore gauge reproducibility")

    def _dial_step(self, of: str) -> Term:
        """Return the error of one reading of the dial from its resolution."""
        width = 0 if self.gauge is None else self.gauge.resolution
        return self.sources.step("bore gauge resolution", width, of=of)

    def _dial_repeatability(self, readings: int | None, *, of: str = "") -> Term:
        """Return the scatter of the gauge over a number of readings (None: as many as decided)."""
        observed = self.repeats
        if readings is None:
            anew = observed is None or observed.anew
            readings = decided_by(self.cylinder) if anew else 1
        owner = of or self.own
        if observed is not None and observed.anew:
            name = f"bore gauge repeatability ({observed.readings} repeated readings)"
            spread = observed.scatter / sqrt(readings)
            return self.sources.normal(name, spread, of=owner, evaluation="A", cause=_SCATTER)
        own = 0 if self.gauge is None else self.gauge.repeatability
        return self.sources.normal(_SCATTER, own / sqrt(readings), of=owner)

    def _bore_expansion(self) -> int:
        at = self.at
        if at.bore == REFERENCE and at.uncertainty == 0:
            return STEEL  # of no effect: an unknown material is no matter then
        return bore_expansion(self.job, self.cylinder)

    def _temperature(self, name: str, value: int) -> Term:
        half_width = self.at.uncertainty * _DEGREE
        source = self.sources.rectangular(
            f"{name} temperature", half_width, of=self.thermometer, cause="temperatures"
        )
        return value * _DEGREE + source

    def _expansion(self, name: str, value: int, temperature: int) -> Term:
        nominal, share = value * _PER_KELVIN, self.at.expansion_share / 1000
        if temperature == REFERENCE:
            return nominal  # at 20 °C it has no effect, however little is known of it
        # One source for every cylinder of this material, as far as it is known equally well.
        return nominal + self.sources.rectangular(
            f"expansion of the {name}", nominal * share, of=f"{value}, {share}", cause="expansions"
        )


def standard(error: Error) -> float:
    """Return the standard uncertainty of an error (ticks)."""
    return float(error.std_dev)


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


def _growth(expansion: int, temperature: int) -> float:
    return 1 + expansion * (temperature - REFERENCE) * _PER_KELVIN * _DEGREE
