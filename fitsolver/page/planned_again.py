"""A new plan of a job, with its bores as they are after passes at the hone."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Final

from fitsolver.page.content import Content, shown, tables
from fitsolver.reading.job_text import job_content
from fitsolver.records.job import Job

#: The fields of a cylinder that honing changes.
_CHANGED: Final = ("readings", "temperatures", "scratch", "unworn")


def now_measured(data: Mapping[str, object], now: Job) -> Content:
    """Return the content of a job, its bores as they are `now`; all else as it was typed.

    A half-honed bore has no usual size, and differs from its neighbours. That is no reason to doubt
    the gauge's zero: the first plan already relied on it.
    """
    new = copy.deepcopy(dict(data))
    new["name"] = f"{shown(data.get('name')) or 'job'}, planned again"
    told = {shown(item.get("name")): item for item in tables(job_content(now), "cylinder")}
    for cylinder in tables(new, "cylinder"):
        found = told[shown(cylinder.get("name"))]
        for key in _CHANGED:
            cylinder.pop(key, None)
            if key in found:
                cylinder[key] = found[key]
    accepted = new.get("accept")
    before = list(accepted) if isinstance(accepted, list) else []
    known = [f"{kind} {name}" for name in told for kind in ("zero", "unworn")]
    new["accept"] = list(dict.fromkeys([*before, *known]))
    return new
