"""Every rule, command, option and fit has its place on the pages."""

from __future__ import annotations

import re

import pytest
import typer

from fitsolver.cli.app import app
from fitsolver.records.base import FITS, LEVEL_NAMES, RULES
from tests.docs.pages import DOCS, PAGES, ROOT
from tests.docs.rules_index import refreshed_index, rows

COMMANDS = typer.main.get_command(app).commands  # type: ignore[attr-defined]
OPTIONS = [
    (command, option)
    for command, declared in COMMANDS.items()
    for parameter in declared.params
    for option in parameter.opts
    if option.startswith("--")
]


def text(page: str) -> str:
    return (ROOT / page).read_text(encoding="utf-8")


def section(page: str, heading: str) -> str:
    """Return what stands under the heading that has this word, up to the next of its level."""
    found = re.search(
        rf"^(#+) [^\n]*\b{re.escape(heading)}\b[^\n]*\n(.*?)(?=^\1 |\Z)",
        text(page),
        re.MULTILINE | re.DOTALL,
    )
    assert found, f"{page} has no heading with '{heading}'"
    return found[2]


@pytest.mark.parametrize("rule", RULES)
def test_rule_has_a_page_and_is_decided(rule: str) -> None:
    page = text(f"docs/rules/{rule}.md")
    assert page.startswith(f"# `{rule}`\n")
    for heading in ("What it demands", "When it applies", "Source", "Example", "When it fails"):
        assert f"## {heading}\n" in page
    assert f"| `{rule}` |" in text("docs/decision.md")


def test_the_index_has_the_rules_as_the_registry_has_them() -> None:
    shown = text("docs/README.md")
    assert "\n".join(rows()) in shown
    assert refreshed_index(shown) == shown


@pytest.mark.parametrize("word", [*FITS, *LEVEL_NAMES])
def test_fit_and_level_are_in_the_nomenclature(word: str) -> None:
    assert f"`{word}`" in text("docs/nomenclature.md")
    assert f"`{word}`" in text("docs/formats.md")


@pytest.mark.parametrize("command", COMMANDS)
def test_command_is_documented_and_shown(command: str) -> None:
    assert section("docs/commands.md", command).strip()
    assert f"fitsolver {command}" in text("README.md")


@pytest.mark.parametrize(("command", "option"), OPTIONS)
def test_option_is_documented(command: str, option: str) -> None:
    assert re.search(rf"{option}\b", section("docs/commands.md", command))


def test_the_index_lists_every_page() -> None:
    index = text("docs/README.md")
    pages = [page.relative_to(DOCS).as_posix() for page in PAGES if DOCS in page.parents]
    assert not [page for page in pages if page != "README.md" and f"({page})" not in index]
