"""Consumer's and producer's risk of a batch (JCGM 106:2012, 9.5).

A batch has true values Y, normal about `mean` with standard deviation `spread`; each is measured
as Y + e, e normal with standard uncertainty `u`, and accepted where the measured value lies in
the acceptance interval A. With T the window,

    consumer's risk = P(Y not in T, Y + e in A)
    producer's risk = P(Y in T, Y + e not in A)

Both are shares of the whole batch. Of one measured part the risk is 1 less its probability of
conformity where it is accepted, and that probability where it is rejected (9.3.2).
"""

from __future__ import annotations

from typing import NamedTuple

from fitsolver.metrology.conformity import Edge, error_interval, probability_between
from fitsolver.metrology.joint import joint_probability


class Risks(NamedTuple):
    """Shares of a batch: accepted, accepted though out, rejected though in; each 0 to 1."""

    accepted: float
    consumer: float
    producer: float


def risks(
    window: tuple[Edge, Edge],
    acceptance: tuple[Edge, Edge],
    *,
    mean: float,
    spread: float,
    u: float,
) -> Risks:
    """Return the risks of a batch. All in one unit; None is an open edge.

    Raises ValueError where the batch has no spread or a figure is negative.
    """
    if spread <= 0 or u < 0:
        raise ValueError(f"a batch has a spread, and no uncertainty is negative: {spread}, {u}")
    true = error_interval(mean, mean, *window)
    seen = error_interval(mean, mean, *acceptance)
    of_all = spread**2
    conforms = probability_between(*true, spread)
    if seen[0] > seen[1]:  # the guards meet: nothing is accepted
        return Risks(0.0, 0.0, conforms)
    accepted = probability_between(*seen, (of_all + u**2) ** 0.5)
    both = joint_probability((true, seen), ((of_all, of_all), (of_all, of_all + u**2)))
    return Risks(accepted, max(0.0, accepted - both), max(0.0, conforms - both))
