"""Readings typed depth by depth or axis by axis: either order is one, a slip in it is named."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.usecases.loading import load_job

JOB = """format = 1
name = "typed"
units = "mm"
[[cylinder]]
name = "1"
material = "iron"
readings = [{readings}]
"""
DEPTHS = (5, 20, 35, 50)


def typed(places: list[tuple[int, str]], tmp_path: Path) -> Path:
    readings = ", ".join(f'[{depth}, "{axis}", 54.02]' for depth, axis in places)
    path = tmp_path / "job.toml"
    path.write_text(JOB.format(readings=readings), encoding="utf-8")
    return path


ORDERS = {
    "by depth": [(depth, axis) for depth in DEPTHS for axis in ("thrust", "pin")],
    "by axis": [(depth, axis) for axis in ("thrust", "pin") for depth in DEPTHS],
    "by axis, up and down": [
        *((depth, "thrust") for depth in DEPTHS),
        *((depth, "pin") for depth in reversed(DEPTHS)),
    ],
    "by axis, two depths": [(depth, axis) for axis in ("thrust", "pin") for depth in (5, 40)],
}


@pytest.mark.parametrize("order", ORDERS)
def test_an_order_is_not_doubted(order: str, tmp_path: Path) -> None:
    assert load_job(typed(ORDERS[order], tmp_path), windows_needed=False)


def test_a_slip_in_one_axis_is_named(tmp_path: Path) -> None:
    places = ORDERS["by axis"].copy()
    places[1] = (42, "thrust")  # typed for 20
    with pytest.raises(InputError, match="depth 1/42/thrust"):
        load_job(typed(places, tmp_path), windows_needed=False)
