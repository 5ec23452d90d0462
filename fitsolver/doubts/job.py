"""All doubts of a job: the one place that a front end asks."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Final

from fitsolver.doubts.look import Look
from fitsolver.doubts.pieces import doubtful_pieces
from fitsolver.doubts.places import doubtful_places, out_of_place
from fitsolver.doubts.readings import doubtful_readings
from fitsolver.doubts.refusal import refusal
from fitsolver.doubts.set_aside import named_doubts
from fitsolver.doubts.sizes import doubtful_sizes
from fitsolver.doubts.windows import doubtful_windows
from fitsolver.records.doubts import Doubt

FINDERS: Final = (
    doubtful_readings,
    doubtful_places,
    doubtful_sizes,
    doubtful_pieces,
    doubtful_windows,
)
#: Kinds of doubts that rest on the depths of readings.
_BY_PLACE: Final = ("reading", "unworn", "depth", "zero")


def doubts_of(look: Look) -> tuple[Doubt, ...]:
    """Return every doubt of a job's figures, accepted or not; at most one for each figure.

    Where most depths of a cylinder lie outside its zone, that is its only doubt: what its readings
    say by their places rests on the zone.
    """
    found: dict[str, Doubt] = {}
    elsewhere = out_of_place(look)
    for finder in FINDERS:
        for doubt in finder(look):
            if not (elsewhere and _is_by_place(doubt, elsewhere)):
                found.setdefault(doubt.id, doubt)
    return tuple(found.values())


def _is_by_place(doubt: Doubt, cylinders: Collection[str]) -> bool:
    """Tell whether a doubt rests on where the readings of one of these cylinders were taken."""
    kind, _, named = doubt.id.partition(" ")
    return kind in _BY_PLACE and named.partition("/")[0] in cylinders


def is_accepted(doubt: Doubt, accept: Iterable[str]) -> bool:
    """Tell whether a doubt is accepted: by its id, or its cylinder's readings as a whole."""
    names = {" ".join(name.split()) for name in accept}
    return doubt.id in names or doubt.id.partition("/")[0] in names


def refuse_doubts(look: Look) -> None:
    """Raise one InputError that lists every doubt which the job does not accept by name.

    They include the doubts of catalogue rows named by the job: these rows cannot be left out.
    """
    left = [doubt for doubt in doubts_of(look) if not is_accepted(doubt, look.job.accept)]
    _refuse(look, left)


def refuse_places(look: Look) -> None:
    """Raise the same error where a zone or the depths of most readings are doubted."""
    if out_of_place(look):
        refuse_doubts(look)


def refuse_named(look: Look) -> None:
    """Raise the same error for catalogue rows alone, after the job's own figures were judged."""
    _refuse(look, [])


def _refuse(look: Look, left: list[Doubt]) -> None:
    if look.catalogue is not None:
        left += named_doubts(look.job, look.catalogue)
    if left:
        raise refusal(left)


def accepted_doubts(look: Look) -> tuple[Doubt, ...]:
    """Return the doubts that the job accepts by name."""
    return tuple(doubt for doubt in doubts_of(look) if is_accepted(doubt, look.job.accept))
