from __future__ import annotations

from typing import get_args

import pytest

from fitsolver.base.errors import InputError
from fitsolver.metrology.instrument_sets import INSTRUMENT_SETS, instrument_set
from fitsolver.records.measuring import Instrument, InstrumentKind


@pytest.mark.parametrize("name", INSTRUMENT_SETS)
def test_a_set_has_every_instrument_with_the_basis_of_its_figures(name: str) -> None:
    found = instrument_set(name)
    assert [item.kind for item in found] == list(get_args(InstrumentKind))
    for item in found:
        assert (item.permissible_error or 0) > 0
        assert "common practice" in item.basis


def true(item: Instrument) -> int:
    return item.permissible_error or 0


def test_fine_set_is_better_in_everything() -> None:
    workshop, inspection = map(instrument_set, ("everyday set", "fine set"))
    for coarse, fine in zip(workshop, inspection, strict=True):
        assert true(fine) < true(coarse)
        assert fine.resolution <= coarse.resolution
        assert fine.repeatability < coarse.repeatability


def test_names_are_read_kindly() -> None:
    assert instrument_set("Everyday-Set") == instrument_set("everyday set")


def test_a_permissible_error_is_in_ticks() -> None:
    assert true(instrument_set("everyday set")[0]) == 400


def test_an_unknown_set_is_refused_with_the_names() -> None:
    with pytest.raises(InputError, match="found: space grade; allowed: everyday set, fine"):
        instrument_set("space grade")
