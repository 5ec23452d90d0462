"""The probability that all fits conform at once, their errors being correlated.

Fits of one bore share its error, so their probabilities do not multiply. The errors are jointly
normal; the result is the probability of a box under that distribution. Errors that are multiples of
one another are one error; groups without correlation multiply; a single error has a closed form,
two an integral over one variable, more are done by separation of variables ("Numerical computation
of multivariate normal probabilities", Journal of Computational and Graphical Statistics 1, 1992) on
a lattice of multiples of the square roots of primes. No random numbers: equal inputs give equal
bytes.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import pairwise
from math import exp, inf, pi, sqrt
from typing import TYPE_CHECKING, Final

from fitsolver.metrology.conformity import normal_below, probability_between

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

Interval = tuple[float, float]
Matrix = Sequence[Sequence[float]]

#: Correlations nearer to 1 than this are 1, nearer to 0 than this are 0.
_ROUNDING: Final = 1e-9
#: Standard uncertainties beyond which the probability vanishes (6e-16).
_FAR: Final = 8.2
_POINTS: Final = 16_384
#: Steps of the normal table per unit; between them it is straight, within 3e-8.
_STEPS: Final = 1_000
#: Decimals that equal questions give equally, far below the accuracy.
_DIGITS: Final = 9


def joint_probability(intervals: Sequence[Interval], covariance: Matrix) -> float:
    """Return the probability that each error lies in its interval, all at once.

    `intervals` are those of `conformity.error_interval`; `covariance` is that of the errors,
    in the square of their unit. Exact but for rounding for up to two independent errors, else
    within 0.001. Raises ValueError when the shapes differ.
    """
    if len(covariance) != len(intervals) or any(len(r) != len(intervals) for r in covariance):
        raise ValueError("one interval for every row and column of the covariance")
    scaled: list[Interval] = []
    kept: list[int] = []
    for index, (low, high) in enumerate(intervals):
        u = sqrt(max(0.0, covariance[index][index]))
        if u == 0:
            if not low <= 0 <= high:
                return 0.0
            continue
        kept.append(index)
        scaled.append((low / u, high / u))
    correlation = [[_correlation(covariance, i, j) for j in kept] for i in kept]
    return _merged(scaled, correlation)


def _correlation(covariance: Matrix, i: int, j: int) -> float:
    r = covariance[i][j] / sqrt(covariance[i][i] * covariance[j][j])
    if abs(r) < _ROUNDING:
        return 0.0
    return r if abs(r) < 1 - _ROUNDING else (1.0 if r > 0 else -1.0)


def _merged(intervals: Sequence[Interval], correlation: Matrix) -> float:
    """Merge errors that are multiples of one another, then multiply the groups."""
    single: dict[int, Interval] = {}
    for index, own in enumerate(intervals):
        twin = next((other for other in single if abs(correlation[index][other]) == 1), None)
        if twin is None:
            single[index] = own
            continue
        low, high = own if correlation[index][twin] > 0 else (-own[1], -own[0])
        single[twin] = (max(low, single[twin][0]), min(high, single[twin][1]))
    if any(low > high for low, high in single.values()):
        return 0.0
    product = 1.0
    for group in _groups(list(single), correlation):
        rows = [[correlation[i][j] for j in group] for i in group]
        product *= _group([single[i] for i in group], rows)
    return product


def _groups(indices: list[int], correlation: Matrix) -> list[list[int]]:
    """Part the errors into groups without correlation between them."""
    groups: list[list[int]] = []
    for index in indices:
        joined = [g for g in groups if any(correlation[index][other] for other in g)]
        groups = [g for g in groups if g not in joined]
        groups.append([*(i for g in joined for i in g), index])
    return groups


def _group(intervals: Sequence[Interval], correlation: Matrix) -> float:
    bounded = [i for i, (low, high) in enumerate(intervals) if (low, high) != (-inf, inf)]
    intervals = [intervals[i] for i in bounded]
    if len(bounded) == 0:
        return 1.0
    if len(bounded) == 1:
        return probability_between(*intervals[0], 1.0)
    if len(bounded) == 2:
        return _pair(intervals, correlation[bounded[0]][bounded[1]])
    return _many(intervals, [[correlation[i][j] for j in bounded] for i in bounded])


def _pair(intervals: Sequence[Interval], r: float) -> float:
    """Integrate the second error's probability, given the first, over the first."""
    import numpy as np

    (low, high), (other_low, other_high) = intervals
    low, high = max(low, -_FAR), min(high, _FAR)
    if low >= high:
        return 0.0
    rest = sqrt(1 - r * r)
    # The second's probability may jump from 0 to 1: the panels meet at the jump.
    turns = [edge / r for edge in (other_low, other_high) if r and abs(edge) < inf]
    width = max(rest / abs(r), 1e-12) if r else _FAR
    cuts = {low, high, *(t + k * width for t in turns for k in (-8, -4, -2, -1, 0, 1, 2, 4, 8))}
    cuts |= {low + (high - low) * k / 8 for k in range(9)}
    nodes, weights = np.polynomial.legendre.leggauss(16)
    total = 0.0
    edges = sorted(cut for cut in cuts if low <= cut <= high)
    for start, end in pairwise(edges):
        half, middle = (end - start) / 2, (end + start) / 2
        for node, weight in zip(nodes.tolist(), weights.tolist(), strict=True):
            x = middle + half * node
            given = probability_between(other_low - r * x, other_high - r * x, rest)
            total += half * weight * given * exp(-x * x / 2)
    return min(1.0, total / sqrt(2 * pi))


def _many(intervals: Sequence[Interval], correlation: Matrix) -> float:
    """Separate the variables, the tightest interval first, and sum over a lattice."""
    import numpy as np

    z, p = normal_table()

    order, factor = _cholesky(intervals, correlation)
    primes = _primes(len(order))
    points = np.arange(1, _POINTS + 1, dtype=np.float64)
    total = np.ones_like(points)
    drawn: list[Floats] = []
    for row, index in enumerate(order):
        given = sum(
            (factor[row][k] * value for k, value in enumerate(drawn)), np.zeros_like(points)
        )
        low, high = intervals[index]
        own = factor[row][row]
        if own == 0.0:  # the errors before fix this one: it conforms or it does not
            total = total * ((low <= given) & (given <= high))
            drawn.append(np.zeros_like(points))
            continue
        below, above = (np.interp((edge - given) / own, z, p) for edge in (low, high))
        total = total * np.maximum(above - below, 0.0)
        lattice = np.abs(2 * np.mod(points * sqrt(primes[row]), 1.0) - 1)
        drawn.append(np.interp(below + lattice * (above - below), p, z))
    # Vector units sum in an order that depends on memory alignment: equal only within the accuracy.
    return min(1.0, round(float(total.mean()), _DIGITS))


@cache
def normal_table() -> tuple[Floats, Floats]:
    """Return z and the normal distribution function there, to look up either way."""
    import numpy as np

    z = np.arange(-_FAR * _STEPS, _FAR * _STEPS + 1) / _STEPS
    return z, np.array([normal_below(value) for value in z.tolist()])


def _primes(count: int) -> list[int]:
    found: list[int] = []
    number = 2
    while len(found) < count:
        if all(number % prime for prime in found):
            found.append(number)
        number += 1
    return found


def _cholesky(
    intervals: Sequence[Interval], correlation: Matrix
) -> tuple[list[int], list[list[float]]]:
    """Return an order of the errors and the lower triangle of their correlation in it.

    Errors with the least probable intervals come first, as the source advises; those that others
    fix come last, with a zero on the diagonal.
    """
    size = len(intervals)
    free: list[tuple[int, list[float]]] = []
    fixed: list[tuple[int, list[float]]] = []
    for index in sorted(range(size), key=lambda i: probability_between(*intervals[i], 1.0)):
        row: list[float] = []
        for other, above in free:
            known = sum(a * b for a, b in zip(row, above, strict=False))
            row.append((correlation[index][other] - known) / above[-1])
        rest = 1.0 - sum(value * value for value in row)
        if rest > _ROUNDING:
            free.append((index, [*row, sqrt(rest)]))
        else:
            fixed.append((index, row))
    rows = [[*row, *[0.0] * (size - len(row))] for _, row in (*free, *fixed)]
    return [index for index, _ in (*free, *fixed)], rows
