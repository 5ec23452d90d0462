"""The spread of a fit: instrument error, and the bore between its readings.

A fit takes a range of values over its bore, from that of the smallest to that of the largest local
size. Both ends share the error of the instruments; each end adds its own part from the form.
Lengths are ticks.
"""

from __future__ import annotations

from math import ceil, floor, sqrt
from typing import TYPE_CHECKING, Final, NamedTuple

from fitsolver.metrology.conformity import normal_quantile, probability_between
from fitsolver.metrology.joint import normal_table
from fitsolver.metrology.sources import PI, as_error
from fitsolver.metrology.whole_bore import FORM_FIGURES, WholeBore
from fitsolver.records.base import FitName

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from fitsolver.metrology.bore_parts import Floats
    from fitsolver.metrology.sources import Error, Term

Interval = tuple[float, float]
#: Standard deviations by which a sample without an error of instruments is smoothed.
SMOOTHING: Final = 0.2


class FormErrors:
    """The figures of a form as errors that carry their correlation (JCGM 100:2008, 5.2)."""

    def __init__(self, known: WholeBore, parts: Sequence[Error]) -> None:
        import numpy as np

        self.known = known
        self.values = {name: getattr(known.sample, name) for name in FORM_FIGURES}
        rows = np.array([v - known.mean(v) for v in self.values.values()])
        covariance = (rows * known.sample.weights) @ rows.T
        variances, directions = np.linalg.eigh(covariance)
        root = directions * np.sqrt(np.maximum(variances, 0.0))
        self._errors = {
            name: _sum(zip(row, parts, strict=True))
            for name, row in zip(FORM_FIGURES, root.tolist(), strict=True)
        }

    def error(self, name: str) -> Error:
        """Return the error of a figure about its mean over the sample."""
        return self._errors[name]


def _sum(terms: Iterable[tuple[float, Error]]) -> Error:
    total: Term = 0.0
    for factor, part in terms:
        total = total + factor * part
    return as_error(total)


class End(NamedTuple):
    """One end of a fit's range: its whole error, and its offset from the readings."""

    error: Error
    beyond: Floats


class Spread(NamedTuple):
    """The spread of a fit. `error` is common to both ends.

    For a bore of known form, `low` and `high` are the ends, with the `weights` of their sample. A
    difference of sizes is never below 0.
    """

    error: Error
    low: End | None = None
    high: End | None = None
    weights: Floats | None = None
    is_difference: bool = False

    @property
    def most(self) -> Error:
        """The whole error of the highest value of the fit."""
        return self.error if self.high is None else self.high.error

    def deviation(self, *, high: bool) -> float:
        """Return the standard uncertainty of the value at one end of the range."""
        end = self.high if high else self.low
        return float((self.error if end is None else end.error).std_dev)

    def beyond(self, *, high: bool) -> float | None:
        """Return the expected offset of an end from the readings; None if the form is not known."""
        end = self.high if high else self.low
        if end is None or self.weights is None:
            return None
        return float((end.beyond * self.weights).sum())

    def within(self, low: float, high: float) -> float:
        """Return the probability that both ends conform.

        The lowest value read lies `-low` above the lower edge, the highest `high` below the
        upper one, as in `conformity.error_interval`.
        """
        if self.low is None or self.high is None or self.weights is None:
            return probability_between(low, high, float(self.error.std_dev))
        import numpy as np

        u = self._own()
        above, below = (high - self.high.beyond) / u, (low - self.low.beyond) / u
        z, p = normal_table()
        each = np.maximum(0.0, np.interp(above, z, p) - np.interp(below, z, p))
        return min(1.0, float((self.weights * each).sum()))

    def _own(self) -> float:
        """Return the standard uncertainty common to both ends, or the smoothing of the sample."""
        form = max(
            sqrt(max(0.0, self.deviation(high=high) ** 2 - float(self.error.std_dev) ** 2))
            for high in (False, True)
        )
        return max(float(self.error.std_dev), SMOOTHING * form, 1e-9)

    def bounded(self, low: float, high: float) -> list[tuple[Interval, Error]]:
        """Return intervals of errors that hold where both ends conform, for the joint probability.

        For a bore of known form each end has its own interval, with the end's probability under a
        normal distribution.
        """
        if self.low is None or self.high is None:
            return [((low, high), self.error)]
        infinite = float("inf")
        found: list[tuple[Interval, Error]] = []
        if high < infinite:
            edge = normal_quantile(self.within(-infinite, high)) * self.deviation(high=True)
            found.append(((-infinite, edge), self.high.error))
        if low > -infinite:
            edge = -normal_quantile(self.within(low, infinite)) * self.deviation(high=False)
            found.append(((edge, infinite), self.low.error))
        return found


def clearance_spread(error: Error, form: FormErrors | None) -> Spread:
    """Bore less piston: at the smallest and at the largest local size."""
    return _of(error, form, "smallest", "largest")


def gap_spread(error: Error, form: FormErrors | None) -> Spread:
    """A gap known in another bore: it follows the circumference, a mean over the angles."""
    return _of(error, form, "circle_smallest", "circle_largest", PI)


def seat_spread(error: Error, form: FormErrors | None) -> Spread:
    """Ring over bore: the largest where the circumference is smallest."""
    return _of(error, form, "circle_largest", "circle_smallest", -1.0)


def tried_spread(error: Error, form: FormErrors | None, bore: int) -> Spread:
    """A gap tried in this bore: it varies as its circumference does, from the mean of its depths.

    The range of the fit reckons from `bore` (ticks) to the smallest and largest local size: that
    is taken off again.
    """
    if form is None:
        return Spread(error)
    known, values = form.known, form.values
    width = known.read.high - known.read.low
    circle, mean = values["circle"], form.error("circle")
    low = PI * (values["circle_smallest"] - width - circle) - floor(PI * (known.read.low - bore))
    high = PI * (values["circle_largest"] - circle) - ceil(PI * (known.read.high - bore))
    return Spread(
        error,
        End(as_error(error + PI * (form.error("circle_smallest") - mean)), low),
        End(as_error(error + PI * (form.error("circle_largest") - mean)), high),
        known.sample.weights,
    )


def difference_spread(fit: FitName, error: Error, form: FormErrors | None) -> Spread:
    """Out-of-round or taper, never below 0: the sample tells it whole, less what was read."""
    if form is None:
        return Spread(error, is_difference=True)
    end = End(form.error(fit), form.values[fit] - form.known.differences[fit])
    return Spread(as_error(0.0), end, end, form.known.sample.weights, is_difference=True)


def _of(error: Error, form: FormErrors | None, low: str, high: str, factor: float = 1.0) -> Spread:
    if form is None:
        return Spread(error)
    least, most = (
        End(as_error(error + factor * form.error(name)), factor * form.values[name])
        for name in (low, high)
    )
    return Spread(error, least, most, form.known.sample.weights)
