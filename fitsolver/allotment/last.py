"""An earlier answer, to start from: components that did not change are taken over as they are."""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError

from fitsolver.allotment.component import Component
from fitsolver.allotment.result import Result
from fitsolver.allotment.start import Keys, keys_of
from fitsolver.errors import InputError
from fitsolver.reading.files import read_text
from fitsolver.records.allotment import AllotmentAnswer, ComponentResult, StockLine


def to_keep(part: Component, result: Result) -> ComponentResult:
    """Return a proven result as it is written into the answer."""
    return ComponentResult(
        fingerprint=part.fingerprint,
        jobs=tuple(job.name for job in part.jobs),
        served=tuple(result.shares),
        shares=tuple(
            tuple(StockLine(number=n, count=c) for n, c in sorted(share.items()))
            for share in result.shares.values()
        ),
        values=result.values,
        bounds=result.bounds,
    )


def taken_over(kept: ComponentResult) -> Result:
    """Return a result as it was written."""
    shares = {
        name: {line.number: line.count for line in share}
        for name, share in zip(kept.served, kept.shares, strict=True)
    }
    return Result(shares, kept.values, kept.bounds)


def taken_before(last: AllotmentAnswer | None) -> dict[str, Keys]:
    """Return what the jobs of an earlier answer took."""
    if last is None:
        return {}
    plans = {item.job: item.answer.plan for item in last.jobs if item.answer is not None}
    return {name: keys_of(plan) for name, plan in plans.items() if plan is not None}


def read_allotment(path: Path) -> AllotmentAnswer:
    """Return the answer that an earlier run wrote; raises InputError for any other file."""
    try:
        return AllotmentAnswer.model_validate_json(read_text(path))
    except ValidationError as error:
        raise InputError(
            "this is not the JSON document of an allotment",
            file=str(path),
            allowed="what `fitsolver allot SHOP --json` wrote, with this version of the program",
        ) from error
