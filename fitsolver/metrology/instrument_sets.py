"""Ready-made sets of instruments, for people who do not know the figures of their own.

The figures are our own, from memory, typical of sizes from 50 mm to 75 mm. The certificate or data
sheet of an instrument outranks them, and a gauge study outranks the repeatability.
"""

from __future__ import annotations

from functools import cache
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.records.measuring import Instrument, InstrumentKind

UM: Final = 100  # ticks

_MICROMETER: Final = (
    "ISO 3611 lets the maker state the permissible error; {} µm at 50 mm to 75 mm is common "
    "practice, from memory. {}"
)
_READ: Final = "Repeatability: common practice, no source."

#: name: kind, permissible error, resolution, repeatability (µm), basis
_Row = tuple[InstrumentKind, float, float, float, str]
_SETS: Final[dict[str, tuple[_Row, ...]]] = {
    "everyday set": (
        (
            "outside micrometer",
            4,
            5,
            2,
            _MICROMETER.format(4, f"0.01 mm graduation read to half a division. {_READ}"),
        ),
        (
            "bore gauge",
            5,
            5,
            3,
            "Two-point gauge on a dial of 0.01 mm read to half a division; 5 µm over the travel "
            f"near zero is common practice, from memory. {_READ}",
        ),
        (
            "setting master",
            2.5,
            0,
            1,
            "Setting ring without a certificate of its own: common practice, from memory. "
            "Repeatability is how far its own form shows in the gauge: no source.",
        ),
        (
            "feeler gauge",
            10,
            0,
            10,
            "Thickness of a blade within 10 µm, and feel: common practice, no source.",
        ),
    ),
    "fine set": (
        (
            "outside micrometer",
            2,
            1,
            0.7,
            _MICROMETER.format(2, f"Digital, 0.001 mm. {_READ}"),
        ),
        (
            "bore gauge",
            2,
            1,
            0.7,
            "Two-point gauge on a dial of 0.001 mm; 2 µm over the travel near zero is common "
            f"practice, from memory. {_READ}",
        ),
        (
            "setting master",
            1,
            0,
            0.5,
            "Calibrated setting ring used at its stated diameter: common practice, from memory. "
            "Repeatability is how far its own form shows in the gauge: no source.",
        ),
        (
            "feeler gauge",
            5,
            0,
            5,
            "Blades checked with a micrometer: common practice, no source.",
        ),
    ),
}
INSTRUMENT_SETS: Final = tuple(_SETS)


@cache
def instrument_set(name: str) -> tuple[Instrument, ...]:
    """Return the instruments of a ready-made set; capitals, hyphens and blanks do not matter.

    Raises InputError with the names available.
    """
    key = " ".join(name.lower().replace("-", " ").replace("_", " ").split())
    rows = _SETS.get(key)
    if rows is None:
        raise InputError(
            "no set of instruments has this name",
            field="set",
            found=name or "nothing",
            allowed=", ".join(INSTRUMENT_SETS),
        )
    return tuple(
        Instrument(
            kind=kind,
            name=f"{kind} ({key})",
            permissible_error=round(permissible * UM),
            resolution=round(resolution * UM),
            repeatability=round(repeatability * UM),
            basis=basis,
        )
        for kind, permissible, resolution, repeatability, basis in rows
    )
