from fitsolver.fits.clearance import clearance

from .builders import span


def test_the_handbook_chain() -> None:
    """TM 55-1905-219-14-4: liner 4.2495 to 4.2511 in, skirt 4.2428 to 4.2450 in."""
    inch = 2_540_000
    skirt = span(42_428 * inch // 10_000, 42_450 * inch // 10_000)
    found = clearance(42_495 * inch // 10_000, 42_511 * inch // 10_000, skirt)
    assert (found.low, found.high) == (45 * 254, 83 * 254)  # 0.0045, 0.0083 in


def test_a_coated_piston_may_have_negative_clearance() -> None:
    assert clearance(100, 102, span(103, 104)) == span(-4, -1)
