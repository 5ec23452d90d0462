"""Words that no shop uses stand nowhere that a user reads; docs/nomenclature.md has the others.

The help of every command is looked through in tests/unit/cli/test_help.py.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest

from tests.docs.pages import ROOT

#: The word shown in their place: the table 'Words shown, and keys' of docs/nomenclature.md.
BANNED: Final = re.compile(
    r"\b(half[- ]widths?|restor(e|ed|es|ing)|levels?|guard(s|ing)?|"
    r"(?<!no )routes? cuts?|lies on its (lowest|highest))\b",
    re.IGNORECASE,
)
#: Pages that name the old word beside the new one.
NAMES_BOTH: Final = ("nomenclature.md",)
#: A rectangular distribution has a half-width in the standards, a supplier's list may head its
#: counts so, a damaged book is restored from its copy; the others are keys of a job.
EXCUSED: Final = (
    "distribution of half-width",
    "stock level",
    "hoehe height level pos",  # headings of readings
    "restore a copy",
    "restored, largest_removal",
    "route of kind restore",
    "that a restore route starts",
)
#: Keys of files and documents: in code marks, as a key, or as a value of one.
_MARKED: Final = re.compile(r"`[^`\n]*`|\"[^\"\n]*\"|\b(guard|half_width)( =|,)")
_FENCED: Final = re.compile(r"^```(?!console).*?^```", re.MULTILINE | re.DOTALL)


def pages() -> list[Path]:
    found = [*(ROOT / "docs").rglob("*.md"), ROOT / "README.md", ROOT / "catalogs_demo/README.md"]
    return sorted(page for page in found if page.name not in NAMES_BOTH)


def banned(text: str) -> list[str]:
    for said in EXCUSED:
        text = text.replace(said, "")
    return [line for line in text.splitlines() if BANNED.search(_MARKED.sub("", line))]


@pytest.mark.parametrize("page", pages(), ids=lambda page: page.name)
def test_no_page_says_an_old_word(page: Path) -> None:
    assert banned(_FENCED.sub("", page.read_text(encoding="utf-8"))) == []


def strings(source: str) -> Iterator[tuple[int, str]]:
    """Texts of a module that say something: of more than one word, and no docstrings."""
    tree = ast.parse(source)
    docstrings = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    pieces = {
        id(piece)
        for node in ast.walk(tree)
        if isinstance(node, ast.JoinedStr)
        for piece in node.values
    }
    for node in ast.walk(tree):
        said = ""
        if isinstance(node, ast.JoinedStr):
            said = "".join(
                str(piece.value) if isinstance(piece, ast.Constant) else "{}"
                for piece in node.values
            )
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            said = "" if id(node) in docstrings | pieces else node.value
        if " " in said.strip():
            yield node.lineno, said


def test_no_text_of_the_program_says_an_old_word() -> None:
    """Reports, messages and help texts; and the templates of the page and the sheet."""
    found = [
        f"{path.relative_to(ROOT)}:{line}: {said}"
        for path in (ROOT / "fitsolver").rglob("*.py")
        for line, said in strings(path.read_text(encoding="utf-8"))
        if banned(said)
    ]
    found += [
        f"{path.relative_to(ROOT)}: {line}"
        for path in (ROOT / "fitsolver").rglob("*.html")
        for line in banned(re.sub(r"{[{%].*?[%}]}", "", path.read_text(encoding="utf-8")))
    ]
    assert found == []


def test_the_words_are_looked_for() -> None:
    assert banned("the half-width of the route") and banned("a Guard of 2 um")
    assert banned("the last Level") and banned("a bore is restored") and banned("the route cuts")
    assert not banned("the key `guard`") and not banned("a safeguard")
    said = list(strings('f"{name}: the {word} level"'))
    assert said == [(1, "{}: the {} level")] and banned(said[0][1])
