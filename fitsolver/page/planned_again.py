"""A job begun anew with its bores as they are now, after passes at the hone."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Final

from fitsolver.page.content import Content, shown, tables
from fitsolver.reading.job_text import job_content
from fitsolver.records.job import Job

#: What honing changes of a cylinder.
_CHANGED: Final = ("readings", "temperatures", "scratch", "unworn")


def now_measured(data: Mapping[str, object], now: Job) -> Content:
    """Return the content of a job, its bores as they are `now`; all else as it was typed."""
    new = copy.deepcopy(dict(data))
    new["name"] = f"{shown(data.get('name')) or 'job'}, planned again"
    told = {shown(item.get("name")): item for item in tables(job_content(now), "cylinder")}
    for cylinder in tables(new, "cylinder"):
        found = told[shown(cylinder.get("name"))]
        for key in _CHANGED:
            cylinder.pop(key, None)
            if key in found:
                cylinder[key] = found[key]
    return new
