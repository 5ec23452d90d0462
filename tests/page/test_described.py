"""The API against its own description: drawn requests, none of which may be a server's error."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator
from typing import Any

import httpx
import pytest
from hypothesis import HealthCheck, given, settings

schemathesis = pytest.importorskip("schemathesis", reason="schemathesis is not installed")

from schemathesis import GenerationMode  # noqa: E402

from .serving import served  # noqa: E402

#: Requests that were sent and answered, by status.
ANSWERED: Counter[int] = Counter()
#: Times as many cases as by default: 4 make over 2,000.
MORE = int(os.environ.get("FITSOLVER_TEST_MORE", "1"))
VERBS = (
    *("pick", "why", "alternatives", "plan", "ladder", "firm", "fits", "budget", "final", "bore"),
    *("arrived", "hone", "gauge", "pair", "counter"),
)
PATHS = (
    *(("POST", f"/api/{verb}") for verb in VERBS),
    ("GET", "/api/catalogues"),
    ("GET", "/api/catalogues/{key}"),
    ("POST", "/api/catalogues/upload"),
)


@pytest.fixture(scope="module")
def described(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    with served(tmp_path_factory.mktemp("page"), "--seconds", "5") as address:
        description = f"{address}/api/openapi.json"
        httpx.get(description, timeout=60)  # its examples are run once, on a busy machine slowly
        yield schemathesis.openapi.from_url(description)
    told = ", ".join(f"{count} with {status}" for status, count in sorted(ANSWERED.items()))
    print(f"\n{ANSWERED.total()} requests answered: {told}")


def test_every_path_that_is_described_is_tried(described: Any) -> None:
    found = {(item.ok().method.upper(), item.ok().path) for item in described.get_all_operations()}
    assert found == set(PATHS)


def ask(operation: Any, mode: Any, count: int) -> None:
    """Send drawn requests; a drawn catalogue is replaced by one that is there."""

    @settings(
        max_examples=count, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck)
    )
    @given(case=operation.as_strategy(generation_mode=mode))
    def send(case: Any) -> None:
        if isinstance(case.body, dict) and isinstance(case.body.get("catalogue"), str):
            case.body["catalogue"] = "brushsaw"
        response = case.call()
        ANSWERED[response.status_code] += 1
        assert response.status_code < 500, (response.text, case)

    send()


@pytest.mark.parametrize(("method", "path"), PATHS, ids=lambda part: str(part).replace("/", "_"))
def test_no_request_as_described_is_a_server_error(described: Any, method: str, path: str) -> None:
    ask(described[path][method], GenerationMode.POSITIVE, 25 * MORE)


@pytest.mark.parametrize("path", [path for method, path in PATHS if method == "POST"])
def test_no_request_that_is_not_allowed_is_a_server_error(described: Any, path: str) -> None:
    ask(described[path]["POST"], GenerationMode.NEGATIVE, 15 * MORE)
