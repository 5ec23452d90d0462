"""Every verb with a route or a tab is asked through the page, and answers as the library does."""

from __future__ import annotations

import json
from typing import Any

import pytest
from fastapi.testclient import TestClient

import fitsolver
from fitsolver.reporting.schema import to_json
from fitsolver.verbs.registry import TABS, VERBS, registered
from fitsolver.verbs.verb import loaded

from .serving import DEMOS

ROUTED = [verb.name for verb in VERBS if verb.route]
SAW = DEMOS / "brushsaw"
#: The job that a verb is asked about, where not that of the brush saw.
JOBS = {"budget": "guarded", "final": "finished"}
#: What a verb asks for that is asked for no job.
READINGS = [
    {"bore": f"b{b}", "person": f"p{p}", "reading": 6_231_000 + 900 * b + (7 * b + 5 * p + n) % 4}
    for b in range(5)
    for p in range(2)
    for n in range(3)
]
OTHERS: dict[str, dict[str, Any]] = {
    "gauge": {"readings": READINGS},
    "counter": {"family": "p62", "sizes": ["62.31"], "catalogue": "pump"},
    "pair": {
        "bores": [{"name": "1", "size": 7_400_000}],
        "pieces": [{"number": "P", "piece": "1", "size": 7_395_400}],
        "low": 4_400,
        "high": 4_800,
    },
}


def asked(name: str, client: TestClient) -> dict[str, Any]:
    """Return the body of a request; a job to hone has its readings in itself."""
    if name in OTHERS:
        return OTHERS[name]
    if name == "hone":
        made = client.post("/jobs/example", data={"which": "pump/job"}).headers["location"]
        return {"job": client.get(f"{made}/job.toml").text, "catalogue": "pump"}
    sent: dict[str, Any] = {
        "job": (SAW / f"{JOBS.get(name, 'job')}.toml").read_text(),
        "catalogue": "brushsaw",
    }
    if name == "arrived":
        sent["ordered"] = json.loads(to_json(fitsolver.pick(SAW / "job.toml")))
    return sent


@pytest.mark.parametrize("name", ROUTED)
def test_route_answers_with_the_document_of_the_verb(client: TestClient, name: str) -> None:
    verb = registered(name)
    answer = client.post(f"/api/{name}", json=asked(name, client))
    assert answer.status_code == 200, answer.text
    record = loaded(verb.answer).model_validate_json(answer.text)
    assert to_json(record) == answer.text
    if verb.route == "job":
        function = getattr(fitsolver, verb.on_files.partition(":")[2])
        assert record == function(SAW / f"{JOBS.get(name, 'job')}.toml")


def test_the_description_has_the_words_of_the_registry(client: TestClient) -> None:
    paths = client.get("/api/openapi.json").json()["paths"]
    for name in ROUTED:
        assert paths[f"/api/{name}"]["post"]["summary"] == registered(name).summary
    posted = {path.removeprefix("/api/") for path, ways in paths.items() if "post" in ways}
    assert posted == {*ROUTED, "catalogues/upload"}


@pytest.mark.parametrize("name", TABS)
def test_tab_leads_to_the_report(client: TestClient, name: str) -> None:
    which = f"brushsaw/{JOBS.get(name, 'job')}"
    made = client.post("/jobs/example", data={"which": which})
    job = made.headers["location"]
    page = client.get(f"{job}/report/{name}")
    if name == "final":  # the step Check has it
        assert page.headers["location"] == f"{job}/check"
        return
    assert page.status_code == 200
    assert TABS[name] in page.text
