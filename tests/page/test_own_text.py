"""A job that was written by hand is kept letter by letter, but for the figure that changes."""

from __future__ import annotations

import difflib
import tomllib
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from fitsolver.page import entered
from fitsolver.page.bench import content_of, text_like, text_of
from fitsolver.reading.toml_edit import relaid

from .serving import DEMOS, typed, version
from .typed import put

#: Invented: one job, its figures as numbers and as texts, its sections as people write them.
WRITTEN = """\
# My own job, kept in this order.
format = 2
units = "mm"            # the micrometer's
catalogue = "pump"
family = "portable pump P62"
name = "spare pump"

[terms]
budget = "220.00"       # no more
needed_in_days = 9

[[cylinder]]
name = "left"           # as seen from the starter
zero = 62.176
readings_as = "dial"
scratch = 0.0100        # felt with a nail
readings = [            # top first
  [8, "thrust", 0.112], [8, "pin", 0.096],   # just below the ridge
  { depth = 40, axis = "thrust", dial = 0.100 },
]
"""


def lines_changed(before: str, after: str) -> list[str]:
    found = difflib.ndiff(before.splitlines(), after.splitlines())
    return [line for line in found if line[0] in "+-"]


def after(name: str, text: str) -> str:
    now = content_of(WRITTEN)
    return text_like(WRITTEN, put(now, now, {name: text}))


@pytest.mark.parametrize(
    ("name", "text", "line"),
    [
        ("cylinder.0.scratch", "0.02", "scratch = 0.02        # felt with a nail"),
        ("terms.budget", "230", 'budget = "230"       # no more'),
        ("terms.needed_in_days", "12", "needed_in_days = 12"),
        ("cylinder.0.name", "port", 'name = "port"           # as seen from the starter'),
        ("engine.stroke", "58.1", 'stroke = "58.1"'),
        ("cylinder.0.unworn", "62.1", 'unworn = "62.1"'),
        ("note", "x", 'note = "x"'),
    ],
)
def test_one_figure_changes_its_own_line(name: str, text: str, line: str) -> None:
    changed = lines_changed(WRITTEN, after(name, text))
    assert f"+ {line}" in changed
    assert len([one for one in changed if one[:3].strip() in "+-" and one[2:].strip()]) <= 4
    assert entered.entries(content_of(after(name, text)))[name] == text


def test_a_reading_changes_in_its_row() -> None:
    new = after("read.0.1.0", "0.101")
    assert new == WRITTEN.replace("dial = 0.100", "dial = 0.101")
    assert after("read.0.0.1", "0.097") == WRITTEN.replace('"pin", 0.096', '"pin", 0.097')


def test_a_part_that_is_taken_out_takes_no_other_along() -> None:
    two = WRITTEN + '\n[[window]]\nfit = "squish"\nlow = 0.9 # ours\n\n[[window]]\nfit = "taper"\n'
    data = content_of(two)
    assert isinstance(data["window"], list)
    kept = relaid(two, {**data, "window": data["window"][1:]})
    assert kept is not None and "squish" not in kept and kept.startswith(WRITTEN)


def test_what_the_page_wrote_is_written_as_before() -> None:
    own = text_of(content_of(WRITTEN))
    data = {**content_of(own), "name": "other"}
    assert text_like(own, data) == text_of(data)


def test_rows_of_a_file_are_diameters_whatever_the_gauge_was_zeroed_at(client: TestClient) -> None:
    """In a job typed here they are what the dial reads; a text says which it means."""
    text = WRITTEN.replace('readings_as = "dial"\n', "").replace("dial = 0.100", "size = 62.276")
    for dial, size in (("0.112", "62.288"), ("0.096", "62.272")):
        text = text.replace(dial, size)
    job = client.post("/jobs", data={"catalogue": "pump"}).headers["location"]
    sent = {"version": version(client, job), "text": text}
    assert client.post(f"{job}/text", data=sent).status_code == 303
    assert "largest 62.288" in client.get(job).text
    assert 'readings_as = "diameter"' in client.get(f"{job}/job.toml").text
    typed(client, job, read__0__1__0="62,275")
    assert "largest 62.288" in client.get(job).text


def test_a_job_that_was_sent_keeps_its_comments(client: TestClient, tmp_path: Path) -> None:
    folder = DEMOS / "launch"
    sent = [("files", (n, (folder / n).read_bytes())) for n in ("job.toml", "readings.csv")]
    job = client.post("/jobs/upload", files=sent, data={"catalogue": "launch"}).headers["location"]
    typed(client, job, terms__budget="700")
    for path in ("job.toml", "text"):
        text = client.get(f"{job}/{path}").text
        assert "# Invented for demonstration: a harbour launch" in text
        assert "slipway is booked" in text and "700" in text
    kept = client.get(f"{job}/job.toml").text
    (tmp_path / "job.toml").write_text(kept, encoding="utf-8")
    assert tomllib.loads(kept)["format"] == 2
    assert "proven best" in client.get(f"{job}/strip").text


def test_a_text_typed_as_a_whole_is_kept_as_it_was_typed(client: TestClient) -> None:
    job = client.post("/jobs", data={"catalogue": "pump"}).headers["location"]
    sent = {"version": version(client, job), "text": WRITTEN.replace("\n", "\r\n")}
    assert client.post(f"{job}/text", data=sent).status_code == 303
    typed(client, job, cylinder__0__scratch="0,02")
    assert client.get(f"{job}/job.toml").text == WRITTEN.replace("0.0100 ", "0.02 ")
