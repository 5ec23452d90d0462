"""Three invented workshops that measure clearances, each on its own days and for its windows.

They differ in instruments, materials, sizes and temperatures, so that the uncertainty is not
one figure for all cases. The sizes, days and own instruments are made up.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from fitsolver.base.lengths import TICKS_PER
from fitsolver.metrology.instrument_sets import instrument_set
from fitsolver.metrology.materials import expansion
from fitsolver.records.job import Cylinder, Engine, Job, Rise
from fitsolver.records.measuring import Instrument, Measuring, Setting, Temperatures
from fitsolver.records.readings import GaugeZero, Reading
from fitsolver.records.windows import Window

MM, UM = TICKS_PER["mm"], TICKS_PER["um"]
DEGREE: Final = 1_000
SETTINGS: Final[tuple[Setting, ...]] = ("micrometer", "master")


@dataclass(frozen=True)
class Day:
    """Temperatures as read (°C): of the bore, of the piston, of micrometer and master."""

    bore: float
    piston: float
    instruments: float


@dataclass(frozen=True)
class Workshop:
    """Who measures, with what. `size` is the bore's (mm), `windows` are low and high (µm)."""

    name: str
    instruments: tuple[Instrument, ...]
    material: str
    alloy: str
    size: int
    days: tuple[Day, ...]
    windows: tuple[tuple[int, int], ...]
    temperature_half_width: float
    expansion_share: float

    def job(self, setting: Setting, day: Day, window: tuple[int, int]) -> Job:
        """Return the job that a case of this workshop, day and window is, with nominal sizes."""
        low, high = window
        nominal = self.size * MM
        at = Temperatures(
            bore=round(day.bore * DEGREE),
            piston=round(day.piston * DEGREE),
            standard=round(day.instruments * DEGREE),
            micrometer=round(day.instruments * DEGREE),
            uncertainty=round(self.temperature_half_width * DEGREE),
            expansion_share=round(self.expansion_share * 1000),
        )
        return Job(
            name=self.name,
            finishing="already finished",
            cylinders=(with_readings(self.material, nominal, 0, nominal),),
            windows=(Window(fit="clearance", low=low * UM, high=high * UM),),
            engine=Engine(
                rise=Rise(bore=0, piston=0, ring=0, bore_alloy="grey_iron", piston_alloy=self.alloy)
            ),
            measuring=Measuring(
                instruments=self.instruments,
                setting=setting,
                temperatures=at,
                decision="guarded",
                probability=950_000,
            ),
        )

    @property
    def piston_expansion(self) -> int:
        return expansion(self.alloy)


def with_readings(material: str, zero: int, dial: int, piston: int) -> Cylinder:
    """Return a cylinder with one reading of its bore and its measured piston (ticks)."""
    return Cylinder(
        name="1",
        material=material,
        readings=(Reading(depth=20 * MM, angle=0, size=zero + dial, dial=dial),),
        zero=GaugeZero(size=zero),
        piston="P1",
        piston_size=piston,
    )


#: A micrometer that is far off: of no consequence where the gauge is set in it.
_OWN: Final = (
    Instrument(
        kind="outside micrometer",
        permissible_error=6 * UM,
        resolution=1 * UM,
        repeatability=1 * UM,
    ),
    Instrument(
        kind="bore gauge",
        standard_uncertainty=3 * UM // 2,
        resolution=2 * UM,
        repeatability=3 * UM // 2,
    ),
    Instrument(kind="setting master", standard_uncertainty=1 * UM, repeatability=1 * UM),
)
WORKSHOPS: Final = (
    Workshop(
        name="everyday set, iron 62 mm",
        instruments=instrument_set("everyday set"),
        material="iron",
        alloy="al_4032",
        size=62,
        days=(Day(14, 13, 15), Day(19, 20, 20), Day(31, 24, 23), Day(27, 27, 27)),
        windows=((40, 60), (35, 70), (30, 90)),
        temperature_half_width=1.0,
        expansion_share=0.1,
    ),
    Workshop(
        name="fine set, plated 54 mm",
        instruments=instrument_set("fine set"),
        material="plated",
        alloy="al_390",
        size=54,
        days=(Day(20, 20, 20), Day(22, 21, 21), Day(17.5, 18, 18.5), Day(25, 23, 22)),
        windows=((30, 40), (25, 45), (20, 60)),
        temperature_half_width=0.5,
        expansion_share=0.05,
    ),
    Workshop(
        name="own instruments, steel 96 mm",
        instruments=_OWN,
        material="steel",
        alloy="al_2618",
        size=96,
        days=(Day(9, 10, 11), Day(18, 17, 18), Day(24, 26, 24), Day(35, 28, 26)),
        windows=((60, 78), (50, 90), (45, 110)),
        temperature_half_width=1.0,
        expansion_share=0.05,
    ),
)


def days(setting: Setting) -> Iterator[tuple[Workshop, Job]]:
    """Yield every workshop's jobs: each day with each window."""
    for workshop in WORKSHOPS:
        for day in workshop.days:
            for window in workshop.windows:
                yield workshop, workshop.job(setting, day, window)
