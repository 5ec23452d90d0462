"""What the pages show, what they keep, and what they refuse."""

from __future__ import annotations

import asyncio
import csv
import io
import re
import time
import tomllib
import zipfile
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from fitsolver.base.errors import InputError
from fitsolver.page.pool import Once, Solving, TooLongError
from fitsolver.page.said import said
from fitsolver.page.tasks import VERBS
from fitsolver.usecases.intake_told import clearance_of_text

from .serving import DEMOS, PARTIAL, example, typed, version
from .test_words import words


def begun(client: TestClient, name: str = "a <script>alert(1)</script> job") -> str:
    sent = {"name": name, "catalogue": "pump", "cylinders": "1"}
    return str(client.post("/jobs", data=sent).headers["location"])


def test_the_first_page_names_jobs_and_catalogues(client: TestClient, pump: str) -> None:
    text = client.get("/").text
    assert f'href="{pump}"' in text
    assert "Portable pump, parts shelf" in text


def test_a_job_shows_its_plan_beside_its_readings(client: TestClient, pump: str) -> None:
    text = client.get(pump).text
    assert "proven best" in text
    assert ">62.494 or<br>62.500</td>" in text  # for the smallest and the largest piston
    assert "measure the piston before the last pass: 62.494 is for one of 62.430" in text
    assert 'name="read.0.0.0" value="0.074"' in text


@pytest.mark.parametrize("verb", [verb for verb in VERBS if verb not in ("budget", "final")])
def test_every_report_is_there(client: TestClient, pump: str, verb: str) -> None:
    answer = client.get(f"{pump}/report/{verb}")
    assert answer.status_code == 200
    assert words(answer.text) == []
    if verb == "counter":  # its cautions stand in the answer itself
        assert "rings whose ends butt seize an engine" in " ".join(answer.text.split())
    else:
        assert "Cautions" in answer.text or verb in ("firm", "ladder", "why")


def test_a_report_that_the_job_cannot_give_says_what_it_needs(
    client: TestClient, pump: str
) -> None:
    answer = client.get(f"{begun(client)}/report/budget")
    assert answer.status_code == 400
    assert "readings" in answer.text
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
    text = client.get(f"{job}/choose").text
    assert "Not decided yet" in text
    assert "5 missing" in text  # clearance, two end gaps, out-of-round, taper
    assert "clearance: lowest and highest" in text
    said = typed(client, job, window__0__low="0.057", window__0__high="0.087")
    assert "4 missing" in said and "clearance: lowest" not in said
    # What the form empties again is asked for again, in the same words.
    said = typed(client, job, window__0__low="", window__0__high="")
    assert "5 missing" in said and "clearance: lowest and highest" in said


def test_what_is_typed_is_kept_and_answered_with_its_slip(client: TestClient) -> None:
    job = begun(client, "typed")
    said = typed(client, job, depth__0="8", read__0__0__0="62.3.1", read__0__0__1="62,30")
    assert re.findall(r'data-for="([^"]+)"', said) == ["read.0.0.0"]
    assert "Not decided yet" in said
    text = client.get(job).text
    assert 'value="62.3.1"' in text and 'value="62.30"' in text


def test_a_job_with_half_its_readings_has_half_an_answer(client: TestClient) -> None:
    sent = {"name": "half", "catalogue": "pump / portable pump P62", "cylinders": "2"}
    job = str(client.post("/jobs", data=sent).headers["location"])
    said = typed(client, job, depth__0="8", read__0__0__0="62.268", read__0__0__1="62.264")
    assert "cylinder 2 has no readings" in said
    assert "<dd>62.268</dd>" in said and "<dd>0.004</dd>" in said  # the form of the first
    assert "in question: +0.500, +0.750, +1.000" in said


def test_two_windows_on_one_job_lose_nothing(client: TestClient) -> None:
    """Both forms were drawn from one version; each sends all of it, changed in one place."""
    job = begun(client, "two tablets")
    old = version(client, job)
    for field in ({"note": "one"}, {"engine.stroke": "58"}):
        sent = {"version": old, "note": "", "engine.stroke": "", **field}
        assert client.post(f"{job}/keep", data=sent).status_code == 303
    data = tomllib.loads(client.get(f"{job}/job.toml").text)
    assert data["note"] == "one" and data["engine"] == {"stroke": "58"}
    late = {"version": old, "name": "late"}
    told = client.post(f"{job}/keep", data=late, headers=PARTIAL).text
    assert '<li data-set="note">one</li>' in told  # what the other window typed is shown


def test_a_change_that_cannot_be_put_together_is_told(client: TestClient) -> None:
    job = begun(client, "rows")
    for action in ("add-cylinder", "add-cylinder"):
        sent = {"version": version(client, job), "action": action}
        assert client.post(f"{job}/keep", data=sent).status_code == 303
    old = version(client, job)
    gone = {"version": old, "action": "drop:cylinder:2"}
    assert client.post(f"{job}/keep", data=gone).status_code == 303
    late = client.post(f"{job}/keep", data={"version": old, "cylinder.1.scratch": "0.1"})
    assert late.status_code == 409 and "another window" in late.text
    unknown = client.post(f"{job}/keep", data={"version": "0" * 16, "note": "x"})
    assert unknown.status_code == 409


def test_buttons_work_without_script(client: TestClient) -> None:
    job = begun(client, "buttons")
    for action in ("add-cylinder", "rows:20", "drop:window:0", "open:squish", "nonsense", "undo"):
        sent = {"version": version(client, job), "action": action}
        assert client.post(f"{job}/keep", data=sent).status_code == 303, action
    data = tomllib.loads(client.get(f"{job}/job.toml").text)
    assert [item["name"] for item in data["cylinder"]] == ["1", "2"]
    assert "no_window" not in data and data["window"][0]["fit"] == "end_gap"
    again = client.post(f"{job}/duplicate").headers["location"]
    assert "buttons, copy" in client.get(again).text


def test_figures_of_the_sheet_are_shown_and_taken_over(client: TestClient) -> None:
    sent = {"name": "sheet", "catalogue": "pump / portable pump P62", "cylinders": "2"}
    job = str(client.post("/jobs", data=sent).headers["location"])
    text = client.get(f"{job}/choose").text
    assert "sheet: 58" in text and "Not decided yet" in text
    assert "missing" not in re.findall(r'data-name="choose".*', text)[0]
    change = {"version": version(client, job), "step": "choose", "action": "own:window:0"}
    assert client.post(f"{job}/keep", data=change).headers["location"] == f"{job}/choose"
    data = tomllib.loads(client.get(f"{job}/job.toml").text)
    assert data["window"] == [
        {"fit": "clearance", "low": 0.0009, "high": 0.0014, "per_bore": True, "guard": "2 um"}
    ]


def test_a_block_of_a_spreadsheet_is_taken_in(client: TestClient) -> None:
    sheet = (DEMOS / "pump" / "readings.csv").read_text()
    sent = {"name": "pasted", "catalogue": "pump / portable pump P62", "cylinders": "2"}
    job = str(client.post("/jobs", data=sent).headers["location"])
    for block in (sheet, "3\t0,074\t0,073\t0,001\t0,000\n8\t0,092\t0,088\t0,134\t0,104"):
        paste = {"version": version(client, job), "action": "paste", "pasted": block}
        assert client.post(f"{job}/keep", data=paste).status_code == 303
        text = client.get(job).text
        assert 'name="depth.1" value="8"' in text
        assert 'name="read.1.1.0" value="0.134"' in text
    at = {"action": "paste", "pasted": "1\t2\n3\t4", "pasted_at": "read.1.0.0"}
    client.post(f"{job}/keep", data={"version": version(client, job), **at})
    assert 'name="read.1.1.1" value="4"' in client.get(job).text
    for bad in ("", "cylinder\tdepth\taxis\tdial\n9\t8\tthrust\t0.1", "1\t2\t3\t4\t5\t6\t7"):
        paste = {"version": version(client, job), "action": "paste", "pasted": bad}
        assert client.post(f"{job}/keep", data=paste).status_code == 400


def test_a_doubted_reading_is_taken_by_its_button(client: TestClient) -> None:
    job = example(client)
    said = typed(client, job, read__0__1__0="0.192")
    assert 'data-doubt="read.0.1.0"' in said and "Not decided yet" in said
    take = {"version": version(client, job), "action": "accept:reading 1/8/thrust"}
    assert client.post(f"{job}/keep", data=take).status_code == 303
    text = client.get(f"{job}/choose").text
    assert "Not decided yet" not in text and "Doubt it again" in text


def test_nonsense_in_a_form_is_refused_with_its_field(client: TestClient) -> None:
    job = begun(client, "nonsense")
    sent = {"version": version(client, job), "units": "furlongs", "engine.stroke": "NaN"}
    assert client.post(f"{job}/keep", data=sent).status_code == 303
    text = client.get(f"{job}/choose").text
    assert "Not decided" in text
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
    assert 'value="changed"' in client.get(f"{job}/choose").text


@pytest.mark.parametrize("named", ["/etc/passwd", "../../secret.csv", "readings.csv"])
def test_no_path_in_a_job_is_opened(client: TestClient, named: str, tmp_path: Path) -> None:
    job = begun(client, "paths")
    text = f'name = "x"\nunits = "mm"\ncatalogue = "{named}"\n[[cylinder]]\nname = "1"\n'
    text += f'material = "iron"\nreadings_file = "{named}"\n'
    sent = {"version": version(client, job), "text": text}
    assert client.post(f"{job}/text", data=sent).status_code == 303
    shown = client.get(job).text
    assert "Not decided" in shown and "PP-" not in shown
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
    assert "proven best" in client.get(made.headers["location"]).text


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
    text = client.get(f"{job}/machine?cylinder=1").text
    assert "to the next check" in text
    assert "5 entries" in client.get(f"{job}/hone/log").text


def test_a_pass_that_cannot_be_is_refused_and_not_written(client: TestClient) -> None:
    job = example(client, "pump/job")
    bad = {"cylinder": "1", "count": "10", "d0": "8", "a0": "thrust", "r0": "nonsense"}
    assert client.post(f"{job}/hone", data=bad).status_code == 400
    more = {"cylinder": "1", "count": "10\n1, 99,,", "stones": 'a"\nb'}
    assert client.post(f"{job}/hone", data=more).status_code == 400
    assert "0 entries" in client.get(f"{job}/hone/log").text


def test_the_book_keeps_what_is_put_in(client: TestClient) -> None:
    job = example(client, "pump/job")
    sent = {
        "version": version(client, job),
        "cylinder.0.marking": "P62-7",
        "cylinder.1.marking": "P62-8",
    }
    assert client.post(f"{job}/keep", data=sent).status_code == 303
    kept = client.post(f"{job}/book", data={"what": "job", "date": "2027-03-01"})
    assert kept.status_code == 303, kept.text
    assert "P62-7" in client.get("/book", params={"words": "P62-7"}).text
    assert "2027-03-01" in client.get("/book/cylinder", params={"marking": "P62-7"}).text
    assert client.get("/book/cylinder", params={"marking": "nobody"}).status_code == 400
    assert client.post(f"{job}/book", data={"what": "nonsense"}).status_code == 400


def test_what_is_left_counts_the_earlier_records_of_the_book(client: TestClient) -> None:
    """Two visits of a cylinder, the second worn by 0.03 mm: the ladder knows of it."""
    job = example(client, "brushsaw/job")
    sent = {"version": version(client, job), "cylinder.0.marking": "S-44"}
    assert client.post(f"{job}/keep", data=sent).status_code == 303
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
    page = client.get("/jobs").text
    assert "Removed in the last week" in page and f'action="{job}/give-back"' in page
    assert client.post(f"{job}/give-back").headers["location"] == job
    assert client.get(job).status_code == 200
    assert client.post(f"{job}/give-back").status_code == 404


def test_uncertainty_without_instruments_leads_on_by_one_tap(client: TestClient) -> None:
    job = example(client)
    asked = client.get(f"{job}/report/budget")
    assert asked.status_code == 200 and "does not say yet which instruments" in asked.text
    assert re.findall(r'name="chosen" value="([^"]+)"', asked.text) == ["everyday set", "fine set"]
    chosen = client.post(f"{job}/instruments", data={"chosen": "fine set"})
    assert chosen.headers["location"] == f"{job}/report/budget"
    assert "<table>" in client.get(f"{job}/report/budget").text
    assert 'instruments = "fine set"' in client.get(f"{job}/job.toml").text
    assert client.post(f"{job}/instruments", data={"chosen": "none"}).status_code == 400


def test_a_check_says_what_is_missing_and_leads_there(client: TestClient) -> None:
    job = example(client)
    page = client.get(f"{job}/check").text
    assert f'<a href="{job}/machine">bore 1: readings after the last pass</a>' in page
    began = str(client.post("/jobs", data={"catalogue": "pump"}).headers["location"])
    page = client.get(f"{began}/check").text
    assert f'<a href="{began}#read.0.0.0">cylinder 1 has no readings</a>' in page


def test_a_bare_volume_is_asked_for_its_unit(client: TestClient) -> None:
    shown = typed(client, example(client), engine__displacement_limit="250")
    assert "has no unit" in shown and "cm3" in shown and "unknown unit" not in shown


def test_fits_are_uncertain_by_so_much_before_instruments_are_named(client: TestClient) -> None:
    job = example(client)
    page = client.get(f"{job}/report/budget").text
    rows = re.findall(r'scope="row">([^<]+)</th>.*?<td class="figure">± ([\d.]+)</td>'
                      r'<td class="figure">± ([\d.]+)</td>', page)  # fmt: skip
    assert {"clearance", "end gap 1", "taper"} <= {fit for fit, *_ in rows}
    assert all(float(everyday) >= float(fine) > 0 for _, everyday, fine in rows)
    other = example(client)  # a set that is chosen is that of its column, there in micrometres
    client.post(f"{other}/instruments", data={"chosen": "fine set"})
    report = re.sub(r"<[^>]+>", " ", client.get(f"{other}/report/budget").text)
    found = re.search(r"clearance\s+1, 2\s+[\d.]+\s+([\d.]+)", report)
    assert found is not None
    [fine] = {float(row[2]) for row in rows if row[0] == "clearance"}
    assert 1000 * fine - 1 < float(found[1]) <= 1000 * fine


def test_one_depth_is_no_refusal_of_a_limit_on_taper(client: TestClient) -> None:
    began = client.post("/jobs", data={"catalogue": "pump / portable pump P62", "cylinders": "2"})
    readings = {f"read__{bore}__0__{axis}": f"62.3{axis}" for bore in (0, 1) for axis in (0, 1)}
    told = typed(client, began.headers["location"], depth__0="18", **readings)
    assert "taper: read one axis at two depths in the zone" in told
    assert "in question: +0.500" in told
    assert "would ask nothing" not in told


def test_a_refusal_names_the_file_that_was_sent(client: TestClient) -> None:
    text = (DEMOS / "pump" / "job.toml").read_bytes() + b"\nnothing_of_it = 1\n"
    files = [("files", ("folder/mine.toml", text))]
    answer = client.post("/jobs/upload", files=files, data={"catalogue": "pump"})
    assert answer.status_code == 400
    assert "mine.toml" in answer.text and "job.toml" not in answer.text


def test_where_nothing_fits_the_strip_says_the_first_cause(client: TestClient, pump: str) -> None:
    strip = typed(client, pump, terms__needed_in_days="1")
    (cause,) = re.findall(r'<p class="cause">(.+?)</p>', strip)
    assert re.match(r"[A-Z].*\d days", cause)
    assert "1" in cause


def test_a_catalogue_alone_is_offered_under_one_heading(client: TestClient) -> None:
    for path in ("/", "/jobs"):
        text = client.get(path).text
        assert text.count("every figure typed") == 1
        assert '<option value="pump">Portable pump, parts shelf</option>' in text


def test_refusals_are_sentences() -> None:
    refused = InputError("the bore is missing", field="size", allowed="a size")
    assert said(refused)[0].isupper()
    assert clearance_of_text("-0,01 0,06", "mm") == (-1_000, 6_000)  # a coated skirt
    with pytest.raises(InputError, match="lowest clearance is above"):
        clearance_of_text("0,09 0,06", "mm")
    assert "command" not in _late()


def _late() -> str:
    async def ask() -> str:
        solving = Solving(1, 0.01, 5, 5)
        try:
            await solving.ask("a", Once(), time.sleep, 5)
        except TooLongError as error:
            return str(error)
        finally:
            solving.close()
        return "it was answered"

    return asyncio.run(ask())
