"""The JSON API: the bytes of the command line, the gate of a job file."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from fitsolver import alternatives, bore, firm, ladder, machining_plan, part_sets, pick, why
from fitsolver.reading.job_file import read_job
from fitsolver.reporting.schema import to_json

from .serving import DEMOS

LIBRARY = {
    "pick": pick,
    "why": why,
    "alternatives": alternatives,
    "ladder": ladder,
    "plan": machining_plan,
    "fits": part_sets,
}


@pytest.mark.parametrize("demo", ["pump", "launch", "brushsaw"])
def test_page_command_and_library_give_the_same_bytes(
    client: TestClient, tmp_path: Path, demo: str
) -> None:
    job = str(client.post("/jobs/example", data={"which": f"{demo}/job"}).headers["location"])
    file = tmp_path / "job.toml"
    file.write_bytes(client.get(f"{job}/job.toml").content)
    folder = DEMOS / demo
    command = [sys.executable, "-m", "fitsolver", "pick", str(file), "-c", str(folder), "--json"]
    by_command = subprocess.run(command, capture_output=True, check=True).stdout
    assert client.get(f"{job}/answer.json").content == by_command
    assert to_json(pick(file, folder)).encode() == by_command
    sent = {"job": file.read_text(), "catalogue": demo}
    assert client.post("/api/pick", json=sent).content == by_command


@pytest.mark.parametrize("demo", ["pump", "launch", "brushsaw"])
def test_a_record_gives_the_plan_of_its_file(client: TestClient, demo: str) -> None:
    path = DEMOS / demo / "job.toml"
    record = read_job(path).model_dump(mode="json")
    answer = client.post("/api/pick", json={"job": record, "catalogue": demo}).json()
    assert answer["plan"] == json.loads(to_json(pick(path)))["plan"]


@pytest.mark.parametrize("verb", LIBRARY)
def test_every_verb_answers_as_the_library_does(client: TestClient, verb: str) -> None:
    path = DEMOS / "brushsaw" / "job.toml"
    sent = {"job": path.read_text(), "catalogue": "brushsaw"}
    assert client.post(f"/api/{verb}", json=sent).text == to_json(LIBRARY[verb](path))


def test_bore_and_firm_too(client: TestClient) -> None:
    path = DEMOS / "brushsaw" / "job.toml"
    sent = {"job": path.read_text(), "catalogue": "brushsaw"}
    assert client.post("/api/bore", json=sent).text == to_json(bore(path))
    assert client.post("/api/firm", json=sent).text == to_json(firm(path))


@pytest.mark.parametrize(
    ("sent", "code", "said"),
    [
        ({"job": "name = 1", "catalogue": "pump"}, 400, "units"),
        ({"job": "=", "catalogue": "pump"}, 400, "TOML"),
        ({"job": "", "catalogue": "no such"}, 400, "not known here"),
        ({"job": {"name": "x"}, "catalogue": "pump"}, 422, "cylinders"),
        ({"catalogue": "pump"}, 422, "job"),
        ({"job": "", "catalogue": "pump", "more": 1}, 422, "more"),
    ],
)
def test_bad_input_is_one_clear_message(
    client: TestClient, sent: dict[str, object], code: int, said: str
) -> None:
    answer = client.post("/api/pick", json=sent)
    assert answer.status_code == code
    assert said in json.dumps(answer.json())


def test_a_record_that_no_file_can_say_is_refused(client: TestClient) -> None:
    record = read_job(DEMOS / "pump" / "job.toml").model_dump(mode="json")
    record["cylinders"][0]["readings"][0]["size"] += 7  # no longer zero plus dial
    answer = client.post("/api/pick", json={"job": record, "catalogue": "pump"})
    assert answer.status_code == 400
    assert "dial" in answer.json()["found"]


def test_catalogues_are_told_and_reviewed(client: TestClient) -> None:
    keys = [item["key"] for item in client.get("/api/catalogues").json()]
    assert {"pump", "launch", "brushsaw"} <= set(keys)
    assert client.get("/api/catalogues/pump").json()["catalogue"] == "Portable pump, parts shelf"
    assert client.get("/api/catalogues/none").status_code == 400
