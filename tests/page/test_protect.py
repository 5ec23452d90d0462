"""Who may ask: host, origin, token, size; and what every answer forbids a browser."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from fitsolver.page.app import create_app
from fitsolver.page.protect import (
    COOKIE,
    LARGEST_FORM,
    LARGEST_UPLOAD,
    Protect,
    cookie_of,
)
from fitsolver.page.settings import Settings

from .serving import asked

TOKEN = "correct horse battery"


@pytest.fixture(scope="module")
def locked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    folder = tmp_path_factory.mktemp("locked")
    with asked(folder, host="192.0.2.7", token=TOKEN, names=("bench.local",)) as found:
        yield found


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "localhost.evil.example",
        "",
        "127.0.0.2",
        "[::",
        "a@localhost",
        "localhost/a",
    ],
)
def test_a_name_that_is_not_ours_is_refused(client: TestClient, host: str) -> None:
    """A name of another site that was pointed at this machine does not get the page."""
    assert client.get("/", headers={"host": host}).status_code == 400


@pytest.mark.parametrize("host", ["localhost", "localhost:8750", "127.0.0.1:1", "[::1]:8750"])
def test_names_of_this_machine_are_ours(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://localhost:9999"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_another_site_changes_nothing(
    client: TestClient, pump: str, headers: dict[str, str]
) -> None:
    before = client.get(f"{pump}/job.toml").text
    for path in (f"{pump}/keep", f"{pump}/remove", f"{pump}/hone", "/jobs", "/api/pick"):
        assert client.post(path, data={"name": "x"}, headers=headers).status_code == 403
    assert client.get(f"{pump}/job.toml").text == before


def test_a_page_of_ours_changes_what_it_is_for(client: TestClient, pump: str) -> None:
    headers = {"origin": "http://localhost", "sec-fetch-site": "same-origin"}
    version = client.get(pump).text.split('name="version" value="')[1].split('"')[0]
    sent = {"version": version, "note": "changed"}
    assert client.post(f"{pump}/keep", data=sent, headers=headers).status_code == 303
    assert 'note = "changed"' in client.get(f"{pump}/job.toml").text


def test_a_form_of_another_kind_is_no_request_of_the_api(client: TestClient) -> None:
    """What a foreign page can send without asking is a form or plain text, never JSON."""
    for kind in ("text/plain", "application/x-www-form-urlencoded"):
        answer = client.post("/api/pick", content="{}", headers={"content-type": kind})
        assert answer.status_code == 422


def test_every_answer_tells_the_browser_what_it_may_not(client: TestClient, pump: str) -> None:
    for path in ("/", pump, "/static/page.js", "/nowhere", "/api/openapi.json"):
        headers = client.get(path).headers
        assert "default-src 'none'" in headers["content-security-policy"]
        assert "frame-ancestors 'none'" in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"


def test_nothing_is_loaded_from_another_host(client: TestClient, pump: str) -> None:
    for path in ("/", pump, f"{pump}/report/pick", "/counter", "/book", "/api"):
        text = client.get(path).text
        assert 'src="http' not in text
        assert 'href="http' not in text
        assert 'src="//' not in text


def test_without_the_token_nothing_is_told(locked: TestClient) -> None:
    for path in ("/", "/api/catalogues", "/static/page.css", "/jobs/0123456789abcdef"):
        answer = locked.get(path)
        assert answer.status_code == 401
        assert len(answer.text) < 100
    wrong = locked.get("/", headers={"authorization": "Bearer correct horse"})
    assert wrong.status_code == 401


def test_the_token_opens_by_header_and_by_address_and_then_by_cookie(locked: TestClient) -> None:
    headers = {"authorization": f"Bearer {TOKEN}"}
    assert locked.get("/api/catalogues", headers=headers).status_code == 200
    entered = locked.get("/", params={"token": TOKEN})
    assert entered.status_code == 303
    assert entered.headers["location"] == "/"  # the token leaves the address
    cookie = entered.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert TOKEN not in entered.headers["set-cookie"]
    assert "secure" not in cookie  # or it would not come back over plain HTTP
    assert locked.get("/").status_code == 200
    locked.cookies.clear()
    for wrong in (TOKEN, cookie_of("another"), ""):
        assert locked.get("/", headers={"cookie": f'{COOKIE}="{wrong}"'}).status_code == 401


def test_the_cookie_of_a_page_behind_https_is_for_https_alone(locked: TestClient) -> None:
    with TestClient(locked.app, base_url="https://bench.local", follow_redirects=False) as client:
        entered = client.get("/", params={"token": TOKEN})
    assert "secure" in entered.headers["set-cookie"].lower()


def test_the_way_in_leads_to_no_other_host(locked: TestClient) -> None:
    for path in ("//evil.example/", "/\\evil.example/", "///evil.example"):
        locked.cookies.clear()
        entered = locked.get("http://bench.local" + path, params={"token": TOKEN})
        assert entered.status_code == 303
        assert entered.headers["location"].startswith("/evil.example")
    locked.cookies.clear()


@pytest.mark.parametrize("method", ["HEAD", "OPTIONS", "PUT", "DELETE", "PATCH", "TRACE", "BREW"])
def test_no_other_method_changes_or_opens_anything(
    client: TestClient, locked: TestClient, pump: str, method: str
) -> None:
    before = client.get(f"{pump}/job.toml").text
    for path in (f"{pump}/remove", f"{pump}/book", "/jobs", "/api/pick"):
        assert client.request(method, path).status_code in (200, 403, 405)
        assert locked.request(method, path).status_code in (401, 403)
    assert client.get(f"{pump}/job.toml").text == before


def test_who_sends_too_slowly_is_sent_away(tmp_path: Path) -> None:
    """A request must have come in whole by a time, else its place is given to others."""

    async def send_slowly() -> list[dict[str, Any]]:
        said: list[dict[str, Any]] = []
        app = Protect(create_app(Settings(tmp_path)), Settings(tmp_path), slowest=0.05)
        scope = {
            "type": "http",
            "method": "POST",
            "path": "/jobs/upload",
            "query_string": b"",
            "scheme": "http",
            "headers": [
                (b"host", b"localhost"),
                (b"content-type", b"multipart/form-data; boundary=x"),
            ],
        }

        async def receive() -> dict[str, Any]:
            await asyncio.sleep(0.02)
            return {"type": "http.request", "body": b"-", "more_body": True}

        async def send(message: Any) -> None:
            said.append(message)

        await app(scope, receive, send)
        return said

    assert asyncio.run(send_slowly())[0]["status"] == 408


def pieces(most: int) -> Iterator[bytes]:
    """Give a file of more than `most` bytes in pieces."""
    yield b'--x\r\ncontent-disposition: form-data; name="files"; filename="a"\r\n\r\n'
    for _ in range(most // 1_000_000 + 1):
        yield b"a" * 1_000_000


@pytest.mark.parametrize("stated", [True, False])
def test_more_than_may_be_sent_is_cut_off(client: TestClient, pump: str, stated: bool) -> None:
    """Whether the sender says how much is coming, or keeps sending."""
    for path, most in ((f"{pump}/keep", LARGEST_FORM), ("/jobs/upload", LARGEST_UPLOAD)):
        headers = {"content-type": "application/x-www-form-urlencoded"}
        if path.endswith("upload"):
            headers = {"content-type": "multipart/form-data; boundary=x"}
        content = b"".join(pieces(most)) if stated else pieces(most)
        answer = client.post(path, content=content, headers=headers)
        assert answer.status_code == 413, path
        assert "at most" in answer.text


def test_a_file_of_200_mb_is_refused_by_its_length_alone(client: TestClient) -> None:
    headers = {"content-length": "200000000", "content-type": "multipart/form-data; boundary=x"}
    assert client.post("/catalogues/upload", content=b"", headers=headers).status_code == 413


def test_a_length_that_is_none_is_no_server_error(client: TestClient, tmp_path: Path) -> None:
    for length in ("x", "9" * 40, "-1", "²"):
        answer = client.get("/", headers={"content-length": length.encode("latin-1")})
        assert answer.status_code < 500
