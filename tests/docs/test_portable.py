"""Nothing in the files ties them to one machine, one person or one registry."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.docs.pages import ROOT

#: Folders that tools leave behind; none of them is kept under version control.
LEFT_BEHIND = re.compile(r"\..+|__pycache__|.+\.egg-info|build|dist|venv")
KEPT = {".ci"}
#: Bracketed letters keep these patterns from finding themselves.
FORBIDDEN = {
    "a home folder": re.compile(r"(?<![\w.])/(?:[h]ome|[r]oot|[U]sers)/"),
    "a folder of one machine": re.compile(r"(?<![\w.])/[w]ork(?:/|\b)"),
    "an e-mail address": re.compile(r"\b[\w.+-]+@[\w-]+\.[A-Za-z]{2,}\b"),
    "a package registry": re.compile(
        r"pypi\.or[g]|pythonhosted\.or[g]|npmjs\.co[m]|anaconda\.or[g]|index-ur[l]"
    ),
}
TEMPORARY = re.compile(r"(?<![\w.])/[t]mp(?:/|\b)")


def files(folder: Path = ROOT) -> Iterator[Path]:
    for path in sorted(folder.iterdir()):
        if LEFT_BEHIND.fullmatch(path.name) and path.name not in KEPT:
            continue
        if path.is_dir():
            yield from files(path)
        else:
            yield path


@pytest.mark.parametrize("what", FORBIDDEN)
def test_no_trace_of(what: str) -> None:
    found = [str(path.relative_to(ROOT)) for path in files() if FORBIDDEN[what].search(read(path))]
    assert not found, what


def test_no_temporary_path_outside_the_tests() -> None:
    own = ROOT / "tests"
    found = [path for path in files() if TEMPORARY.search(read(path)) and own not in path.parents]
    assert not found


def test_the_patterns_find_what_they_are_for() -> None:
    traces = {
        "a home folder": "see " + "/ho" + "me/someone/x",
        "a folder of one machine": "cd " + "/wo" + "rk",
        "an e-mail address": "write to someone" + "@" + "example.org",
        "a package registry": "https://py" + "pi.org/simple",
    }
    assert set(traces) == set(FORBIDDEN)
    assert all(FORBIDDEN[what].search(text) for what, text in traces.items())
    assert TEMPORARY.search("in " + "/tm" + "p/x")


def test_the_files_are_looked_at() -> None:
    seen = {path.relative_to(ROOT).as_posix() for path in files()}
    assert {"README.md", ".ci/run", "fitsolver/cli/app.py", "tests/docs/test_portable.py"} <= seen


def read(path: Path) -> str:
    return path.read_bytes().decode("utf-8", errors="replace")
