"""The counter: one bore in, the kits and part sets that fit it out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Annotated, Final, TypedDict

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse

from fitsolver.base.errors import InputError
from fitsolver.choices.asked import question
from fitsolver.page.bench import FILE
from fitsolver.page.room import In
from fitsolver.reading.job_file import job_of
from fitsolver.records.base import RuleId
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.figures import Figures, money
from fitsolver.records.job import Job
from fitsolver.records.verdicts import FitsAnswer, PartSet
from fitsolver.records.words import RULE_WORDS
from fitsolver.usecases.loading import hold_together

router = APIRouter(include_in_schema=False)
Text = Annotated[str, Query(max_length=40)]
_SHOWN = 25
#: Fits that may be left open here, and what they are called.
OPEN: Final = {"clearance": "clearance", "end_gap": "end gap"}


class _Asked(TypedDict):
    fields: dict[str, str]
    refusal: str
    sets: list[PartSet] | None
    missed: list[PartSet]
    open: dict[str, str]
    opened: list[str]
    not_asked: tuple[str, ...]


class CounterShown(_Asked, total=False):
    """What the counter shows: the form, and with a bore the part sets in figures and words."""

    figures: Figures
    currency: str
    money: Callable[[int, str], str]
    rules: Mapping[RuleId, str]


@router.get("/counter")
async def counter(  # noqa: PLR0913, PLR0917 - one for each field of the form
    request: Request,
    room: In,
    catalogue: Annotated[str, Query(max_length=200)] = "",
    bore: Text = "",
    half_width: Text = "",
    low: Text = "",
    high: Text = "",
    gap_low: Text = "",
    gap_high: Text = "",
    left_open: Annotated[list[str] | None, Query(max_length=4)] = None,
) -> HTMLResponse:
    """Which part sets fit a finished bore."""
    fields = {
        "catalogue": catalogue,
        "bore": bore,
        "half_width": half_width,
        "low": low,
        "high": high,
        "gap_low": gap_low,
        "gap_high": gap_high,
    }
    opened = [fit for fit in OPEN if fit in (left_open or ())]
    shown: CounterShown = {
        "fields": fields,
        "refusal": "",
        "sets": None,
        "missed": [],
        "open": OPEN,
        "opened": opened,
        "not_asked": (),
    }
    if bore:
        try:
            job, parts = _job(fields, room.shelf.get(catalogue), opened)
            shown["not_asked"] = question(job, parts).not_asked
            found = await room.answer(request, "fits", job, parts)
            assert isinstance(found, FitsAnswer)
            shown["figures"], shown["currency"] = Figures(found.unit), found.currency
            shown["money"], shown["rules"] = money, RULE_WORDS
            shown["sets"], shown["missed"] = _fitting(found), _nearest(found)
        except InputError as error:
            shown["refusal"] = str(error)
    return room.show(request, "counter.html", catalogues=room.shelf.all(), **shown)


def _job(fields: dict[str, str], parts: Catalogue, opened: list[str]) -> tuple[Job, Catalogue]:
    """Return the job of one finished bore, fits left open by name, and the catalogue it may use.

    Raises InputError as a job file does.
    """
    windows = [
        {"fit": fit, **{key: text for key, text in (("low", low), ("high", high)) if text}}
        for fit, low, high in (
            ("clearance", fields["low"], fields["high"]),
            ("end_gap", fields["gap_low"], fields["gap_high"]),
        )
        if low or high
    ]
    data: dict[str, object] = {
        "name": f"bore {fields['bore']}",
        "units": parts.unit,
        "finish": {"how": "already finished"},
        "window": windows,
        "no_window": opened,
        "cylinder": [
            {
                "name": "1",
                "material": "iron",
                "finished_size": fields["bore"],
                "finished_half_width": fields["half_width"] or "0",
            }
        ],
    }
    job = job_of({key: value for key, value in data.items() if value}, FILE, None)
    return job, hold_together(job, parts)


def _fitting(found: FitsAnswer) -> list[PartSet]:
    return [item for item in found.sets if item.holds][:_SHOWN]


def _nearest(found: FitsAnswer) -> list[PartSet]:
    """Return what comes nearest where nothing fits."""
    return [] if any(item.holds for item in found.sets) else list(found.sets[:3])
