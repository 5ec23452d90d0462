"""The command line as a fixture."""

from __future__ import annotations

import pytest

from .run import Run, runner


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run the command line in this process; see `runner`."""
    return runner(monkeypatch, capsys)
