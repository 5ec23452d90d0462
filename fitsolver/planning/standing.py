"""Standing cautions: those that hold for every job, each with the short words for it.

The short words name the same danger. All other cautions depend on the job.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from fitsolver.metrology.form import LOBING_CAUTION
from fitsolver.planning import cautions as said

#: The short words of a standing caution, what can hurt someone first.
STANDING: Final[dict[str, str]] = {
    said.SEIZURE: "Rings whose ends butt and skirts that are tight seize engines and can throw "
    "parts: try every ring, measure every piston.",
    said.HONING: "Honing and boring: eye protection, no loose gloves near the spindle; wash the "
    "grit out with hot soapy water, then oil; solvents burn and their fumes harm.",
    said.STOP: "Stop at size: metal that is honed away stays away.",
    said.WARM: "A bore off the hone is warm and reads big: let it cool.",
    said.FILING: "File ring ends square, from the outside in, and take the burrs off.",
    said.TEMPERATURE: "Sizes mean 20 °C.",
    LOBING_CAUTION: "Two-point sizes cannot see lobing.",
    said.BETWEEN: "Between readings the bore is taken to be as read.",
    said.BETWEEN_TOLD: "Between readings the bore is taken to be as read; the odds count more.",
    said.SHEETS: "The maker's sheets, local rules and a qualified machinist outrank this tool.",
}


def called_for(cautions: Iterable[str]) -> tuple[str, ...]:
    """Return the cautions specific to a job: all but the standing ones."""
    return tuple(
        caution
        for caution in cautions
        if caution not in STANDING and not caution.startswith(said.NOTE)
    )


def in_short(cautions: Iterable[str]) -> str:
    """Return the short words of the standing ones, and what a catalogue says of itself; or ''."""
    found = dict.fromkeys(cautions)
    notes = (caution for caution in found if caution.startswith(said.NOTE))
    return " ".join((*(short for whole, short in STANDING.items() if whole in found), *notes))
