"""Doubts as one refusal that names them all."""

from __future__ import annotations

from collections.abc import Sequence

from fitsolver.base.errors import InputError
from fitsolver.records.doubts import Doubt


class DoubtedError(InputError):
    """Figures are doubted and not accepted: `doubts` are all of them."""

    doubts: tuple[Doubt, ...] = ()


def refusal(doubts: Sequence[Doubt], kind: str = "figure") -> DoubtedError:
    """Return one refusal with a line for each doubt and the way to accept it."""
    lines = [f"  {doubt.id}: {doubt.sentence}" for doubt in doubts]
    names = ", ".join(f'"{doubt.id}"' for doubt in doubts)
    what = f"this {kind} is doubted" if len(doubts) == 1 else f"{len(doubts)} {kind}s are doubted"
    of_window = any(doubt.id.startswith("window ") for doubt in doubts)
    sheet = " or its family sheet" if of_window else ""
    first = doubts[0]
    error = DoubtedError(
        "\n".join([f"{what}:", *lines]) + "\nCorrect what is wrong. What is right is accepted by "
        f"name: accept = [{names}] in the job{sheet}, or --accept with each",
        file=first.file,
    )
    error.doubts = tuple(doubts)
    return error
