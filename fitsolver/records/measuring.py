"""How a job was measured: instruments, temperatures, and how much of a window is given up."""

from __future__ import annotations

from typing import Annotated, Final, Literal

from pydantic import Field

from fitsolver.records.base import Length, Record

InstrumentKind = Literal["outside micrometer", "bore gauge", "setting master", "feeler gauge"]
Setting = Literal["micrometer", "master"]
Decision = Literal["plain", "guarded"]

#: Temperatures are whole thousandths of a degree Celsius, as read; 20 000 is the reference.
Temperature = Annotated[int, Field(ge=-50_000, le=300_000, description="thousandths of 1 °C")]
REFERENCE: Final = 20_000
#: Linear expansion in 10**-9 per kelvin (11.5e-6/K is 11500).
Expansion = Annotated[int, Field(gt=0, le=100_000, description="10**-9 per kelvin")]
STEEL: Final = 11_500
#: A part warmer than this (thousandths of 1 °C) cannot be held in the hand to be measured; a
#: larger figure is more likely in °F (common practice, no source).
WARMEST_PART: Final = 45_000


def plausible_temperature(value: int) -> str | None:
    """Return a question when a part is hardly ever measured at `value`; None when it may be.

    `value` is in thousandths of 1 °C. A reader asks it of a figure written without a unit;
    "72 °C" in the file says what is meant and stands.
    """
    if value <= WARMEST_PART:
        return None
    celsius = (value - 32_000) * 5 / 9_000
    return (
        f"{value / 1000:g}: is that °F ({celsius:.1f} °C)? A part is not measured that warm; "
        "write the unit if it really was"
    )


class Instrument(Record):
    """One instrument: either `permissible_error` or `standard_uncertainty` tells how true it is.

    `permissible_error` is the half-width of a rectangular distribution, `resolution` the full
    width of the last digit or the smallest division that is read, `repeatability` the standard
    deviation of one reading, `reproducibility` that between people who read a bore gauge; all in
    ticks. `basis` says where the figures come from.
    """

    kind: InstrumentKind
    name: str = ""
    permissible_error: Length | None = Field(default=None, ge=0)
    standard_uncertainty: Length | None = Field(default=None, ge=0)
    resolution: Length = Field(default=0, ge=0)
    repeatability: Length = Field(default=0, ge=0)
    reproducibility: Length = Field(default=0, ge=0)
    expansion: Expansion = STEEL
    basis: str = ""


class Temperatures(Record):
    """Temperatures at which parts and instruments were read; the reference where not given.

    `standard` is what the bore gauge was set in: the micrometer or the master. `uncertainty`
    is the half-width of a rectangular distribution of every one of them, in thousandths of
    1 °C, `expansion_share` that of every expansion, in thousandths of its value.
    """

    bore: Temperature = REFERENCE
    piston: Temperature = REFERENCE
    standard: Temperature = REFERENCE
    micrometer: Temperature = REFERENCE
    uncertainty: int = Field(default=0, ge=0, le=20_000)
    expansion_share: int = Field(default=0, ge=0, le=1_000)


class Measuring(Record):
    """The instruments of a job, how the gauge was set, and the rule of decision.

    `setting`: the bore gauge was zeroed in the micrometer that measured the piston (its
    calibration error is then in both and cancels in the clearance), or on a master.
    A guarded decision gives up `factor` (thousandths) times the standard uncertainty on each
    side of every window, or what keeps the wanted `probability` (parts in 10**6). `read_by` is
    who read the bores, where no cylinder says otherwise.
    """

    instruments: tuple[Instrument, ...] = ()
    set_name: str = ""
    setting: Setting = "micrometer"
    temperatures: Temperatures = Temperatures()
    decision: Decision = "plain"
    factor: int | None = Field(default=None, gt=0, le=10_000)
    probability: int | None = Field(default=None, ge=500_000, lt=1_000_000)
    form_allowance: Length = Field(default=0, ge=0)
    read_by: str = ""

    def instrument(self, kind: InstrumentKind) -> Instrument | None:
        """Return the job's instrument of a kind; None without one."""
        return next((item for item in self.instruments if item.kind == kind), None)
