"""The list of jobs with their states, the stages ticked off, the check, and a plan made again."""

from __future__ import annotations

import csv
import re
import tomllib
from typing import Any

from fastapi.testclient import TestClient

from .serving import DEMOS, example, version


def row_of(client: TestClient, job: str, words: str = "") -> str:
    """Return the row of a job in the list; empty where it is not in it."""
    page = client.get("/jobs", params={"words": words}).text
    rows = [row for row in page.split("<tr>") if f'href="{job}"' in row]
    return rows[0] if rows else ""


def state_of(client: TestClient, job: str) -> str:
    found = re.search(r'class="state[^>]*>([^<]+)<', row_of(client, job))
    assert found
    return found[1]


def readings(cylinder: str, larger: float) -> dict[str, str]:
    """Return the fields of a pass: every reading of a bore of the pump, so much larger."""
    sheet = (DEMOS / "pump" / "readings.csv").read_text(encoding="utf-8").replace(" [mm]", "")
    rows = [row for row in csv.DictReader(sheet.splitlines()) if row["cylinder"] == cylinder]
    sent: dict[str, str] = {}
    for place, row in enumerate(rows):
        sent |= {f"d{place}": row["depth"], f"a{place}": row["axis"]}
        sent[f"r{place}"] = f"{float(row['dial']) + larger:.3f}"
    return sent


def honed(client: TestClient, job: str, cylinder: str, larger: float, count: int = 100) -> None:
    """Enter a pass; what is doubted of it is taken."""
    sent = {"cylinder": cylinder, "count": str(count), "stones": "220"}
    form = {**sent, **readings(cylinder, larger)}
    taken: list[str] = []
    answer = client.post(f"{job}/hone", data=form)
    while answer.status_code == 400:
        new = [name for name in _doubted(answer.text) if name not in taken]
        assert new, answer.text
        taken += new
        answer = client.post(f"{job}/hone", data={**form, "taken": taken})
    assert answer.status_code == 303, answer.text


def _doubted(page: str) -> list[str]:
    return re.findall(r'name="taken" value="([^"]+)"', page)


def test_a_job_goes_through_its_states(client: TestClient) -> None:
    sent = {"name": "state by state", "catalogue": "pump / portable pump P62", "cylinders": "2"}
    assert state_of(client, str(client.post("/jobs", data=sent).headers["location"])) == "measure"
    job = example(client)
    marks = {"cylinder.0.marking": "P-1", "cylinder.1.marking": "P-2"}
    client.post(f"{job}/keep", data={"version": version(client, job), **marks})
    assert state_of(client, job) == "chosen"
    assert client.post(f"{job}/book", data={"what": "final"}).status_code == 400
    client.post(f"{job}/ordered")
    assert state_of(client, job) == "ordered"
    stage = re.findall(r'name="stage" value="(\w+)"', client.get(f"{job}/machine").text)[0]
    for done, said, pressed in (("yes", "machining", "true"), ("", "ordered", "false")):
        ticked = client.post(f"{job}/machine/stage", data={"stage": stage, "done": done})
        assert ticked.status_code == 303
        assert state_of(client, job) == said
        assert f'aria-pressed="{pressed}"' in client.get(f"{job}/machine").text
    assert client.post(f"{job}/machine/stage", data={"stage": "../x"}).status_code == 422
    honed(client, job, "1", 0.245)
    assert state_of(client, job) == "machining, 1 pass"
    assert "bore 2" in client.get(f"{job}/machine?cylinder=2").text  # of which none is entered
    assert "bore 2: readings after the last pass" in client.get(f"{job}/check").text
    honed(client, job, "2", 0.19)
    page = client.get(f"{job}/check").text
    assert "Fed from the parts that" in page and "as read after pass 1" in page
    assert re.search(r'class="verdict-(pass|fail|not-judged)"', page)
    assert state_of(client, job).startswith("checked: ")
    assert client.post(f"{job}/book", data={"what": "final"}).status_code == 303
    assert "final" in client.get("/book", params={"words": "P-1"}).text
    kept = {"version": version(client, job), "note": "changed since"}
    client.post(f"{job}/keep", data=kept)
    assert state_of(client, job) == "machining, 2 passes"


def test_the_list_is_searched_and_shows_when(client: TestClient) -> None:
    job = example(client, "brushsaw/job")
    client.post(f"{job}/keep", data={"version": version(client, job), "cylinder.0.marking": "Q-77"})
    assert row_of(client, job, "q-77") and row_of(client, job, "SAW chosen")
    assert not row_of(client, job, "q-77 ordered")
    assert re.search(r"\d{1,2} \w{3} \d{4}, \d\d:\d\d", row_of(client, job, "q-77"))
    copied = str(client.post(f"{job}/duplicate").headers["location"])
    assert row_of(client, copied, "q-77 copy")
    told = client.post(f"{copied}/remove").headers["location"]
    assert "Taken off the bench" in client.get(told).text
    assert not row_of(client, copied)
    client.post(f"{copied}/give-back")
    assert row_of(client, copied)


def test_a_check_waits_for_the_whole_bore_after_the_last_strokes(client: TestClient) -> None:
    job = example(client)
    honed(client, job, "1", 0.245)
    honed(client, job, "2", 0.19)
    more = {"cylinder": "1", "count": "2", "stones": "220"}
    assert client.post(f"{job}/hone", data=more).status_code == 303
    assert "bore 1: readings after the last strokes" in client.get(f"{job}/check").text
    some = {name: text for name, text in readings("1", 0.247).items() if name[1:] in "23"}
    form = {"cylinder": "1", "count": "", "stones": "220", **some}
    assert client.post(f"{job}/hone", data=form).status_code == 303
    assert "places were not read after that" in client.get(f"{job}/check").text


def test_a_bore_that_came_out_too_large_is_planned_again(client: TestClient) -> None:
    job = example(client)
    honed(client, job, "1", 0.36, count=300)
    page = client.get(f"{job}/machine?cylinder=1").text
    assert "larger than the highest permitted size" in page
    made = client.post(f"{job}/machine/again")
    assert made.status_code == 303
    again = str(made.headers["location"])
    assert again != job
    before, now = (tomllib.loads(client.get(f"{one}/job.toml").text) for one in (job, again))
    assert now["name"] == f"{before['name']}, planned again"
    assert entries(now, 0) == {
        place: round(at + 0.36, 3) for place, at in entries(before, 0).items()
    }
    assert entries(now, 1) == entries(before, 1)
    page = client.get(f"{again}/report/why").text  # another oversize, past budget and date
    assert "cylinder 1 could take 0.000, +0.250, +0.750" in page
    assert "Accepted against a doubt: bore 1, where its gauge was zeroed: found" in page
    assert "1 entry" in client.get(f"{job}/hone/log").text


def entries(job: dict[str, Any], cylinder: int) -> dict[tuple[float, str], float]:
    """Return the figures of a bore by depth and axis."""
    rows = job["cylinder"][cylinder]["readings"]
    known = [row if isinstance(row, list) else [*row.values()] for row in rows]
    return {(float(depth), str(axis)): float(figure) for depth, axis, figure in known}
