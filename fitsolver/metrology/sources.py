"""Independent sources of error of one job, each made once so that it correlates with itself.

A source is a variable of the `uncertainties` package with mean 0; every quantity computed from it
carries it along. The package is imported only if a job states how it was measured.
"""

from __future__ import annotations

from math import pi, sqrt
from typing import TYPE_CHECKING, Final, NamedTuple, TypeAlias

from fitsolver.records.budget import DistributionName, EvaluationType
from fitsolver.records.measuring import Instrument

if TYPE_CHECKING:
    from uncertainties.core import AffineScalarFunc, Variable

    Error: TypeAlias = AffineScalarFunc
    Term: TypeAlias = AffineScalarFunc | float

PI: Final = pi
_HALF_WIDTHS: Final = sqrt(3)  # half-width over standard uncertainty, rectangular: JCGM 100 4.3.7
_FULL_WIDTHS: Final = sqrt(12)


class Fact(NamedTuple):
    """A budget's entry for a source; `cause` is the thing to improve for all its uses."""

    name: str
    distribution: DistributionName
    evaluation: EvaluationType
    cause: str


class Sources:
    """The independent sources of one job, by name and by what they belong to."""

    def __init__(self) -> None:
        self._made: dict[tuple[str, str], Variable] = {}
        self._facts: dict[Variable, Fact] = {}

    def fact(self, source: Variable) -> Fact:
        """Return the budget's facts about a source of this job."""
        return self._facts[source]

    def normal(
        self,
        name: str,
        standard: float,
        *,
        of: str = "",
        evaluation: EvaluationType = "B",
        cause: str = "",
    ) -> Term:
        """Return the source of that name and owner with a standard uncertainty; 0 without one."""
        return self._source(standard, of, Fact(name, "normal", evaluation, cause or name))

    def rectangular(self, name: str, half_width: float, *, of: str = "", cause: str = "") -> Term:
        """Return a source spread evenly over plus and minus `half_width`: `w / sqrt(3)`."""
        fact = Fact(name, "rectangular", "B", cause or name)
        return self._source(half_width / _HALF_WIDTHS, of, fact)

    def step(self, name: str, width: float, *, of: str = "", cause: str = "") -> Term:
        """Return the source of rounding to steps of `width` (a resolution r): `r / sqrt(12)`."""
        fact = Fact(name, "rectangular", "B", cause or name)
        return self._source(width / _FULL_WIDTHS, of, fact)

    def calibration(self, name: str, instrument: Instrument | None) -> Term:
        """Return the calibration error of an instrument: its standard uncertainty, otherwise its
        permissible error.

        One source for the whole job: the instrument errs alike wherever it is used.
        """
        if instrument is None:
            return 0.0
        if instrument.standard_uncertainty is not None:
            return self.normal(name, instrument.standard_uncertainty)
        return self.rectangular(name, instrument.permissible_error or 0)

    def _source(self, standard: float, of: str, fact: Fact) -> Term:
        from uncertainties import ufloat

        if standard < 0:
            raise ValueError(f"a standard uncertainty cannot be negative; found: {standard}")
        if standard == 0:
            return 0.0
        found = self._made.get((fact.name, of))
        if found is None:
            found = self._made[fact.name, of] = ufloat(0.0, standard, tag=fact.name)
            self._facts[found] = fact
        return found


def as_error(value: Term) -> Error:
    """Return a quantity less its nominal value: an error of mean 0 with the same sources."""
    from uncertainties.core import AffineScalarFunc, LinearCombination

    if isinstance(value, AffineScalarFunc):
        return value - value.nominal_value
    return AffineScalarFunc(0.0, LinearCombination({}))


def standard(error: Error) -> float:
    """Return the standard uncertainty of an error (ticks)."""
    return float(error.std_dev)
