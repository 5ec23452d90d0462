"""Sheets of the demo jobs; read as HTML, printed by a browser, looked at as PDF and as pictures."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Final

import pytest

from fitsolver.base.lengths import Unit
from fitsolver.paper import Paper, work_sheet
from fitsolver.planning.stages import in_stages
from fitsolver.plots import inline_profiles
from fitsolver.records.plan import Answer
from fitsolver.usecases.loading import load
from tests.unit.plots.drawn import path, ready
from tests.unit.reporting.demos import picked

DAY: Final = date(2027, 3, 1)
#: Points of 1/72 in, as a PDF states its pages.
SIZES: Final[dict[Paper, tuple[float, float]]] = {"a4": (595, 842), "letter": (612, 792)}
_VOID: Final = ("meta", "link", "br", "img", "input", "hr", "path", "use", "rect", "col")


def html_of(answer: Answer, job: str, paper: Paper = "a4", unit: Unit | None = None) -> str:
    """The sheet of an answer to a demo job, which may have been changed."""
    stages = in_stages(answer, load(path(job))[1])
    whole = ready(job)
    profiles = inline_profiles(whole, unit)
    return work_sheet(whole, answer, stages, profiles, made_on=DAY, paper=paper, unit=unit).html


@cache
def sheet_of(job: str, paper: Paper = "a4", unit: Unit | None = None) -> str:
    return html_of(picked(job), job, paper, unit)


@dataclass
class Read(HTMLParser):
    """What a sheet holds: its texts, its table rows under their captions, its tags."""

    html: str
    texts: list[str] = field(default_factory=list)
    tables: dict[str, list[list[str]]] = field(default_factory=dict)
    classes: dict[str, list[list[str]]] = field(default_factory=dict)
    tags: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    blanks: int = 0

    def __post_init__(self) -> None:
        super().__init__()
        self._open: list[str] = []
        self._caption = ""
        self.feed(self.html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        self.tags.append((tag, found))
        if tag not in _VOID:
            self._open.append(tag)
        if tag == "tr":
            self._rows().append([])
            self.classes[self._caption].append([])
        if tag in ("td", "th"):
            self._rows()[-1].append("")
            self.classes[self._caption][-1].append(found.get("class", ""))
            self.blanks += tag == "td" and "blank" in found["class"].split()

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag, f"</{tag}> closes nothing"

    def handle_data(self, data: str) -> None:
        if not data.strip() or "style" in self._open:
            return
        self.texts.append(data.strip())
        if self._open[-1] == "caption":
            self._caption = data.strip()
            if self._caption in self.tables:  # a sheet of many cylinders goes on in another
                self._caption += f" {len(self.tables)}"
            self.tables[self._caption] = []
            self.classes[self._caption] = []
        if "td" in self._open or "th" in self._open:
            cells = self._rows()[-1]
            cells[-1] = f"{cells[-1]} {data.strip()}".strip()

    def all_of(self, caption: str) -> list[list[list[str]]]:
        """The tables under a caption, in their order."""
        return [rows for name, rows in self.tables.items() if name.startswith(caption)]

    def _rows(self) -> list[list[str]]:
        return self.tables[self._caption]

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.texts).split())


@dataclass
class Machined:
    """One cylinder in the table of work: its rows (name, parts, stops, everywhere), and its own."""

    rows: list[list[str]]
    own: str


def machined(read: Read, order: list[str]) -> dict[str, Machined]:
    """Return what the table of work says of each cylinder; rows of several are for each of them."""
    found: dict[str, Machined] = {}
    names: list[str] = []
    shown = ""
    for row in read.tables["Finish"][1:]:
        if len(row) == 1:  # what the cylinders of the rows above have for themselves
            parts = [part.strip().split(" ", 1) for part in row[0].split("least most")[:-1]]
            assert [part[0] for part in parts] == names
            for name, own in parts:
                found[name].own = own
        elif row[0] == shown:
            for name in names:
                found[name].rows.append(row[:4])
                found[name].own += f" {row[3]}"
        else:
            shown, names = row[0], _expanded(row[0], order)
            assert not found.keys() & names
            own = f"{row[1]} {row[3]}"  # of a cylinder by itself
            found |= {name: Machined([row[:4]], own) for name in names}
    return found


def _expanded(said: str, order: list[str]) -> list[str]:
    names: list[str] = []
    for part in said.split(", "):
        first, _, last = part.partition(" to ")
        names += order[order.index(first) : order.index(last or first) + 1]
    return names


def artefact(name: str, folder: Path) -> Path:
    """Where a picture is kept: in the folder that FITSOLVER_ARTEFACTS names, else a passing one."""
    kept = os.environ.get("FITSOLVER_ARTEFACTS")
    home = Path(kept) / "sheet" if kept else folder
    home.mkdir(parents=True, exist_ok=True)
    return home / name


def tool(*names: str) -> str:
    """The first of these programs that is installed; the test is skipped where none is."""
    for name in names:
        if found := shutil.which(name):
            return found
    pytest.skip(f"{names[0]} is not installed: sheets cannot be printed here")


def printed(html: str, name: str, folder: Path) -> Path:
    """Print a sheet with a browser that reaches no other host; return the PDF."""
    page, pdf = folder / f"{name}.html", artefact(f"{name}.pdf", folder)
    page.write_text(html, encoding="utf-8")
    pdf.unlink(missing_ok=True)
    as_root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    run(
        tool("chromium", "chromium-browser", "google-chrome"),
        "--headless",
        *as_root,
        "--disable-gpu",
        "--host-resolver-rules=MAP * ~NOTFOUND",
        f"--user-data-dir={folder / 'browser'}",
        "--no-pdf-header-footer",
        f"--print-to-pdf={pdf}",
        page.as_uri(),
    )
    assert pdf.is_file(), "the browser printed nothing"
    return pdf


def run(*command: str) -> str:
    """Run a program and return what it says; the test fails where it fails."""
    done = subprocess.run(command, capture_output=True, encoding="utf-8", timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def pages(pdf: Path, *, laid_out: bool = False) -> list[str]:
    """The text of every page of a PDF, as the page was written or as it is laid out."""
    how = ["-layout"] if laid_out else ["-raw"]
    return run(tool("pdftotext"), *how, str(pdf), "-").split("\f")[:-1]


#: Height of a word's box over the size of its type, in the letters that are printed with here.
_BOX: Final = 1.1643
#: Signs of a word that is wider than high where it is not turned.
_SHORT: Final = 3
_WORD: Final = re.compile(
    r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">([^<]*)</word>'
)


@dataclass(frozen=True)
class Word:
    """A word where it is printed, in points from the top left of its page."""

    said: str
    left: float
    top: float
    right: float
    bottom: float

    @property
    def size(self) -> float:
        """The size of its type in points, which in a word that is turned lies across."""
        across, down = self.right - self.left, self.bottom - self.top
        return (across if len(self.said) > _SHORT and across < down else down) / _BOX

    def on(self, other: Word) -> bool:
        """Tell whether it is printed over another word: by more than a point each way."""
        across = min(self.right, other.right) - max(self.left, other.left)
        down = min(self.bottom, other.bottom) - max(self.top, other.top)
        return across > 1 and down > min(self.bottom - self.top, other.bottom - other.top) / 2


def words(pdf: Path) -> list[list[Word]]:
    """The words of every page of a PDF."""
    told = run(tool("pdftotext"), "-bbox", str(pdf), "-").split("<page ")[1:]
    return [
        [Word(word[5], *map(float, word.groups()[:4])) for word in _WORD.finditer(page)]
        for page in told
    ]


def pictures(pdf: Path, dots: int = 75) -> list[Path]:
    """A PDF page by page as pictures of so many dots an inch, beside it."""
    run(tool("pdftoppm"), "-r", str(dots), "-png", str(pdf), str(pdf.with_suffix("")))
    return sorted(pdf.parent.glob(f"{pdf.stem}-*.png"))
