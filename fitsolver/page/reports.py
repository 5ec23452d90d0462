"""The reports of a job, and the drawings that belong to them."""

from __future__ import annotations

from typing import Final, NamedTuple

from fastapi.responses import Response

from fitsolver.records.base import Record
from fitsolver.records.forms_answer import FormsAnswer
from fitsolver.records.hone import HoneAnswer
from fitsolver.records.ladder import LadderAnswer
from fitsolver.records.plan import Answer
from fitsolver.records.stages import StagesAnswer
from fitsolver.verbs import registry

#: Reports of a job: the verb, and what its page is called.
REPORTS: Final = registry.TABS
#: A sheet and a drawing have their looks in themselves, and nothing that runs.
LOOKS_ONLY: Final = {
    "content-security-policy": "default-src 'none'; style-src 'unsafe-inline'; img-src data:; "
    "frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
}


class Drawn(NamedTuple):
    """A drawing of a report: its name, its text alternative, and its verb.

    The profile is drawn from a plan: it shows the finish size too.
    """

    name: str
    shows: str
    of: str


#: The drawing of a report, by the verb.
DRAWN: Final = {
    "bore": Drawn("profile", "Drawing: every axis of every bore against the depth", "pick"),
    "pick": Drawn("fits", "Drawing: every fit as a bar against its window", "pick"),
    "plan": Drawn("stages", "Drawing: what every stage removes", "plan"),
    "ladder": Drawn("sizes", "Drawing: the larger sizes that are left", "ladder"),
}
#: The verb whose answer is drawn, by the drawing's name.
DRAWN_OF: Final = {drawn.name: drawn.of for drawn in DRAWN.values()}


def has_drawing(name: str, answer: Record) -> bool:
    """Tell whether an answer has the content of the drawing of that name."""
    if isinstance(answer, Answer) and name == "fits":
        return answer.plan is not None
    if isinstance(answer, Answer | FormsAnswer):
        return bool(answer.forms)
    assert isinstance(answer, StagesAnswer | LadderAnswer | HoneAnswer)
    return bool(answer.cylinders)


def as_picture(svg: bytes) -> Response:
    """Return a drawing as a picture without active content."""
    return Response(svg, media_type="image/svg+xml", headers=LOOKS_ONLY)
