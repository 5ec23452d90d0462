"""The wording of the advice at the hone: always a count, with its risk or its condition."""

from __future__ import annotations

from math import ceil
from typing import Final

from fitsolver.base.lengths import Unit, exact_text, small_length
from fitsolver.honing.advice import Ahead, Step
from fitsolver.honing.checks import Check, Place
from fitsolver.honing.first import DOUBLED
from fitsolver.records.hone import CountedIn, FirstStrokes
from fitsolver.records.readings import axis_name

TOO_LARGE: Final = "Stop: the bore is larger than the highest permitted size."
STOP: Final = (
    "Stop: everywhere it was read the bore is clean and has reached the lowest permitted size. "
    "More metal off is life lost."
)
WHOLE_BORE: Final = (
    "0 strokes: what was read has reached the lowest permitted size. Read the whole bore."
)

NAMED_ANEW: Final = (
    "the stated risk holds for stones no sharper than the log saw them. Where they were dressed, "
    "name them anew before the next strokes."
)


def counted(count: int, unit: CountedIn) -> str:
    """Return a count with its unit."""
    return f"{count} {unit if count != 1 else unit.removesuffix('s')}"


def share(risk: float) -> str:
    """Return a risk in percent, rounded up: never 0."""
    return f"{max(1, ceil(risk * 1_000 - 1e-9)) / 10:.1f}%"


def place_name(place: Place, unit: Unit) -> str:
    depth, angle = place
    return f"{exact_text(depth, unit)} {axis_name(angle)}"


def of_bar(bar: str) -> str:
    return (
        f"0 strokes: '{bar}' comes before the hone. When it is done, read the bore, and enter that "
        f"check with 0 strokes and '{bar}' in the place of the stones; strokes are advised then."
    )


def of_one_place(place: Place, over: int, unit: Unit) -> str:
    by = small_length(over, unit, "up")
    return (
        f"0 strokes: read {place_name(place, unit)} again. It alone is above the highest, by "
        f"{by}, and one reading orders no new parts; the later one outweighs."
    )


def of_step(step: Step, unit: CountedIn, before: float, limit: float) -> str:
    half = "" if step.whole else " (half of what is left at most, until the pace is known better)"
    return (
        f"{counted(step.count, unit)}, then check{half}. Risk of passing the highest: "
        f"{share(step.risk)} at most with this pass, {share(step.risk + before)} with those before "
        f"it; {share(limit)} is the most for the bore."
    )


def of_no_step(step: Step, unit: CountedIn) -> str:
    told = (
        f"One {unit.removesuffix('s')} now has a risk of {share(step.risk)} of passing the "
        f"highest; {share(step.limit)} is the most for this pass"
        if step.risk > step.limit
        else f"One {unit.removesuffix('s')} of sharper stones now would pass the highest"
    )
    if not step.again:
        return f"0 strokes: {told[0].lower()}{told[1:]}. Read with a finer gauge."
    more = "once" if step.again == 1 else f"{step.again} times"
    return (
        f"0 strokes: read the whole bore again, {more}. {told}; the mean of more readings is "
        "firmer."
    )


def of_first(first: FirstStrokes, unit: CountedIn, length: Unit, *, passes: int) -> str:
    """Return the sentence of a condition; `passes` are those of these stones so far."""
    one, most = unit.removesuffix("s"), small_length(first.rate, length, "down", finer=True)
    known = (
        "The gauge sees no metal going yet" if passes else "No rate is known for these stones yet"
    )
    if not first.count:
        return (
            f"0 strokes: what is left to the highest size is less than the gauge can tell. "
            f"{known}, so no risk can be computed. Read with a finer gauge."
        )
    if first.basis == "what is left":
        return (
            f"{counted(1, unit)} of finer stones, or of the lightest touch, then check. The "
            f"highest is not passed as long as it takes {most} at most (what is left, less the "
            "gauge's error); no risk can be computed."
        )
    basis = (
        f"{DOUBLED} times the fastest pace of these stones in the log"
        if first.basis == "same stones"
        else "common practice, no source"
    )
    return (
        f"{known}: {counted(first.count, unit)}, then check. No risk can be computed; the highest "
        f"is not passed as long as a {one} takes {most} at most ({basis})."
    )


def question_of(ahead: Ahead | None, now: Check, unit: Unit) -> str:
    """Return the question about a jump of the pace, else nothing."""
    if ahead is None or not ahead.quicker:
        return ""
    one = now.counted_in.removesuffix("s")
    took = small_length(ahead.quicker, unit, "up", finer=True)
    return (
        f"Were the stones dressed, or pressed harder, before check {now.number}? A {one} took "
        f"{took} there, and less before. Until more checks tell, the faster "
        f"pace counts. Dressed stones are new ones: name them so from that pass on, as "
        f"'{now.stones} dressed'."
    )


def dulling(paces: tuple[float, float] | None, now: Check, unit: Unit) -> str:
    """Return what is told of stones that dull, else nothing."""
    if paces is None:
        return ""
    one = now.counted_in.removesuffix("s")
    first, last = (small_length(pace, unit, finer=True) for pace in paces)
    return (
        f"stones {now.stones} dull: a {one} took {first} at first and takes {last} "
        "now. Once dressed they are new ones: name them so, as "
        f"'{now.stones} dressed'."
    )
