"""The description of the API: it works without another host, and every example in it runs."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from fastapi.testclient import TestClient
from selenium.webdriver.support.ui import WebDriverWait

from . import browser as screen
from .serving import DEMOS, served


def described(client: TestClient) -> dict[str, Any]:
    found: dict[str, Any] = client.get("/api/openapi.json").json()
    return found


def test_every_body_has_an_example_that_runs(client: TestClient) -> None:
    asked = 0
    for path, ways in described(client)["paths"].items():
        content = ways.get("post", {}).get("requestBody", {}).get("content", {})
        if "application/json" in content:
            answer = client.post(path, json=content["application/json"]["example"])
            assert answer.status_code == 200, (path, answer.text)
            asked += 1
    assert asked == 15


def test_a_job_is_sent_with_its_readings_sheet(client: TestClient) -> None:
    folder = DEMOS / "pump"
    sent = {"job": (folder / "job.toml").read_text(), "catalogue": "pump"}
    sheet = {"readings.csv": (folder / "readings.csv").read_text()}
    answer = client.post("/api/pick", json={**sent, "sheets": sheet})
    assert answer.status_code == 200 and answer.json()["status"] == "proven best"
    refused = client.post("/api/pick", json=sent)
    assert refused.status_code == 400 and refused.json()["field"] == "readings_file"
    for name in ("../readings.csv", "readings.exe"):
        odd = client.post("/api/pick", json={**sent, "sheets": {name: "x"}})
        assert odd.status_code == 400, odd.text


def test_a_wrong_field_is_named_by_its_full_path(client: TestClient) -> None:
    job = {"name": "x", "cylinders": [{"name": "1", "readings": [{"depth": "deep"}]}]}
    told = client.post("/api/pick", json={"job": job, "catalogue": "pump"})
    assert told.status_code == 422
    fields = {item["field"] for item in told.json()["details"]}
    assert "job.cylinders.0.readings.0.depth" in fields
    assert told.json()["field"] in fields
    assert not any("str" in field.split(".") for field in fields)


def whole_numbers(value: Any) -> list[int]:
    if isinstance(value, dict):
        return [found for item in value.values() for found in whole_numbers(item)]
    if isinstance(value, list):
        return [found for item in value for found in whole_numbers(item)]
    return [value] if isinstance(value, int) else []


def test_no_whole_number_is_larger_than_javascript_holds(client: TestClient) -> None:
    """2**53 - 1: ECMAScript, Number.MAX_SAFE_INTEGER."""
    for path, ways in described(client)["paths"].items():
        content = ways.get("post", {}).get("requestBody", {}).get("content", {})
        if "application/json" in content:
            answer = client.post(path, json=content["application/json"]["example"]).json()
            assert max(map(abs, whole_numbers(answer))) < 2**53, path
    folder = DEMOS / "brushsaw"  # an engine with a stroke has a displacement
    sent = {"job": (folder / "timing.toml").read_text(), "catalogue": "brushsaw"}
    plan = client.post("/api/pick", json=sent).json()["plan"]
    assert isinstance(plan["displacement"], str) and int(plan["displacement"]) > 2**53


@screen.needed
def test_an_example_is_sent_from_the_page_with_no_other_host(tmp_path: Path) -> None:
    with served(tmp_path / "data") as address, screen.browser(tmp_path / "profile") as driver:
        driver.get(f"{address}/docs")
        asked = driver.find_element("id", "pick_api_pick_post")
        asked.find_element("css selector", "summary").click()
        asked.find_element("css selector", "button").click()
        told = asked.find_element("css selector", "pre")
        WebDriverWait(driver, 30).until(lambda _: told.text)
        assert '"proven best"' in told.text
        assert screen.Hand(driver, address, tmp_path).findings() == []
        entries = driver.execute_script("return performance.getEntries().map(e => e.name)")
        assert all(address in name for name in entries if name.startswith("http"))
        severe = [item for item in driver.get_log("browser") if item["level"] == "SEVERE"]
        assert severe == [], json.dumps(severe)
        screen_shot(driver, tmp_path)


def screen_shot(driver: Any, folder: Path) -> None:
    driver.save_screenshot(str(Path(screen.ARTEFACTS or folder) / "docs.png"))
