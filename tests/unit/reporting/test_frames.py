"""Pandas views: one row each, lengths as floats with their unit in the column's name."""

from __future__ import annotations

import math

from fitsolver import (
    cylinders_frame,
    fits_frame,
    forms_frame,
    order_frame,
    sets_frame,
)

from . import answers


def test_fits() -> None:
    frame = fits_frame(answers.plan())
    assert list(frame["fit"]) == ["clearance", "end_gap"]
    assert frame["least [mm]"][0] == 0.06
    assert frame["filed [mm]"][1] == 0.0371
    assert frame["source"][0] == "invented sheet, section 3"
    inch = fits_frame(answers.plan(), "in")
    assert math.isclose(inch["least [in]"][0] * 25.4, 0.06)


def test_missing_edges_are_not_numbers() -> None:
    open_fit = answers.fit(low=None, slack_low=None)
    frame = fits_frame(answers.plan(cylinders=(answers.cylinder(fits=(open_fit,)),)))
    assert frame[["low [mm]", "slack_low [mm]"]].isna().all(axis=None)
    assert frame["high [mm]"][0] == 0.085


def test_owners() -> None:
    """Who states each window; nobody states one that is left open."""
    fits = tuple(answers.fit(owner=owner) for owner in ("family sheet", "job", ""))
    frame = fits_frame(answers.plan(cylinders=(answers.cylinder(fits=fits),)))
    assert list(frame["owner"]) == ["family sheet", "job", ""]


def test_order() -> None:
    frame = order_frame(answers.plan())
    assert list(frame["number"]) == ["K-050", "P-050", "R1-050"]
    assert frame["price"].sum() == 101.7
    assert list(frame["from"]) == ["order", "in hand", "stock"]


def test_cylinders() -> None:
    frame = cylinders_frame(answers.plan(cylinders=(answers.cylinder(), answers.as_is())))
    assert list(frame["rings"]) == ["R1-050 R2-050"] * 2
    assert frame["finish_large [mm]"][0] == 62.5012
    assert math.isnan(frame["stock_worst [mm]"][1])


def test_forms() -> None:
    frame = forms_frame([answers.form()], "um")
    assert frame["taper [um]"][0] == -15.0
    assert frame["shape"][0] == "tapered"


def test_sets() -> None:
    frame = sets_frame(answers.fits_answer(answers.part_set(), answers.missing_set()))
    assert list(frame["holds"]) == [True, False]
    assert frame["worst [mm]"][1] == -0.032
    assert math.isnan(frame["price"][1])


def test_empty_views_keep_their_columns() -> None:
    assert list(forms_frame([]).columns) == list(forms_frame([answers.form()]).columns)
    assert list(sets_frame(answers.fits_answer()).columns) == list(
        sets_frame(answers.fits_answer(answers.part_set())).columns
    )
