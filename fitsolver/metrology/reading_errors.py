"""The errors of one cylinder's readings, by their sources (JCGM 100:2008, first order)."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING, Final

from fitsolver.metrology.repeats import decided_by, repeats_of
from fitsolver.metrology.sources import Sources, as_error, standard
from fitsolver.metrology.temperature import (
    bore_expansion,
    instrument_expansion,
    size_at_20,
    standard_kind,
    temperatures_of,
)
from fitsolver.metrology.whole_bore import FORM_FIGURES, Scatter, WholeBore, whole_bore
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.measuring import REFERENCE, STEEL, InstrumentKind, Measuring, Temperatures
from fitsolver.records.plan import OddsOf

if TYPE_CHECKING:
    from fitsolver.metrology.sources import Error, Term

_SCATTER: Final = "bore gauge repeatability"
_BETWEEN: Final = "bore between its readings"
_PER_KELVIN: Final = 1e-9
_DEGREE: Final = 1e-3
_CALLED: Final[dict[InstrumentKind, str]] = {
    "outside micrometer": "micrometer",
    "bore gauge": "bore gauge",
    "setting master": "master",
    "feeler gauge": "feeler gauge",
}


class Reader:
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
            rest = self.sources.normal(_BETWEEN, sqrt(1 - share), of=of)
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


def _growth(expansion: int, temperature: int) -> float:
    return 1 + expansion * (temperature - REFERENCE) * _PER_KELVIN * _DEGREE
