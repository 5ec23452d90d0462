from fitsolver.fits.availability import can_order, from_stock, ready_in

from .builders import ring


def test_only_priced_pieces_are_bought_from_the_shelf() -> None:
    assert from_stock(ring(price=900, stock=3)) == 3
    assert from_stock(ring(price=None, stock=3)) == 0


def test_ordering_needs_a_price_and_a_lead_time() -> None:
    assert can_order(ring(price=900, lead_days=0))
    assert not can_order(ring(price=900, lead_days=None))
    assert not can_order(ring(price=None, lead_days=4))


def test_work_waits_for_the_last_part_only_when_the_piston_is_in_hand() -> None:
    assert ready_in("piston in hand", [6, 2], [3, 1]) == 9
    assert ready_in("set size", [6, 2], [3, 1]) == 6
    assert ready_in("already finished", [], [0]) == 0
    assert ready_in("set size", [], [10]) == 10
