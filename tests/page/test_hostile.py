"""What someone who means harm, or a damaged disk, may do: a clear refusal, and all else goes on."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from fitsolver.base.errors import InputError
from fitsolver.page.bench import content_of
from fitsolver.page.drafts import Drafts
from fitsolver.page.shelf import Shelf

from .serving import DEMOS, asked, example, kept, typed
from .test_views import begun, version

EVIL = "\"'><script>alert(1)</script><img src=x onerror=alert(1)>{{ 7*7 }}"


def test_a_name_from_anywhere_is_shown_as_text(client: TestClient) -> None:
    """In the job, its cylinder and marking, the catalogue, a part, the stones, a file's name."""
    parts = [*(DEMOS / "brushsaw").glob("*.csv"), DEMOS / "brushsaw" / "catalogue.toml"]
    name = EVIL.replace('"', "")
    files = []
    for path in parts:
        text = path.read_text().replace("BP-", f"{name} BP-")
        if path.name == "catalogue.toml":
            head, _, rest = text.partition('name = "')
            text = f'{head}name = "{name} {rest}'
        files.append(("files", (path.name, text.encode())))
    made = client.post("/catalogues/upload", files=files)
    key = made.headers["location"].rsplit("/", 1)[1]
    job = example(client, "brushsaw/job")
    text = client.get(f"{job}/job.toml").text.replace("BP-", f"{name} BP-")
    text = text.replace('"brushsaw"', f'"{key}"')
    sent = {"version": version(client, job), "text": text}
    assert client.post(f"{job}/text", data=sent).status_code == 303
    sent = {"version": version(client, job), "name": EVIL, "cylinder.0.marking": EVIL}
    sent["cylinder.0.name"] = EVIL
    assert client.post(f"{job}/keep", data=sent).status_code == 303
    stones = {"cylinder": EVIL, "count": "5", "stones": EVIL}
    pages = [client.post(f"{job}/hone", data=stones)]
    paths = (
        job,
        f"{job}/machine",
        f"{job}/hone/log",
        f"{job}/sheet",
        f"{job}/text",
        f"{job}/order",
        f"{job}/choose",
    )
    reports = [f"{job}/report/{verb}" for verb in ("pick", "why", "alternatives", "plan", "fits")]
    for path in (*paths, *reports, "/", "/jobs", f"/catalogues/{key}", "/catalogues", "/counter"):
        pages.append(client.get(path))
    pages.append(client.get("/book/cylinder", params={"marking": EVIL}))
    pages.append(client.get("/counter", params={"catalogue": EVIL, "family": EVIL, "sizes": "1"}))
    pages.append(client.get(f"/catalogues/{key}/family"))
    pages.append(client.get("/counter", params={"catalogue": key, "family": "b", "sizes": EVIL}))
    bad = [("files", (EVIL + ".exe", b"x"))]
    pages.append(client.post("/catalogues/upload", files=bad))
    live = typed(client, job, units=EVIL)
    for text in (*(page.text for page in pages), live):
        assert "<script>alert" not in text
        assert "<img src=x" not in text
        assert "49" not in text or "{{ 7*7 }}" in text or "7*7" not in text
    assert any("&lt;script&gt;alert" in page.text for page in pages)
    assert pages[1].status_code == 200


@pytest.mark.parametrize(
    "content",
    [b'name = "unfinished', b"\xff\xfe\x00", b"", b"a = " + b"[" * 400 + b"]" * 400],
    ids=["no TOML", "no text", "empty", "deep"],
)
def test_a_damaged_job_takes_no_other_with_it(tmp_path: Path, content: bytes) -> None:
    with asked(tmp_path) as client:
        good = begun(client, "good one")
        bad = begun(client, "bad one")
        key = bad.rsplit("/", 1)[1]
        (tmp_path / "jobs" / f"{key}.toml").write_bytes(content)
        assert "good one" in client.get("/").text
        for path in (bad, f"{bad}/text", f"{bad}/machine", f"{bad}/sheet", f"{bad}/report/pick"):
            assert client.get(path).status_code < 500, path
        assert client.get(good).status_code == 200
        assert client.post(f"{bad}/remove").status_code == 303
        assert f'"{bad}"' not in client.get("/").text


def test_a_damaged_upload_keeps_no_page_from_starting(tmp_path: Path) -> None:
    folder = tmp_path / "catalogues"
    parts = [(path.name, path.read_bytes()) for path in (DEMOS / "brushsaw").glob("*.csv")]
    head = DEMOS / "brushsaw" / "catalogue.toml"
    key = kept(Shelf({}, folder), [(head.name, head.read_bytes()), *parts])
    (folder / key / "pistons.csv").write_bytes(b"\0")
    with asked(tmp_path) as client:
        page = client.get("/catalogues")
        assert page.status_code == 200
        assert f"{key} that was sent cannot be read any more" in page.text
        assert str(tmp_path) not in page.text


def test_what_a_killed_page_left_half_written_is_swept_up(tmp_path: Path) -> None:
    (tmp_path / "jobs").mkdir()
    (tmp_path / "jobs" / ".new-1").write_text("half")
    (tmp_path / "catalogues" / ".new-2").mkdir(parents=True)
    Drafts(tmp_path / "jobs")
    Shelf({}, tmp_path / "catalogues")
    assert [path.name for path in tmp_path.rglob(".new-*")] == []


def test_a_catalogue_that_cannot_be_read_is_told_at_the_start(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "fitsolver", "page", "-c", str(tmp_path), "--port", "0"]
    command += ["--data", str(tmp_path / "data")]
    found = subprocess.run(command, check=False, capture_output=True, text=True, timeout=60)
    assert found.returncode == 2
    assert "catalogue.toml" in found.stderr
    assert "Traceback" not in found.stderr


@pytest.mark.parametrize("content", [b"no book", b"SQLite format 3\x00" + b"x" * 200])
def test_a_book_that_cannot_be_opened_is_told_where_it_is_asked(
    tmp_path: Path, content: bytes
) -> None:
    file = tmp_path / "book.sqlite"
    file.write_bytes(content)
    with asked(tmp_path / "data", book=str(file)) as client:
        job = begun(client)
        for answer in (client.get("/book"), client.get("/book/cylinder", params={"marking": "1"})):
            assert answer.status_code == 400
            assert 'role="alert"' in answer.text
            assert str(tmp_path) not in answer.text
        assert client.get(job).status_code == 200
        assert client.get("/").status_code == 200
    assert file.read_bytes() == content


@pytest.mark.parametrize("charset", ["utf-7", "unicode_escape", "hex", "idna", "punycode", "x"])
def test_no_encoding_of_a_form_is_a_server_error(client: TestClient, charset: str) -> None:
    job = begun(client, "encoded")
    for value in (b"\\ud800", b"+2AA-", b"\xff\xfe", b"xn--\xff", b"\x00"):
        body = b'--x\r\nContent-Disposition: form-data; name="note"\r\n\r\n' + value
        body += b'\r\n--x\r\nContent-Disposition: form-data; name="version"\r\n\r\n'
        body += version(client, job).encode() + b"\r\n--x--\r\n"
        kind = f"multipart/form-data; boundary=x; charset={charset}"
        for path in (f"{job}/keep", "/jobs"):
            answer = client.post(path, content=body, headers={"content-type": kind})
            assert answer.status_code < 500, (path, value)
        assert client.get(job).status_code == 200


def test_forms_of_any_shape_are_no_server_error(client: TestClient) -> None:
    job = begun(client, "shapes")
    many = "&".join(f"f{n}=1" for n in range(30_000))
    urlencoded = "application/x-www-form-urlencoded"
    for kind, body in (
        (urlencoded, many),
        (urlencoded, "depth.0=" + "a," * 5000),
        (urlencoded, "%ED%A0%80=%ED%A0%80&note=%ED%A0%80&=&&&="),
        ("multipart/form-data", "x"),
        ("multipart/form-data; boundary=x", "--x\r\n\r\n\r\n--x--"),
        ("application/json", "{}"),
        ("text/plain", "a"),
        ("", ""),
    ):
        for path in (f"{job}/keep", f"{job}/hone", f"{job}/book", "/jobs", "/jobs/upload"):
            answer = client.post(path, content=body, headers={"content-type": kind})
            assert answer.status_code < 500, (kind, path)
    assert client.get(job).status_code == 200


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 300 + "]" * 300,
        "a" + ".a" * 3000 + " = 1",
        "[" + "a." * 3000 + "a]\nb = 1",
        "a = " + "{b = " * 150 + "1" + "}" * 150,
    ],
    ids=["lists", "keys", "sections", "tables"],
)
def test_nesting_that_no_job_has_is_refused(client: TestClient, text: str) -> None:
    with pytest.raises(InputError, match="too deep"):
        content_of(text)
    answer = client.post("/api/pick", json={"job": text, "catalogue": "pump"})
    assert answer.status_code == 400


def test_ten_thousand_readings_do_not_stop_the_page(client: TestClient) -> None:
    job = begun(client, "long")
    rows = ",".join(f'["{n / 10:.1f}","thrust","62.31"]' for n in range(9000))
    text = 'name = "long"\nunits = "mm"\ncatalogue = "pump"\n[[cylinder]]\nname = "1"\n'
    text += f'material = "iron"\nreadings = [{rows}]\n'
    assert (
        client.post(f"{job}/text", data={"version": version(client, job), "text": text}).status_code
        == 303
    )
    page = client.get(job)
    assert page.status_code == 200
    assert "are entered in the" in page.text  # a grid has as many rows as a form can send


def test_jobs_are_counted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fitsolver.page.drafts._MOST", 2)
    drafts = Drafts(tmp_path)
    for _ in range(2):
        drafts.new("a = 1")
    with pytest.raises(InputError, match="too many"):
        drafts.new("a = 1")


def test_a_full_disk_is_told_and_leaves_nothing_half_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drafts = Drafts(tmp_path)
    made = drafts.new("a = 1")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(InputError, match="No space left"):
        drafts.change(made.key, "a = 2", made.version)
    assert drafts.read(made.key) == made
    assert [path.name for path in tmp_path.iterdir()] == [f"{made.key}.toml"]
