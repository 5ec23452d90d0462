"""One page for the tests of a module, with the demo catalogues and an empty bench."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from fastapi.testclient import TestClient

from .serving import asked, example


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    folder = tmp_path_factory.mktemp("page")
    with asked(folder, book=str(folder / "book.sqlite")) as found:
        yield found


@pytest.fixture(scope="module")
def pump(client: TestClient) -> str:
    """The address of a copy of the pump job."""
    return example(client, "pump/job")
