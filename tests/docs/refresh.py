"""Rewrites the outputs that the documentation shows: `python -m tests.docs.refresh [PAGE ...]`.

The table of rules in its index is written from the registry.

Read the difference before keeping it: a page that changed is a change of behaviour.
"""

from __future__ import annotations

import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.docs.compare import NoPlaceError, refreshed
from tests.docs.pages import PAGES, name
from tests.docs.rules_index import INDEX, refreshed_index
from tests.docs.running import run_page


def refresh(page: Path) -> bool:
    """Rewrite one page; tell whether it changed."""
    text = page.read_text(encoding="utf-8")
    lines = text.splitlines()
    with TemporaryDirectory() as folder:
        found = list(run_page(text, Path(folder)))
    for shown in reversed(found):
        lines[shown.first : shown.last] = _with_gap(shown.expected, shown.actual)
    changed = "".join(f"{line}\n" for line in lines)
    if changed == text:
        return False
    page.write_text(changed, encoding="utf-8")
    return True


def _list_rules() -> bool:
    """Rewrite the table of rules; tell whether it changed."""
    text = INDEX.read_text(encoding="utf-8")
    INDEX.write_text(refreshed_index(text), encoding="utf-8")
    return refreshed_index(text) != text


def _with_gap(expected: tuple[str, ...], actual: tuple[str, ...]) -> list[str]:
    """Keep the empty lines that stand between an output and the next command."""
    body = list(expected)
    gap: list[str] = []
    while body and not body[-1]:
        gap.append(body.pop())
    return refreshed(body, actual) + gap


def main(wanted: list[str]) -> int:
    pages = [Path(page).resolve() for page in wanted] or [page for page in PAGES if page.exists()]
    failed = 0
    for page in pages:
        listed = page == INDEX and _list_rules()
        try:
            print(f"{name(page)}: {'rewritten' if refresh(page) or listed else 'as it was'}")
        except (NoPlaceError, AssertionError, ValueError) as error:
            print(f"{name(page)}: by hand, please: {error}")
            failed = 1
    return failed


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
