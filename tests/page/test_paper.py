"""The sheet and the drawings of a job, and the order that is kept with it."""

from __future__ import annotations

import re
from datetime import date
from html import unescape
from pathlib import Path
from xml.etree import ElementTree

import pytest
from fastapi.testclient import TestClient

from fitsolver.verbs.sheet import sheet

from .serving import DEMOS, example, typed


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_sheet_is_that_of_the_command(
    client: TestClient, pump: str, tmp_path: Path, paper: str
) -> None:
    answer = client.get(f"{pump}/sheet", params={"paper": paper})
    policy = answer.headers["content-security-policy"]
    assert "script-src" not in policy
    assert "default-src 'none'; style-src 'unsafe-inline'" in policy
    file = tmp_path / "job.toml"
    file.write_bytes(client.get(f"{pump}/job.toml").content)
    made = sheet(file, DEMOS / "pump", paper=paper, made_on=date.today())  # type: ignore[arg-type]
    assert answer.text == made.html


def test_there_are_two_papers(client: TestClient, pump: str) -> None:
    assert client.get(f"{pump}/sheet", params={"paper": "a0"}).status_code == 422
    assert client.get("/jobs/0123456789abcdef/sheet").status_code == 404


@pytest.mark.parametrize("verb", ["bore", "pick", "plan", "ladder"])
def test_a_report_shows_its_drawing(client: TestClient, pump: str, verb: str) -> None:
    found = re.search(
        r'<img src="([^"]+)" alt="Drawing: [^"]+">', client.get(f"{pump}/report/{verb}").text
    )
    assert found
    drawing = client.get(found[1])
    assert drawing.headers["content-type"] == "image/svg+xml"
    assert "script-src" not in drawing.headers["content-security-policy"]
    assert ElementTree.fromstring(drawing.content).tag.endswith("svg")


def test_the_hone_page_shows_the_log_of_its_bore_drawn(client: TestClient) -> None:
    """As on paper, and narrow for a phone; before the first pass there is nothing to see."""
    job = example(client, "pump/job")
    assert "log.svg" not in client.get(f"{job}/machine").text
    sent = {"count": "10", "stones": "220", "d0": "8", "a0": "thrust"}
    for cylinder, figure in (("1", "0.102"), ("2", "0.146")):
        more = {"cylinder": cylinder, "r0": figure}
        assert client.post(f"{job}/hone", data={**sent, **more}).status_code == 303
    page = client.get(f"{job}/machine").text
    links = re.findall(r'src(?:set)?="([^"]+log\.svg[^"]+)"', page)
    drawn = [client.get(unescape(link)).text for link in links]
    wide = [float(re.findall(r'<svg[^>]* width="([\d.]+)pt"', one)[0]) for one in drawn]
    assert wide[0] < wide[1]
    assert all("Cylinder 1" in one and "Cylinder 2" not in one for one in drawn)
    assert "Cylinder 2" in client.get(f"{job}/hone/log.svg").text


def test_where_nothing_fits_there_is_no_drawing_of_fits(client: TestClient) -> None:
    job = example(client, "pump/worn_out")
    assert "/plots/fits.svg" not in client.get(f"{job}/report/pick").text
    assert client.get(f"{job}/plots/fits.svg").status_code == 400
    assert client.get(f"{job}/plots/nonsense.svg").status_code == 400
    assert client.get(f"{job}/sheet").status_code == 200  # it says why
    assert client.post(f"{job}/ordered").status_code == 400  # there is nothing to order


def test_an_order_is_kept_and_judged_when_its_parts_have_come(client: TestClient) -> None:
    job = example(client, "brushsaw/job")
    assert "Nothing is marked as ordered" in client.get(f"{job}/order").text
    assert client.post(f"{job}/ordered").status_code == 303
    assert "The ordered parts serve" in client.get(f"{job}/order").text
    document = client.get(f"{job}/answer.json").content
    for content, code in ((document, 303), (b"{}", 400), (b"\xff\x00", 400)):
        files = [("files", ("answer.json", content))]
        assert client.post(f"{job}/ordered/upload", files=files).status_code == code
    assert client.post(f"{job}/remove").status_code == 303
    assert client.get(f"{job}/order").status_code == 404


def test_what_was_ordered_stays_to_be_seen(client: TestClient) -> None:
    job = example(client, "pump/job")
    assert client.post(f"{job}/ordered").status_code == 303
    ordered = client.get(f"{job}/order").text
    assert "The plan of now orders the same." in ordered
    (price,) = re.findall(r'<td class="figure"><b>(.+?)</b>', ordered)
    assert f'<small>order kept, nothing more to order</small> <b class="big">{price}</b>' in ordered
    typed(client, job, in_hand__1__number="PR1-075")  # it has come
    came = client.get(f"{job}/order").text
    table = came.split('aria-label="Ordered"')[1].split("</table>")[0]
    assert '<td>PR1-075</td><td>ring</td><td class="figure">1</td><td>stock</td>' in table
    assert price in table
    assert 'aria-label="The plan of now"' in came
    assert "nothing more to order" in came
    assert f'<b class="big">{price}</b>' in came


def test_a_pass_sent_twice_is_entered_once(client: TestClient) -> None:
    """A glove presses twice; strokes counted twice would be metal that is gone."""
    job = example(client, "pump/job")
    after = re.search(r'name="after" value="(\w+)"', client.get(f"{job}/machine").text)
    assert after
    sent = {"cylinder": "1", "count": "10", "stones": "220", "after": after[1]}
    assert client.post(f"{job}/hone", data=sent).status_code == 303
    assert client.post(f"{job}/hone", data=sent).status_code == 409
    assert "1 entry" in client.get(f"{job}/hone/log").text
