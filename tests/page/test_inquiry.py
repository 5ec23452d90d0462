"""One request about a job reads its draft once, and understands it once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient

from fitsolver.page import bench
from fitsolver.page.drafts import Drafts

from .serving import PARTIAL, version

READ = (
    "/order.csv",
    "/report/plan",
    "/plots/stages.svg",
    "/sheet",
    "/machine",
    "/check",
    "/hone/log",
    "/text",
)


def counted(of: object, name: str, counts: Counter[str], monkeypatch: pytest.MonkeyPatch) -> None:
    real: Callable[..., object] = getattr(of, name)

    def call(*arguments: object, **named: object) -> object:
        counts[name] += 1
        return real(*arguments, **named)

    monkeypatch.setattr(of, name, call)


@pytest.mark.parametrize("address", ["", *READ])
def test_a_job_is_read_once(
    client: TestClient, pump: str, address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    counts: Counter[str] = Counter()
    for name in ("parse_toml", "job_of", "hold_together"):
        counted(bench, name, counts, monkeypatch)
    counted(Drafts, "read", counts, monkeypatch)
    assert client.get(pump + address).status_code == 200
    assert counts["read"] == 1
    # A text that was understood before is not understood again.
    assert max(counts["parse_toml"], counts["job_of"], counts["hold_together"]) <= 1


def test_what_is_typed_is_kept_as_text_and_understood_without_it(
    client: TestClient, pump: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    counts: Counter[str] = Counter()
    for name in ("parse_toml", "job_of"):
        counted(bench, name, counts, monkeypatch)
    answer = client.post(f"{pump}/keep", data={"note": "typed", "version": ""}, headers=PARTIAL)
    assert answer.status_code == 409  # made from no version that is known
    assert counts["job_of"] == 0
    now = version(client, pump)
    counts.clear()
    answer = client.post(f"{pump}/keep", data={"note": "typed", "version": now}, headers=PARTIAL)
    assert answer.status_code == 200, answer.text
    assert counts["job_of"] == 1
