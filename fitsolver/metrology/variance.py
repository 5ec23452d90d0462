"""Analysis of variance: one-way, and two-way crossed with interaction.

Equations: docs/gauge_study.md (ISO 5725-2, JCGM 100 H.5). Sums are exact fractions; only
what is shown becomes a float.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import sqrt
from typing import Final

from fitsolver.records.gauge import VarianceRow

Number = int | float | Decimal | Fraction | str
#: Readings by bore and person.
Cells = dict[tuple[str, str], list[int]]
_TWO: Final = 2


@dataclass(frozen=True)
class Anova:
    """One-way analysis of variance; the sums of squares are exact."""

    between_degrees: int
    within_degrees: int
    between_sum: Fraction
    within_sum: Fraction

    @property
    def f(self) -> float | None:
        """Mean square between groups over that within; None where nothing varies within."""
        return _ratio(self.between_sum / self.between_degrees, self.within_sum, self.within_degrees)


def one_way(groups: Sequence[Sequence[Number]]) -> Anova:
    """Return the one-way analysis of variance of groups, of equal size or not.

    Numbers are taken exactly as they are (a text as its decimal, a float as its binary
    fraction). Raises ValueError for fewer than two groups, an empty one, or no repeats.
    """
    values = [[Fraction(value) for value in group] for group in groups]
    count = sum(len(group) for group in values)
    if len(values) < _TWO or not all(values) or count == len(values):
        raise ValueError("two or more groups are compared, with two or more values in one of them")
    pairs = [(group, _mean(group)) for group in values]
    overall = _total(map(_total, values)) / count
    return Anova(
        between_degrees=len(values) - 1,
        within_degrees=count - len(values),
        between_sum=_total(len(group) * (mean - overall) ** 2 for group, mean in pairs),
        within_sum=_total(_squares(group, mean) for group, mean in pairs),
    )


def one_person(cells: Cells) -> tuple[VarianceRow, ...]:
    """Return the rows of a one-way study; a bore's mean square expects `s_r**2 + n s_b**2`."""
    groups = list(cells.values())
    anova = one_way(groups)
    total = sum(map(len, groups))
    per_bore = (total - Fraction(sum(len(g) ** 2 for g in groups), total)) / (len(groups) - 1)
    within = anova.within_sum / anova.within_degrees
    return (
        _row("bores", anova.between_degrees, anova.between_sum, within, per_bore),
        _row("repeats", anova.within_degrees, anova.within_sum),
    )


def crossed(
    cells: Cells, bores: tuple[str, ...], people: tuple[str, ...]
) -> tuple[VarianceRow, ...]:
    """Return the rows of a two-way crossed study with interaction, equally often in each cell."""
    b, p, n = len(bores), len(people), len(next(iter(cells.values())))
    mean = {key: _mean(values) for key, values in cells.items()}
    by_bore = [_mean([mean[bore, who] for who in people]) for bore in bores]
    by_person = [_mean([mean[bore, who] for bore in bores]) for who in people]
    overall = _mean(by_bore)
    of_bores = p * n * _squares(by_bore, overall)
    of_people = b * n * _squares(by_person, overall)
    of_both = n * _squares(list(mean.values()), overall) - of_bores - of_people
    of_repeats = _total(_squares(cells[key], mean[key]) for key in cells)
    both_degrees, repeat_degrees = (b - 1) * (p - 1), b * p * (n - 1)
    both, repeats = of_both / both_degrees, of_repeats / repeat_degrees
    return (
        _row("bores", b - 1, of_bores, both, p * n),
        _row("people", p - 1, of_people, both, b * n),
        _row("bores x people", both_degrees, of_both, repeats, n),
        _row("repeats", repeat_degrees, of_repeats),
    )


def _row(
    source: str,
    degrees: int,
    squares: Fraction,
    against: Fraction | None = None,
    times: Fraction | int = 1,
) -> VarianceRow:
    """Return a row; its own variance is (mean square - that it is tested against) / times."""
    mean_square = squares / degrees
    own = (mean_square - (against or 0)) / times
    return VarianceRow(
        source=source,
        degrees=degrees,
        sum_of_squares=float(squares),
        mean_square=float(mean_square),
        f=None if against is None else _ratio(mean_square, against, 1),
        deviation=sqrt(max(own, Fraction(0))),
        negative=own < 0,
    )


def _mean(values: Sequence[int | Fraction]) -> Fraction:
    return Fraction(sum(values)) / len(values)


def _squares(values: Sequence[int | Fraction], mean: Fraction) -> Fraction:
    """Return the sum of squared distances from a mean."""
    return _total((value - mean) ** 2 for value in values)


def _total(values: Iterable[Fraction]) -> Fraction:
    return sum(values, Fraction(0))


def _ratio(mean_square: Fraction, squares: Fraction, degrees: int) -> float | None:
    return float(mean_square * degrees / squares) if squares else None
