"""Everything the documentation shows is what comes out."""

from __future__ import annotations

import shutil
from difflib import unified_diff
from pathlib import Path

import pytest

from tests.docs.compare import NoPlaceError, agrees, refreshed
from tests.docs.pages import PAGES, ROOT, Block, blocks, name
from tests.docs.running import Shown, run_page


def runnable(page: Path) -> list[Block]:
    return [block for block in blocks(page.read_text(encoding="utf-8")) if block.runs]


def difference(shown: Shown) -> str:
    """Show what a refresh would change, or everything where it cannot tell."""
    try:
        wanted = refreshed(shown.expected, shown.actual)
    except NoPlaceError:
        wanted = list(shown.actual)
    return "\n".join(unified_diff(shown.expected, wanted, "on the page", "as run", lineterm=""))


@pytest.mark.skipif(shutil.which("sh") is None, reason="the pages show a POSIX shell")
@pytest.mark.parametrize("page", [page for page in PAGES if runnable(page)], ids=name)
def test_outputs_are_real(page: Path, tmp_path: Path) -> None:
    stale = [
        f"{name(page)}, line {shown.first}: {shown.what}\n{difference(shown)}"
        for shown in run_page(page.read_text(encoding="utf-8"), tmp_path)
        if not agrees("\n".join(shown.expected).rstrip().splitlines(), shown.actual)
    ]
    assert not stale, "python -m tests.docs.refresh rewrites them:\n" + "\n\n".join(stale)


@pytest.mark.parametrize(
    "page", ["README.md", "docs/quickstart.md", "docs/commands.md", "docs/report.md"]
)
def test_this_page_runs_something(page: str) -> None:
    assert runnable(ROOT / page)
