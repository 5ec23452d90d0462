"""An example for every body of the API: requests about the demonstration job of a brush saw."""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable
from copy import deepcopy
from typing import Final, TypedDict

from fitsolver.base.demos import demo_folders
from fitsolver.records.plan import Answer
from fitsolver.reporting.schema import to_json

Body = dict[str, object]
Ordered = Callable[[Body], Awaitable[Answer]]


class Content(TypedDict, total=False):
    """A body in one format, as OpenAPI describes it."""

    example: Body


class RequestBody(TypedDict):
    """The body of a request: its formats by media type."""

    content: dict[str, Content]


class Operation(TypedDict, total=False):
    """A method of a path."""

    requestBody: RequestBody


class Description(TypedDict):
    """A description of an API (OpenAPI): its paths, and of each its methods."""

    paths: dict[str, dict[str, Operation]]


_DEMO: Final = "brushsaw"
#: The job that a verb is asked about, where not `job`.
_JOBS: Final = {"budget": "guarded", "final": "finished"}
_HONED: Final = "pump"
#: Invented: three bores that two people read three times each, and a window of 0.025 mm.
_GAUGE: Final[Body] = {
    "readings": [
        {"bore": bore, "person": person, "reading": 6_231_000 + size + slip}
        for bore, size in (("A", 0), ("B", 900), ("C", 1_800))
        for person, slips in (("first", (0, 100, 0)), ("second", (100, 200, 100)))
        for slip in slips
    ],
    "window": 2_500,
}
#: Invented: two bores, two pieces, 0.044 to 0.048 mm between them.
_PAIR: Final[Body] = {
    "bores": [{"name": "1", "size": 7_400_000}, {"name": "2", "size": 7_400_200}],
    "pieces": [
        {"number": "P", "piece": "1", "size": 7_395_400},
        {"number": "P", "piece": "2", "size": 7_395_600},
    ],
    "low": 4_400,
    "high": 4_800,
}


async def with_examples(described: Description, ordered: Ordered) -> Description:
    """Return a description with an example for every body that is asked for as JSON.

    `ordered` answers what is ordered for the job of a body.
    """
    described = deepcopy(described)
    for path, ways in described["paths"].items():
        asked = ways.get("post", Operation()).get("requestBody")
        content = {} if asked is None else asked["content"]
        if "application/json" in content:
            body = await _body(path.removeprefix("/api/"), ordered)
            content["application/json"]["example"] = body
    return described


async def _body(verb: str, ordered: Ordered) -> Body:
    if verb == "gauge":
        return _GAUGE
    if verb == "pair":
        return _PAIR
    if verb == "counter":
        return {"family": "P62", "sizes": ["62.31"], "catalogue": _HONED}
    if verb == "hone":
        return {**_asked(_HONED, "job"), "log": "1, 10, 180, 20, 8 thrust 0.110\n"}
    body = _asked(_DEMO, _JOBS.get(verb, "job"))
    if verb == "arrived":
        body["ordered"] = json.loads(to_json(await ordered(body)))
    return body


def _asked(demo: str, job: str) -> Body:
    """Return a job of a demonstration as text with its readings sheets, and its catalogue."""
    folder = demo_folders()[demo]
    text = (folder / f"{job}.toml").read_text(encoding="utf-8")
    sheets = {
        file.name: file.read_text(encoding="utf-8")
        for file in [folder / "readings.csv"]
        if file.name in text
    }
    return {"job": text, "catalogue": demo, **({"sheets": sheets} if sheets else {})}
