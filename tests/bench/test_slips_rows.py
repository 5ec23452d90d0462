"""Few of the slips of the large measure, in seconds: the shares it promises hold on them too."""

from __future__ import annotations

from .clean_tables import draw
from .slips_rows import Tally, demo, slips, try_slips


def test_slips_on_a_demo_and_on_drawn_catalogues() -> None:
    tally = Tally()
    try_slips("brushsaw", *demo("brushsaw"), tally, every=23)
    for seed in (1, 2, 3):
        try_slips(f"drawn {seed}", *draw(seed), tally, every=151, kept=seed)
    assert tally.slips > 80
    assert tally.doubted > 25
    assert tally.false_alarms == []
    assert len(tally.unnamed) <= 1, tally.unnamed


def test_every_kind_of_slip_is_made() -> None:
    kinds = {slip.what for slip in slips(demo("launch")[0], "in")}
    assert kinds == {
        "swapped", "sign", "x 10", "/ 10", "+0.2", "-0.2", "+0.25", "-0.25", "+1", "-1",
        "+0.2 mm", "-0.2 mm", "+0.25 mm", "-0.25 mm", "+1 mm", "-1 mm",
    }  # fmt: skip
