"""What the pages show, what they keep, and what they refuse."""

from __future__ import annotations

import csv
import io
import re
import tomllib
import zipfile
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from fitsolver.page.tasks import VERBS

from .serving import DEMOS, example, version


def begun(client: TestClient, name: str = "a <script>alert(1)</script> job") -> str:
    sent = {"name": name, "catalogue": "pump", "cylinders": "1"}
    return str(client.post("/jobs", data=sent).headers["location"])


def test_the_first_page_names_jobs_and_catalogues(client: TestClient, pump: str) -> None:
    text = client.get("/").text
    assert f'href="{pump}"' in text
    assert "Portable pump, parts shelf" in text


def test_a_job_shows_its_plan_beside_its_readings(client: TestClient, pump: str) -> None:
    text = client.get(pump).text
    assert "The plan, proven best" in text
    assert re.search(r"finish size</dt><dd class=\"size\">62\.500 mm", text)
    assert 'name="c0_d0_a0" value="0.074"' in text


@pytest.mark.parametrize("verb", [verb for verb in VERBS if verb not in ("budget", "final")])
def test_every_report_is_there(client: TestClient, pump: str, verb: str) -> None:
    answer = client.get(f"{pump}/report/{verb}")
    assert answer.status_code == 200
    assert "Cautions" in answer.text or verb in ("firm", "ladder", "why")


def test_a_report_that_the_job_cannot_give_says_what_it_needs(
    client: TestClient, pump: str
) -> None:
    answer = client.get(f"{pump}/report/budget")
    assert answer.status_code == 400
    assert "instruments" in answer.text
    assert client.get(f"{pump}/report/nothing").status_code == 400


def test_names_are_shown_as_text(client: TestClient) -> None:
    job = begun(client)
    for path in (job, "/", f"{job}/text"):
        text = client.get(path).text
        assert "<script>alert" not in text
        assert "&lt;script&gt;alert" in text


def test_a_new_job_asks_for_the_windows_it_needs(client: TestClient) -> None:
    """The pump's pistons have two grooves: a blank for each, named all at once."""
    job = begun(client, "windows")
    text = client.get(job).text
    for name in ("clearance", "end gap 1", "end gap 2", "out-of-round", "taper"):
        assert f", {name}: " in text
    assert "not filled in yet" in text
    sent = {"version": version(client, job)}
    sent |= {"w0_low": "0.057", "w0_high": "0.087", "w0_fit": "clearance"}
    outcome = client.post(f"{job}/live", data=sent).json()["outcome"]
    assert "[[window]] 1," not in outcome and "end gap 1: low and high" in outcome
    # What the form empties again is asked for again, in the same words.
    sent = {"version": version(client, job), "w0_low": "", "w0_high": "", "w0_fit": "clearance"}
    outcome = client.post(f"{job}/live", data=sent).json()["outcome"]
    assert "[[window]] 1, clearance: low and high" in outcome


def test_what_is_typed_is_kept_and_answered_with_its_slip(client: TestClient) -> None:
    job = begun(client, "typed")
    sent = {"version": version(client, job), "c0_grid": "thrust,pin"}
    sent |= {"c0_d0": "8", "c0_d0_a0": "62,31", "c0_d0_a1": "62.30"}
    found = client.post(f"{job}/live", data=sent).json()
    assert list(found["marks"]) == ["c0_d0_a0"]
    assert "Not decided yet" in found["outcome"]
    assert 'value="62,31"' in client.get(job).text


def test_a_change_from_an_older_version_is_told_and_not_kept(client: TestClient) -> None:
    job = begun(client, "two tablets")
    old = version(client, job)
    assert client.post(f"{job}/live", data={"version": old, "note": "one"}).status_code == 200
    late = client.post(f"{job}/live", data={"version": old, "note": "two"})
    assert late.status_code == 409
    assert "another window" in late.json()["message"]
    assert 'note = "one"' in client.get(f"{job}/job.toml").text


def test_buttons_work_without_script(client: TestClient) -> None:
    job = begun(client, "buttons")
    for action in ("add-depth-0", "add-cylinder", "add-window", "remove-window-0", "nonsense"):
        sent = {"version": version(client, job), "action": action}
        assert client.post(job, data=sent).status_code == 303
    data = tomllib.loads(client.get(f"{job}/job.toml").text)
    assert [item["name"] for item in data["cylinder"]] == ["1", "2"]


def test_nonsense_in_a_form_is_refused_with_its_field(client: TestClient) -> None:
    job = begun(client, "nonsense")
    sent = {"version": version(client, job), "units": "furlongs", "stroke": "NaN", "days": "-3"}
    assert client.post(job, data=sent).status_code == 303
    text = client.get(job).text
    assert "Not decided yet" in text
    assert "furlongs" in text
    for bad in ({"cylinders": "0"}, {"cylinders": "x"}, {"catalogue": "no such"}, {"name": ""}):
        answer = client.post("/jobs", data={"name": "x", "catalogue": "pump", **bad})
        assert answer.status_code in (400, 422) or bad == {"name": ""}
        assert "Traceback" not in answer.text


def test_the_job_file_can_be_changed_as_text(client: TestClient) -> None:
    job = begun(client, "text")
    sent = {"version": version(client, job), "text": "name = = 1"}
    refused = client.post(f"{job}/text", data=sent)
    assert refused.status_code == 400
    assert "not a TOML file" in refused.text
    assert "name = = 1" in refused.text  # what was typed is not lost
    sent["text"] = 'name = "changed"\nunits = "in"\ncylinder = [{name = "7"}]\n'
    assert client.post(f"{job}/text", data=sent).status_code == 303
    assert 'value="changed"' in client.get(job).text


@pytest.mark.parametrize("named", ["/etc/passwd", "../../secret.csv", "readings.csv"])
def test_no_path_in_a_job_is_opened(client: TestClient, named: str, tmp_path: Path) -> None:
    job = begun(client, "paths")
    text = f'name = "x"\nunits = "mm"\ncatalogue = "{named}"\n[[cylinder]]\nname = "1"\n'
    text += f'material = "iron"\nreadings_file = "{named}"\n'
    sent = {"version": version(client, job), "text": text}
    assert client.post(f"{job}/text", data=sent).status_code == 303
    shown = client.get(job).text
    assert "there are no files beside this job" in shown
    files = [("files", ("job.toml", text.encode())), ("files", ("a.csv", b"x"))]
    answer = client.post("/jobs/upload", files=files, data={"catalogue": "pump"})
    assert answer.status_code == 400
    assert "was not sent with it" in answer.text


def test_a_job_is_opened_from_its_files(client: TestClient) -> None:
    files = [
        ("files", (name, (DEMOS / "pump" / name).read_bytes()))
        for name in ("job.toml", "readings.csv")
    ]
    made = client.post("/jobs/upload", files=files, data={"catalogue": "pump"})
    assert made.status_code == 303
    assert "The plan, proven best" in client.get(made.headers["location"]).text


def test_a_catalogue_is_uploaded_and_used(client: TestClient) -> None:
    names = ("catalogue.toml", "pistons.csv", "rings.csv", "gaskets.csv", "routes.csv")
    files = [("files", (name, (DEMOS / "launch" / name).read_bytes())) for name in names]
    made = client.post("/catalogues/upload", files=files)
    assert made.status_code == 303
    assert "Harbour launch" in client.get(made.headers["location"]).text


def test_a_zip_bomb_is_no_workbook(client: TestClient) -> None:
    """A workbook of 300 MB of zeros in some 300 kB."""
    bomb = io.BytesIO()
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", b"0" * 300_000_000)
    head = (DEMOS / "pump" / "catalogue.toml").read_bytes()
    files = [("files", ("catalogue.toml", head)), ("files", ("pistons.xlsx", bomb.getvalue()))]
    answer = client.post("/catalogues/upload", files=files)
    assert answer.status_code == 400
    assert "pistons.xlsx" in answer.text


@pytest.mark.parametrize("name", ["a.exe", "pistons.csv.sh", "../pistons.csv", "x" * 300 + ".csv"])
def test_files_of_no_such_kind_are_refused(client: TestClient, name: str) -> None:
    answer = client.post("/catalogues/upload", files=[("files", (name, b"x"))])
    assert answer.status_code == 400


def test_an_order_list_is_safe_in_a_spreadsheet(client: TestClient) -> None:
    """A part number that begins as a formula does is led by an apostrophe."""
    parts = [*(DEMOS / "brushsaw").glob("*.csv"), DEMOS / "brushsaw" / "catalogue.toml"]
    files = [
        ("files", (path.name, path.read_text().replace("BP-", "=BP-").encode())) for path in parts
    ]
    made = client.post("/catalogues/upload", files=files)
    key = made.headers["location"].rsplit("/", 1)[1]
    job = example(client, "brushsaw/job")
    text = client.get(f"{job}/job.toml").text.replace("BP-", "=BP-")
    sent = {"version": version(client, job), "text": text.replace('"brushsaw"', f'"{key}"')}
    assert client.post(f"{job}/text", data=sent).status_code == 303
    order = client.get(f"{job}/order.csv")
    assert order.status_code == 200, order.text
    rows = list(csv.DictReader(io.StringIO(order.text)))
    numbers = [row["number"] for row in rows]
    assert any(number.startswith("'=BP-") for number in numbers)
    assert not any(number.startswith("=") for number in numbers)


def test_five_passes_at_the_hone(client: TestClient) -> None:
    job = example(client, "pump/job")
    for done in range(1, 6):
        sent = {"cylinder": "1", "count": "10", "stones": "220", "warm": "24"}
        for place in range(14):
            sent |= {f"d{place}": "", f"a{place}": "", f"r{place}": ""}
        for place, depth in enumerate(("8", "74")):
            figure = f"{0.09 + 0.012 * done - 0.01 * place:.3f}"
            sent |= {f"d{place}": depth, f"a{place}": "thrust", f"r{place}": figure}
        answer = client.post(f"{job}/hone", data=sent)
        assert answer.status_code == 303, answer.text
    text = client.get(f"{job}/hone?cylinder=1").text
    assert "to the next check" in text
    assert "5 entries" in client.get(f"{job}/hone/log").text


def test_a_pass_that_cannot_be_is_refused_and_not_written(client: TestClient) -> None:
    job = example(client, "pump/job")
    bad = {"cylinder": "1", "count": "10", "d0": "8", "a0": "thrust", "r0": "nonsense"}
    assert client.post(f"{job}/hone", data=bad).status_code == 400
    more = {"cylinder": "1", "count": "10\n1, 99,,", "stones": 'a"\nb'}
    assert client.post(f"{job}/hone", data=more).status_code == 400
    assert "0 entries" in client.get(f"{job}/hone/log").text


def test_the_counter_names_kits_that_fit_and_rules_that_fail(client: TestClient) -> None:
    asked = {"catalogue": "brushsaw", "bore": "44.01", "low": "0.02", "high": "0.06"}
    half = client.get("/counter", params=asked).text
    assert "end gap 1" in half
    assert 'role="alert"' in half
    asked["left_open"] = "end_gap"
    fits = client.get("/counter", params=asked).text
    assert re.search(r"\d+ sets? fits?", fits)
    assert "Not asked: end gap 1" in fits
    none = client.get("/counter", params={**asked, "bore": "44.10"}).text
    assert "No set fits" in none
    assert "clearance: " in none
    wrong = client.get("/counter", params={**asked, "bore": "44,01"})
    assert wrong.status_code == 200
    assert "44,01" in wrong.text
    assert 'role="alert"' in wrong.text


def test_the_book_keeps_what_is_put_in(client: TestClient) -> None:
    job = example(client, "pump/job")
    sent = {"version": version(client, job), "c0_marking": "P62-7", "c1_marking": "P62-8"}
    assert client.post(job, data=sent).status_code == 303
    kept = client.post(f"{job}/book", data={"what": "job", "date": "2027-03-01"})
    assert kept.status_code == 303, kept.text
    assert "P62-7" in client.get("/book", params={"words": "P62-7"}).text
    assert "2027-03-01" in client.get("/book/cylinder", params={"marking": "P62-7"}).text
    assert client.get("/book/cylinder", params={"marking": "nobody"}).status_code == 400
    assert client.post(f"{job}/book", data={"what": "nonsense"}).status_code == 400


def test_what_is_left_counts_the_earlier_records_of_the_book(client: TestClient) -> None:
    """Two visits of a cylinder, the second worn by 0.03 mm: the ladder knows of it."""
    job = example(client, "brushsaw/job")
    sent = {"version": version(client, job), "c0_marking": "S-44"}
    assert client.post(job, data=sent).status_code == 303
    assert "of the book" not in client.get(f"{job}/report/ladder").text
    for date, size in (("2026-01-10", "44.00"), ("2027-02-10", "44.03")):
        text = client.get(f"{job}/job.toml").text
        text = re.sub(r"size = 44(\.\d+)?", f"size = {size}", text)
        sent = {"version": version(client, job), "text": text}
        assert client.post(f"{job}/text", data=sent).status_code == 303
        kept = client.post(f"{job}/book", data={"what": "job", "date": date})
        assert kept.status_code == 303, kept.text
    text = client.get(f"{job}/report/ladder").text
    assert "Cylinder 1: the earlier record is the book&#39;s." in text
    assert client.get(f"{job}/plots/sizes.svg").status_code == 200


def test_a_removed_job_is_not_there(client: TestClient) -> None:
    job = begun(client, "short life")
    assert client.post(f"{job}/remove").status_code == 303
    assert client.get(job).status_code == 404
    assert client.get("/jobs/nonsense").status_code == 404
    assert client.get("/nowhere").status_code == 404


def test_a_removed_job_is_put_back(client: TestClient) -> None:
    job = example(client, "pump/job")
    assert client.post(f"{job}/remove").status_code == 303
    assert client.get(job).status_code == 404
    page = client.get("/").text
    assert "Removed in the last week" in page and f'action="{job}/give-back"' in page
    assert client.post(f"{job}/give-back").headers["location"] == job
    assert client.get(job).status_code == 200
    assert client.post(f"{job}/give-back").status_code == 404
