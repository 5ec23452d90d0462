"""The verbs as a JSON API: the records of the library in and out, the same bytes as `--json`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response, UploadFile
from pydantic import BaseModel, ConfigDict, Field
from starlette.concurrency import run_in_threadpool

from fitsolver.errors import InputError
from fitsolver.loading import hold_together
from fitsolver.page.bench import content_of
from fitsolver.page.room import Room, room_of
from fitsolver.page.tasks import VERBS
from fitsolver.page.uploads import contents
from fitsolver.reading.job_file import job_of
from fitsolver.reading.job_text import job_text
from fitsolver.records.alternatives import AlternativesAnswer
from fitsolver.records.base import Record
from fitsolver.records.budget import BudgetAnswer
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.final import FinalAnswer
from fitsolver.records.firm import FirmAnswer
from fitsolver.records.forms_answer import FormsAnswer
from fitsolver.records.job import Job
from fitsolver.records.ladder import LadderAnswer
from fitsolver.records.plan import Answer
from fitsolver.records.review import CatalogueReview
from fitsolver.records.stages import StagesAnswer
from fitsolver.records.verdicts import FitsAnswer
from fitsolver.records.why import WhyAnswer
from fitsolver.reporting.schema import to_json

_ANSWERS: dict[str, tuple[type[Record], str]] = {
    "pick": (Answer, "The best plan, proven and checked, or why nothing fits"),
    "why": (WhyAnswer, "Why nothing fits and what would open it, or why the plan is as it is"),
    "alternatives": (AlternativesAnswer, "The next best plans, with what each costs"),
    "ladder": (LadderAnswer, "Larger sizes and rebuilds left"),
    "plan": (StagesAnswer, "The route of every cylinder in stages"),
    "firm": (FirmAnswer, "How far figures may go before other parts are picked"),
    "fits": (FitsAnswer, "Part sets that fit the bores as they are"),
    "budget": (BudgetAnswer, "What makes each fit uncertain"),
    "final": (FinalAnswer, "Pass or fail for every fit of finished cylinders"),
    "bore": (FormsAnswer, "The form of the measured bores"),
}

router = APIRouter(prefix="/api", tags=["verbs"])


class Refusal(BaseModel):
    """What was refused: where it stands, what was found and what is allowed."""

    message: str
    file: str = ""
    row: str = ""
    field: str = ""
    found: str = ""
    allowed: str = ""


class Asked(BaseModel):
    """A job, as a record (lengths in ticks of 10 nm) or as the text of a job file; a catalogue."""

    model_config = ConfigDict(extra="forbid")
    job: Job | str = Field(description="a job record, or the text of a job file (TOML)")
    catalogue: str = Field(
        max_length=200, description="key of a catalogue that is known here: see /api/catalogues"
    )
    accept_outliers: bool = Field(
        default=False, description="take readings that their neighbours contradict"
    )


class Shelved(BaseModel):
    """A catalogue that is known here."""

    key: str
    name: str
    family: str
    pistons: int
    rings: int


REFUSALS: dict[int | str, dict[str, Any]] = {
    400: {"model": Refusal, "description": "bad input: what, where, what is allowed"},
    401: {"description": "the token is missing"},
    403: {"description": "the request comes from another site"},
    413: {"description": "too large"},
    422: {"description": "the request is not as described here"},
    429: {"model": Refusal, "description": "too much is being asked; ask again in a moment"},
}


def understood(asked: Asked, room: Room) -> tuple[Job, Catalogue]:
    """Return the job and catalogue of a request; raises InputError as a job file does.

    A record goes the way of a file: what no file can say is refused, whoever sends it.
    """
    catalogue = room.shelf.get(asked.catalogue)
    text = asked.job if isinstance(asked.job, str) else _text(asked.job)
    job = job_of(content_of(text), Path("job"), None, accept_outliers=asked.accept_outliers)
    hold_together(job, catalogue)
    return job, catalogue


def _text(job: Job) -> str:
    try:
        return job_text(job)
    except (ValueError, ArithmeticError) as error:
        raise InputError("this job cannot be", found=str(error)) from error


def document(record: Record) -> Response:
    """Return a record as its JSON document, byte for byte as the command line writes it."""
    return Response(to_json(record), media_type="application/json")


def _add(verb: str) -> None:
    model, summary = _ANSWERS[verb]

    @router.post(
        f"/{verb}",
        name=verb,
        summary=summary,
        response_class=Response,
        responses={200: {"model": model, "description": summary}, **REFUSALS},
    )
    async def answer(
        asked: Asked, request: Request, room: Annotated[Room, Depends(room_of)]
    ) -> Response:
        job, catalogue = understood(asked, room)
        return document(await room.answer(request, verb, job, catalogue))


for _verb in VERBS:
    _add(_verb)


@router.get("/catalogues", summary="The catalogues that are known here")
async def catalogues(room: Annotated[Room, Depends(room_of)]) -> list[Shelved]:
    return [
        Shelved(key=k, name=c.name, family=c.family, pistons=len(c.pistons), rings=len(c.rings))
        for k, c in room.shelf.all().items()
    ]


@router.get(
    "/catalogues/{key}",
    summary="What a catalogue holds, and its doubtful entries",
    response_class=Response,
    responses={200: {"model": CatalogueReview}, 400: REFUSALS[400]},
)
async def review(key: str, room: Annotated[Room, Depends(room_of)]) -> Response:
    from fitsolver import __version__
    from fitsolver.catalogue_review import review as look

    return document(look(room.shelf.get(key), __version__))


@router.post(
    "/catalogues/upload",
    summary="Upload a catalogue: the files of its folder",
    status_code=201,
    responses={400: REFUSALS[400], 413: REFUSALS[413]},
)
async def upload(files: list[UploadFile], room: Annotated[Room, Depends(room_of)]) -> Shelved:
    key = await run_in_threadpool(room.shelf.upload, await contents(files))
    made = room.shelf.get(key)
    return Shelved(
        key=key,
        name=made.name,
        family=made.family,
        pistons=len(made.pistons),
        rings=len(made.rings),
    )
