"""Links on the pages lead somewhere."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.docs.pages import PAGES, name

LINK = re.compile(r"\[[^\]]*\]\(([^)\s]+)\)")
FENCED = re.compile(r"^```.*?^```", re.MULTILINE | re.DOTALL)


def prose(page: Path) -> str:
    return FENCED.sub("", page.read_text(encoding="utf-8"))


def anchors(page: Path) -> set[str]:
    """Name the headings of a page as links do: small letters, blanks as hyphens."""
    headings = re.findall(r"^#+ (.+)$", prose(page), re.MULTILINE)
    plain = (re.sub(r"[^\w\- ]", "", heading).strip().lower() for heading in headings)
    return {heading.replace(" ", "-") for heading in plain}


@pytest.mark.parametrize("page", PAGES, ids=name)
def test_links_resolve(page: Path) -> None:
    for link in LINK.findall(prose(page)):
        target, _, anchor = link.partition("#")
        assert "://" not in target, "the pages need no network"
        there = (page.parent / target) if target else page
        assert there.exists(), link
        if anchor:
            assert anchor in anchors(there), link
