"""What was typed is put into a job; what was typed in two windows is all there."""

from __future__ import annotations

import copy

import pytest

from fitsolver.page import content, entered

from .typed import put


def test_a_decimal_comma_and_a_minus_sign_are_understood() -> None:
    for typed, kept in (("62,176", "62.176"), ("\u22120,004", "-0.004"), ("0,5 um", "0.5 um")):
        assert entered.clean("engine.stroke", typed) == kept
    assert entered.clean("cylinder.0.piston", "A,5") == "A,5"
    assert entered.clean("engine.stroke", "1,234,5") == "1,234,5"  # refused as it stands


def test_changes_of_two_windows_are_both_kept() -> None:
    base: content.Content = {"name": "x", "cylinder": [{"name": "1"}, {"name": "2"}]}
    drawn = entered.entries(base)
    one = put(base, base, {**drawn, "read.0.0.0": "62.1", "depth.0": "8"})
    two = put(base, one, {**drawn, "read.1.0.1": "62.2", "engine.stroke": "58"})
    found = entered.entries(two)
    assert found["read.0.0.0"] == "62.1" and found["read.1.0.1"] == "62.2"
    assert found["engine.stroke"] == "58" and found["depth.0"] == "8"


def test_noughts_that_the_sheet_was_drawn_with_are_not_typed() -> None:
    """The sheet shows 0.3 as 0.30 beside 0.25; sent with a button it changes nothing."""
    base: content.Content = {"name": "x", "cylinder": [{"name": "1"}]}
    base = put(base, base, {"depth.0": "8", "read.0.0.0": "0.3", "read.0.0.1": "0.25"})
    drawn = {**entered.entries(base), "read.0.0.0": "0.30"}
    other = put(base, base, {"read.0.0.0": "0.31"})
    assert put(base, base, drawn) == base
    assert entered.entries(put(base, other, drawn))["read.0.0.0"] == "0.31"


def test_rows_taken_out_meanwhile_are_told() -> None:
    base: content.Content = {"name": "x", "cylinder": [{"name": "1"}, {"name": "2"}]}
    less = copy.deepcopy(base)
    less["cylinder"] = [{"name": "1"}]
    with pytest.raises(entered.RowsGoneError):
        put(base, less, {"cylinder.1.scratch": "0.1"})


def test_what_no_job_has_is_left_out() -> None:
    base: content.Content = {"name": "x", "cylinder": [{"name": "1"}]}
    for name in ("shop", "cylinder.0.readings_file", "cylinder.5.name", "read.a.0.0", "x.y", ""):
        assert put(base, base, {name: "/etc/passwd"}) == base
