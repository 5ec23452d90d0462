"""The verbs as a JSON API: the records of the library in and out, the same bytes as `--json`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Annotated, TypeVar

from fastapi import APIRouter, Request, Response, UploadFile
from pydantic import BaseModel, ConfigDict, Field
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import LONGEST, Unit
from fitsolver.page import counter_task, tasks
from fitsolver.page.asked import Asked, understood
from fitsolver.page.misunderstood import WrongField
from fitsolver.page.risk import RISK
from fitsolver.page.room import In, Room
from fitsolver.page.uploads import contents
from fitsolver.reading.owners import nearest_shop
from fitsolver.records.base import Length, Record
from fitsolver.records.budget import Batch
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.gauge import GaugeReading
from fitsolver.records.job import Job
from fitsolver.records.pairing import MeasuredBore, MeasuredPiece
from fitsolver.records.plan import Answer
from fitsolver.records.review import CatalogueReview
from fitsolver.reporting.schema import to_json
from fitsolver.usecases.counter_files import equal_job
from fitsolver.verbs.registry import VERBS, registered
from fitsolver.verbs.verb import loaded

T = TypeVar("T", bound=Callable[..., object])
router = APIRouter(prefix="/api", tags=["verbs"])


class Refusal(BaseModel):
    """What was refused: where it stands, what was found and what is allowed."""

    message: str
    file: str = ""
    row: str = ""
    field: str = ""
    found: str = ""
    allowed: str = ""


class Misunderstood(BaseModel):
    """What of a request is not as described: the first wrong field, and all of them."""

    message: str
    field: str = ""
    details: list[WrongField] = []


class AlternativesAsked(Asked):
    """So many plans; with `front` also all those that none beats in price, time and removal."""

    count: int = Field(default=5, ge=1, le=50)
    front: bool = False


class BudgetAsked(Asked):
    """With the clearances that a batch truly has also its consumer's and producer's risk."""

    batch: Batch | None = None


class ArrivedAsked(Asked):
    """Parts that were ordered by an answer, and the job with them as they measure."""

    ordered: Answer


class HoneAsked(Asked):
    """A job at the hone, and its log of passes as text, one entry a line (empty: none yet)."""

    log: str = Field(default="", max_length=1_000_000)
    cylinder: str | None = Field(default=None, max_length=200)
    stones: str | None = Field(default=None, max_length=200)
    risk: float = Field(default=RISK, ge=0.0001, le=0.5, description="of passing the highest size")
    accept: tuple[str, ...] = Field(
        default=(), max_length=1_000, description="ids of doubts of the log that are accepted"
    )


class GaugeAsked(BaseModel):
    """Repeated readings of a few bores (ticks); `window` is the width to be decided on."""

    model_config = ConfigDict(extra="forbid")
    readings: tuple[GaugeReading, ...] = Field(max_length=10_000)
    unit: Unit = "mm"
    window: Length | None = Field(default=None, gt=0)
    permissible_error: Length = Field(default=0, ge=0)


class PairAsked(BaseModel):
    """Measured bores and pieces (ticks), and the window on bore minus piece (ticks)."""

    model_config = ConfigDict(extra="forbid")
    bores: tuple[MeasuredBore, ...] = Field(min_length=1, max_length=10_000)
    pieces: tuple[MeasuredPiece, ...] = Field(min_length=1, max_length=10_000)
    low: Length = Field(ge=-LONGEST, le=LONGEST)
    high: Length = Field(ge=-LONGEST, le=LONGEST)
    unit: Unit = "mm"


class CounterAsked(BaseModel):
    """A family by its name, or enough of it; one bore as people write it for each cylinder."""

    model_config = ConfigDict(extra="forbid")
    family: str = Field(max_length=200)
    sizes: tuple[Annotated[str, Field(max_length=60)], ...] = Field(min_length=1, max_length=100)
    catalogue: str = Field(
        max_length=200, description="key of a catalogue that is known here: see /api/catalogues"
    )
    kits_only: bool = False
    in_stock: bool = False


class Shelved(BaseModel):
    """A catalogue that is known here."""

    key: str
    name: str
    family: str
    pistons: int
    rings: int


Responses = dict[int | str, dict[str, object]]
REFUSALS: Responses = {
    400: {"model": Refusal, "description": "bad input: what, where, what is allowed"},
    401: {"description": "the token is missing"},
    403: {"description": "the request comes from another site"},
    413: {"description": "too large"},
    422: {"model": Misunderstood, "description": "the request is not as described here"},
    429: {"model": Refusal, "description": "too much is being asked; ask again in a moment"},
}


async def _understood(asked: Asked, room: Room) -> tuple[Job, Catalogue]:
    """Return the same, away from those who wait for other answers."""
    return await run_in_threadpool(understood, asked, room)


def document(record: Record) -> Response:
    """Return a record as its JSON document, byte for byte as the command line writes it."""
    return Response(to_json(record), media_type="application/json")


def _route(name: str) -> Callable[[T], T]:
    """Return the route of a verb: its document, described as the registry says."""
    verb = registered(name)
    described = {"model": loaded(verb.answer), "description": verb.summary}
    return router.post(
        f"/{name}",
        name=name,
        summary=verb.summary,
        response_class=Response,
        responses={200: described, **REFUSALS},
    )


def _add(name: str) -> None:
    @_route(name)
    async def answer(asked: Asked, request: Request, room: In) -> Response:
        job, catalogue = await _understood(asked, room)
        return document(await room.answer(request, name, job, catalogue))


for _verb in VERBS:
    if _verb.route == "job":
        _add(_verb.name)


@_route("alternatives")
async def alternatives(asked: AlternativesAsked, request: Request, room: In) -> Response:
    job, catalogue = await _understood(asked, room)
    return document(
        await room.ask(
            request, tasks.alternatives, job, catalogue, asked.count, asked.front, room.most
        )
    )


@_route("budget")
async def budget(asked: BudgetAsked, request: Request, room: In) -> Response:
    job, catalogue = await _understood(asked, room)
    return document(await room.ask(request, tasks.budget, job, catalogue, asked.batch))


@_route("arrived")
async def arrived(asked: ArrivedAsked, request: Request, room: In) -> Response:
    job, catalogue = await _understood(asked, room)
    return document(await room.ask(request, tasks.arrived, job, catalogue, asked.ordered))


@_route("hone")
async def hone(asked: HoneAsked, request: Request, room: In) -> Response:
    job, catalogue = await _understood(asked, room)
    answer = await room.pick(request, job, catalogue)
    if answer.plan is None:
        raise InputError("nothing fits, so there is no size to hone to")
    passes = (answer.plan, asked.log, asked.risk, asked.cylinder, asked.stones, asked.accept)
    return document(await room.ask(request, tasks.at_the_hone, job, catalogue, *passes))


def _question(asked: CounterAsked, room: Room) -> tuple[Job, Catalogue]:
    folder = room.shelf.folder(asked.catalogue)
    try:
        return equal_job((asked.family, *asked.sizes), folder, nearest_shop(folder))
    except InputError as error:  # told by the file's name, not by where it lies here
        error.file = Path(error.file).name
        raise


@_route("counter")
async def counter(asked: CounterAsked, request: Request, room: In) -> Response:
    job, catalogue = await run_in_threadpool(_question, asked, room)
    sold = (asked.kits_only, asked.in_stock)
    return document(await room.ask(request, counter_task.counter, job, catalogue, *sold))


@_route("gauge")
async def gauge(asked: GaugeAsked, request: Request, room: In) -> Response:
    widths = (asked.window, asked.permissible_error)
    return document(await room.ask(request, tasks.gauge, asked.readings, asked.unit, *widths))


@_route("pair")
async def pair(asked: PairAsked, request: Request, room: In) -> Response:
    window = (asked.low, asked.high, asked.unit, room.most)
    return document(await room.ask(request, tasks.pair, asked.bores, asked.pieces, *window))


@router.get("/catalogues", summary="The catalogues that are known here")
async def catalogues(room: In) -> list[Shelved]:
    return [_shelved(key, catalogue) for key, catalogue in room.shelf.all().items()]


def _shelved(key: str, catalogue: Catalogue) -> Shelved:
    return Shelved(
        key=key,
        name=catalogue.name,
        family=catalogue.family,
        pistons=len(catalogue.pistons),
        rings=len(catalogue.rings),
    )


@router.get(
    "/catalogues/{key}",
    summary="What a catalogue holds, and its doubtful entries",
    response_class=Response,
    responses={200: {"model": CatalogueReview}, 400: REFUSALS[400]},
)
async def review(key: str, room: In) -> Response:
    from fitsolver.base.version import __version__
    from fitsolver.usecases.catalogue_review import review as look

    return document(look(room.shelf.get(key), __version__))


@router.post(
    "/catalogues/upload",
    summary="Upload a catalogue: the files of its folder",
    status_code=201,
    responses={400: REFUSALS[400], 413: REFUSALS[413]},
)
async def upload(request: Request, files: list[UploadFile], room: In) -> Shelved:
    key = await room.take_in(request, await contents(files))
    return _shelved(key, room.shelf.get(key))
