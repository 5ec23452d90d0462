"""The final check: every fit of a finished cylinder with the parts that are fitted."""

from __future__ import annotations

from typing import Final, Literal

from fitsolver.records.base import FitName, Length, Range, Record
from fitsolver.records.budget import Correction
from fitsolver.records.form import NextReading
from fitsolver.records.heading import PartsDocument
from fitsolver.records.plan import Fit, OddsOf
from fitsolver.records.verdicts import Verdict

FINAL_SCHEMA: Final = 1


FinalVerdict = Literal["pass", "fail", "not judged"]


class NotJudged(Record):
    """A fit that was asked (has a window) and was not judged, and why."""

    fit: FitName
    groove: int | None = None
    port: str = ""
    why: str


class FinalCylinder(Record):
    """One finished cylinder: its parts, its local sizes (ticks), its fits and what else is asked.

    `verdicts` are of the rules that no fit tells: bore limit, scratch, whether parts go together.
    `judged`: every fit that was asked has been judged; `not_judged` are those that have not.
    `passes`: it is judged and nothing fails. Where the job states its instruments, `probability`
    is that of all judged fits conforming at once; `odds_of` tells of what.
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
    verdict: FinalVerdict
    judged: bool
    not_judged: tuple[NotJudged, ...] = ()
    probability: float | None = None
    odds_of: OddsOf | None = None
    whole_probability: float | None = None
    next_reading: NextReading | None = None


class FinalAnswer(PartsDocument):
    """What `final` answers; `together` are the rules that join the cylinders.

    `verdict` is "fail" where anything fails, else "not judged" where a fit that was asked was not
    judged, else "pass". `probability` is that of all judged fits of all cylinders at once: of what
    passes, 1 less that is the risk of its being out (the consumer's); of what fails it is the risk
    of its being right (the producer's; JCGM 106:2012, 9.3.2).
    """

    schema_version: int = FINAL_SCHEMA
    cylinders: tuple[FinalCylinder, ...]
    together: tuple[Verdict, ...]
    passes: bool
    verdict: FinalVerdict
    judged: bool
    probability: float | None = None
    odds_of: OddsOf | None = None
    corrections: tuple[Correction, ...] = ()
    cautions: tuple[str, ...] = ()
