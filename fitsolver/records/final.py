"""The final check: every fit of a finished cylinder with the parts that are fitted."""

from __future__ import annotations

from typing import Final

from fitsolver.lengths import Unit
from fitsolver.records.base import Length, Range, Record
from fitsolver.records.budget import Correction
from fitsolver.records.plan import Fit
from fitsolver.records.verdicts import Verdict

FINAL_SCHEMA: Final = 1


class FinalCylinder(Record):
    """One finished cylinder: its parts, its local sizes (ticks), its fits and what else is asked.

    `verdicts` are of the rules that no fit tells: bore limit, scratch, whether parts go together.
    """

    cylinder: str
    piston: str
    skirt: Range
    rings: tuple[str, ...]
    gaskets: tuple[str, ...]
    smallest: Length
    largest: Length
    fits: tuple[Fit, ...]
    verdicts: tuple[Verdict, ...]
    passes: bool


class FinalAnswer(Record):
    """What `final` answers; `together` are the rules that join the cylinders."""

    schema_version: int = FINAL_SCHEMA
    program_version: str
    job: str
    catalogue: str
    unit: Unit
    cylinders: tuple[FinalCylinder, ...]
    together: tuple[Verdict, ...]
    passes: bool
    corrections: tuple[Correction, ...] = ()
    cautions: tuple[str, ...] = ()
