"""The JSON API: the bytes of the command line, the gate of a job file."""

from __future__ import annotations

import json
import random
import re
import subprocess
import sys
import tomllib
from decimal import Decimal
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from fitsolver.reading.job_file import read_job
from fitsolver.records.pairing import MeasuredBore, MeasuredPiece
from fitsolver.reporting.schema import to_json
from fitsolver.usecases.files import (
    alternatives,
    arrived,
    bore,
    firm,
    hone,
    ladder,
    machining_plan,
    part_sets,
    pick,
    why,
)
from fitsolver.usecases.pair import pair_measured
from fitsolver.usecases.tables import gauge_study

from .serving import DEMOS, ROOT, example, typed

WHOLE = ROOT / "tests" / "format1"

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
    job = example(client, f"{demo}/job")
    file = tmp_path / "job.toml"
    file.write_bytes(client.get(f"{job}/job.toml").content)
    folder = DEMOS / demo
    command = [sys.executable, "-m", "fitsolver", "pick", str(file), "-c", str(folder), "--json"]
    by_command = subprocess.run(command, capture_output=True, check=True).stdout
    assert client.get(f"{job}/answer.json").content == by_command
    assert to_json(pick(file, folder)).encode() == by_command
    sent = {"job": file.read_text(), "catalogue": demo}
    assert client.post("/api/pick", json=sent).content == by_command


@pytest.mark.parametrize("seed", range(6))
def test_drawn_jobs_give_the_same_bytes(client: TestClient, tmp_path: Path, seed: int) -> None:
    """Wear, depth of scratches, days, money and what counts first, all drawn."""
    dice = random.Random(seed)
    demo = dice.choice(("pump", "launch"))
    unit, deep = {"pump": (0.001, 150), "launch": (0.0001, 60)}[demo]
    job = example(client, f"{demo}/job")
    data = tomllib.loads(client.get(f"{job}/job.toml").text, parse_float=Decimal)
    drawn = {
        f"cylinder.{n}.scratch": f"{unit * dice.randrange(deep):.4f}"
        for n, _ in enumerate(data["cylinder"])
    }
    drawn |= {
        "terms.needed_in_days": str(dice.randrange(40)),
        "terms.budget": str(dice.randrange(100, 900)),
        "best": dice.choice(("price, days, part number", "largest removal, price, part number")),
    }
    typed(client, job, **drawn)
    (tmp_path / "job.toml").write_bytes(client.get(f"{job}/job.toml").content)
    by_library = to_json(pick(tmp_path / "job.toml", DEMOS / demo)).encode()
    assert client.get(f"{job}/answer.json").content == by_library
    sent = {"job": (tmp_path / "job.toml").read_text(), "catalogue": demo}
    assert client.post("/api/pick", json=sent).content == by_library


@pytest.mark.parametrize("demo", ["pump", "launch", "brushsaw"])
def test_a_record_gives_the_plan_of_its_file(client: TestClient, demo: str) -> None:
    path = DEMOS / demo / "job.toml"
    record = read_job(path).model_dump(mode="json")
    answer = client.post("/api/pick", json={"job": record, "catalogue": demo}).json()
    whole = WHOLE / demo / "job.toml"  # states every figure itself, as the record does
    expected = pick(whole if whole.exists() else path)
    assert answer["plan"] == json.loads(to_json(expected))["plan"]


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


def test_alternatives_as_many_as_asked_for_and_the_front(client: TestClient) -> None:
    path = DEMOS / "brushsaw" / "job.toml"
    sent = {"job": path.read_text(), "catalogue": "brushsaw", "count": 2, "front": True}
    answer = client.post("/api/alternatives", json=sent)
    assert answer.text == to_json(alternatives(path, count=2, front=True))
    assert client.post("/api/alternatives", json={**sent, "count": 0}).status_code == 422


def test_the_hone_reads_a_log_as_the_command_does(client: TestClient, tmp_path: Path) -> None:
    job = example(client, "pump/job")
    file, log = tmp_path / "job.toml", tmp_path / "job.hone"
    file.write_bytes(client.get(f"{job}/job.toml").content)
    log.write_text("1, 10, 220,, 8 thrust 0.085, 74 thrust 0.080\n1, 12, 220,, 8 thrust 0.1\n")
    sent = {"job": file.read_text(), "catalogue": "pump", "log": log.read_text(), "risk": 0.01}
    answer = client.post("/api/hone", json=sent)
    assert answer.text == to_json(hone(file, DEMOS / "pump", risk=0.01))
    refused = client.post("/api/hone", json={**sent, "log": "1, 10, 220,, 8 thrust nonsense\n"})
    assert refused.status_code == 400
    assert refused.json()["file"] == "job.hone"  # and not where it lay
    assert refused.json()["row"] == "1"


def test_parts_that_were_ordered_are_judged_as_the_command_does(
    client: TestClient, tmp_path: Path
) -> None:
    path, ordered = DEMOS / "brushsaw" / "job.toml", tmp_path / "answer.json"
    sent = {"job": path.read_text(), "catalogue": "brushsaw"}
    ordered.write_text(client.post("/api/pick", json=sent).text)
    answer = client.post("/api/arrived", json={**sent, "ordered": json.loads(ordered.read_text())})
    assert answer.text == to_json(arrived(path, ordered))
    empty = {**json.loads(ordered.read_text()), "plan": None}
    refused = client.post("/api/arrived", json={**sent, "ordered": empty})
    assert refused.status_code == 400
    assert "nothing was ordered" in refused.json()["message"]


def test_a_gauge_study_finds_what_the_command_finds(client: TestClient, tmp_path: Path) -> None:
    rows = [
        (b, p, 6_231_000 + 900 * b + (7 * b + 5 * p + 3 * n) % 4 * 100)
        for b in range(5)
        for p in range(2)
        for n in range(3)
    ]
    table = tmp_path / "gauge.csv"
    lines = [f"b{b},p{p},{reading / 100_000:.5f}" for b, p, reading in rows]
    table.write_text("bore,person,reading [mm]\n" + "\n".join(lines) + "\n")
    readings = [{"bore": f"b{b}", "person": f"p{p}", "reading": r} for b, p, r in rows]
    answer = client.post("/api/gauge", json={"readings": readings, "window": 3000})
    assert answer.text == to_json(gauge_study(table, "0.03"))
    assert client.post("/api/gauge", json={"readings": readings[:1]}).status_code == 400


def test_readings_accepted_once_are_not_accepted_for_the_next(client: TestClient) -> None:
    text = (DEMOS / "pump" / "job.toml").read_text()
    job = example(client, "pump/job")
    text = (
        client.get(f"{job}/job.toml")
        .text.replace('"0.074"', '"0.74"')
        .replace("dial = 0.074", "dial = 0.74")
    )
    assert "0.74" in text
    for accept, code in ((False, 400), (True, 200), (False, 400)):
        sent = {"job": text, "catalogue": "pump", "accept_outliers": accept}
        assert client.post("/api/bore", json=sent).status_code == code


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


def test_pairs_as_the_library_does(client: TestClient) -> None:
    bores = [{"name": str(at), "size": 7_400_000 + size} for at, size in enumerate((0, 1000, 1100))]
    pieces = [{"number": "P", "piece": str(at), "size": 7_395_400 + at * 1000} for at in (0, 1)]
    sent = {"bores": bores, "pieces": pieces, "low": 4_400, "high": 4_800}
    expected = pair_measured(
        [MeasuredBore.model_validate(each) for each in bores],
        [MeasuredPiece.model_validate(each) for each in pieces],
        4_400,
        4_800,
    )
    assert client.post("/api/pair", json=sent).text == to_json(expected)
    assert expected.paired == 2
    refused = client.post("/api/pair", json={**sent, "low": 5_000})
    assert refused.status_code == 400
    assert "above its highest" in refused.json()["message"]


def test_a_job_of_a_known_family_takes_its_sheet(client: TestClient) -> None:
    text = (DEMOS / "pump" / "worn_out.toml").read_text(encoding="utf-8")
    places = [(depth, axis) for depth in (10, 30, 65) for axis in ("thrust", "pin")]
    rows = ", ".join(f'[{depth}, "{axis}", 62.31]' for depth, axis in places)
    rows = f"readings = [{rows}]"
    text = re.sub(r'readings_file.*"diameter"', rows, text)
    assert rows in text
    sent = {"job": text, "catalogue": "pump"}
    answer = client.post("/api/pick", json=sent)
    assert answer.status_code == 200, answer.text
    fits = answer.json()["plan"]["cylinders"][0]["fits"]
    assert {fit["owner"] for fit in fits if fit["fit"] == "clearance"} == {"family sheet"}
    for before, after, said in (
        ('family = "portable pump P62"', 'family = "portable pump P26"', "did you mean"),
        ('"window.squish", ', "", "family.toml, [[window]] 6, squish"),
        ('units = "mm"', 'units = "mm"\nshop = "/etc"', "no shop file here"),
    ):
        assert before in text
        refused = client.post("/api/pick", json={**sent, "job": text.replace(before, after)})
        assert refused.status_code == 400
        assert said in refused.text
        assert str(DEMOS) not in refused.text
