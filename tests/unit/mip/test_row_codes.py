"""Coefficients as one integer: what goes in comes out, and sums are sums."""

from __future__ import annotations

from random import Random

import pytest

from fitsolver.mip.instance import coefficients
from fitsolver.mip.row_codes import RowCodes, SurvivorFilter, Survivors

from .worked import dense, drawn


@pytest.mark.parametrize("seed", range(20))
def test_codes_are_the_coefficients(seed: int) -> None:
    instance, rows = drawn(seed), [0, 2, 3]
    codes = RowCodes(instance, rows)
    for column in dense(instance)[0]:
        own = {r: c for r, c in coefficients(instance, column).items() if r in rows}
        code = codes.encoded(coefficients(instance, column).items())
        assert dict(codes.decoded(code)) == own
        assert codes.fits(code) == all(c <= instance.capacity[r] for r, c in own.items())
        parts = [
            codes.encoded(zip(instance.rows[i].tolist(), instance.coefs[i].tolist(), strict=True))
            for i in column.items
        ]
        assert sum(parts) == code


@pytest.mark.parametrize("seed", range(20))
def test_survivors_filter_what_they_do_not_hold(seed: int) -> None:
    instance, dice = drawn(seed), Random(seed)
    few = RowCodes(instance, [0, 1])
    every = dense(instance)[0]
    kept = [column for column in every if dice.random() < 0.5]
    told = {(c.job, few.decoded(few.encoded(coefficients(instance, c).items()))) for c in kept}
    codes = RowCodes(instance, [0, 1, 2])
    survivors = SurvivorFilter(Survivors([0, 1], told), codes)
    for column in every:
        pairs = coefficients(instance, column).items()
        own = few.decoded(few.encoded(pairs))
        assert survivors.has(column.job, codes.encoded(pairs)) == ((column.job, own) in told)
        if (column.job, own) in told:
            for item in column.items:
                some = zip(instance.rows[item].tolist(), instance.coefs[item].tolist(), strict=True)
                assert survivors.within(column.job, codes.encoded(some))
