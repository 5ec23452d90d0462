"""Lines of a cylinder about the effects of gaskets and compression height besides the squish."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from fitsolver.records.figures import Figures
    from fitsolver.records.plan import PortOpening, StackEffect

#: Figures come in thousandths; decimals of them that are shown.
_DEGREE_PLACES: Final = 2
_RATIO_PLACES: Final = 2


def stack_rows(stack: StackEffect | None, figures: Figures) -> Iterator[tuple[str, str]]:
    """Yield where the crown stands, when each port opens, and the compression ratio."""
    if stack is None:
        return
    deck = figures.expected(stack.deck.low, stack.deck.high, sign=True)
    before = (
        "" if stack.deck_before is None else f", was {figures.near(stack.deck_before, sign=True)}"
    )
    yield "crown below top face", f"{deck}{before}"
    for port in stack.ports:
        yield f"{port.port} opens", _opening(port)
    if stack.ratio is not None:
        ratio = stack.ratio
        after = _span(ratio.least, ratio.most, _RATIO_PLACES)
        old = _span(ratio.least_before, ratio.most_before, _RATIO_PLACES)
        yield "compression ratio", f"{after}, was {old}"


def _opening(port: PortOpening) -> str:
    said = f"{_span(port.least, port.most, _DEGREE_PLACES)}° after top dead centre"
    if port.before is None or port.shift_least is None or port.shift_most is None:
        return said
    before = _write(port.before, ROUND_HALF_EVEN, _DEGREE_PLACES)
    shift = _span(port.shift_least, port.shift_most, _DEGREE_PLACES, sign=True)
    return f"{said}, was {before}° (shift {shift}°)"


def _span(least: int, most: int, places: int, *, sign: bool = False) -> str:
    """Return a range to expect, rounded outwards; one figure where both ends show as one."""
    low = _write(least, ROUND_FLOOR, places, sign=sign)
    high = _write(most, ROUND_CEILING, places, sign=sign)
    return low if low == high else f"{low} to {high}"


def _write(thousandths: int, rounding: str, places: int, *, sign: bool = False) -> str:
    value = Decimal(thousandths).scaleb(-3).quantize(Decimal(1).scaleb(-places), rounding) + 0
    return f"{value:{'+' if sign and value else ''}f}"
