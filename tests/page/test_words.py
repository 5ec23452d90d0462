"""No word of the command line or of a file stands on the page, also where it refuses."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from fitsolver.page import entered, named
from fitsolver.page.bench import Bench, content_of, on_the_bench, text_of
from fitsolver.page.doubted import place_said
from fitsolver.page.fields import PARTS
from fitsolver.page.list_answers import ROLE_WORDS
from fitsolver.page.said import said
from fitsolver.page.shelf import Shelf
from fitsolver.reading.job_file import read_job
from fitsolver.reading.job_text import job_content
from fitsolver.reading.list_headings import ROLES

from .serving import CATALOGUES, DEMOS, PARTIAL, example, version
from .typed import put

#: What belongs to commands and files: an option, a command, an assignment, a section, a key, and
#: the names of the parts of a message.
WORDS = re.compile(
    r"(?<![\w-])--[a-z]|\bfitsolver [a-z]+|\w = |\[\[?[a-z_.]+\]|\b[a-z]+_[a-z_]+\b"
    r"|\b[a-z]{3,}\.(?!csv|toml|json|svg|html|xlsx)[a-z]{2,}\b"
    r"|\bfield '|\b(?:found|allowed):|command line"
)
_SAID = ("alt", "placeholder", "aria-label", "title")
#: A file that one chooses, or reads as it is, is named by what it is.
_FILES = ("textarea", "script", "style", "pre")


def _shows_its_value(tag: str, attrs: dict[str, str | None]) -> bool:
    """Tell whether people read an element's value: a typed figure, or one that a list offers.

    Any other option shows the words between its tags.
    """
    return (tag == "input" and attrs.get("type", "text") in ("text", "search")) or tag == "offer"


class Said(HTMLParser):
    """The text that a page shows, a piece for each element."""

    def __init__(self) -> None:
        super().__init__()
        self.pieces: list[str] = []
        self._within: list[str] = []
        self._offers = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._offers = tag == "datalist" or (self._offers and tag == "option")
        tag = "offer" if self._offers and tag == "option" else tag
        if tag in _FILES:
            self._within.append(tag)
        said = [*_SAID, *(["value"] if _shows_its_value(tag, dict(attrs)) else [])]
        self.pieces += [text for name, text in attrs if name in said and text]

    def handle_endtag(self, tag: str) -> None:
        if self._within and tag == self._within[-1]:
            self._within.pop()

    def handle_data(self, data: str) -> None:
        if not self._within and data.strip():
            self.pieces.append(" ".join(data.split()))


def words(page: str) -> list[str]:
    """Return the pieces of a page that say a word of commands or files."""
    said = Said()
    said.feed(page)
    return [piece for piece in said.pieces if WORDS.search(piece)]


def test_such_words_are_seen() -> None:
    for bad in ("take --accept", "see fitsolver pick", "accept = [1]", "[measuring]", "no_window"):
        assert words(f"<p>{bad}</p>") == [bad]
    for bad in ("window.squish", "total_removal"):
        shown = (
            f'<input value="{bad}">', f'<datalist><option value="{bad}"></datalist>',
            f'<input placeholder="{bad}">', f"<select><option>{bad}</option></select>",
        )  # fmt: skip
        assert [words(one) for one in shown] == [[bad]] * 4
    assert words('<input type="hidden" value="a_b"><select><option value="a_b">a</select>') == []
    assert words("<p>fitsolver 1.0</p><p>9 - 3 of 4</p><textarea>a = 1</textarea>") == []


@pytest.mark.parametrize("which", ["pump/job", "launch/job", "brushsaw/job"])
def test_every_step_of_a_demo(client: TestClient, which: str) -> None:
    job = example(client, which)
    assert client.post(f"{job}/ordered").status_code == 303
    steps = ("", "/choose", "/order", "/machine", "/check", "/strip", "/hone/log", "/text")
    for path in (*steps, *(f"/report/{verb}" for verb in ("pick", "plan", "bore", "why"))):
        page = client.get(f"{job}{path}")
        assert words(page.text) == [], path


@pytest.mark.parametrize(
    ("path", "names", "typed"),
    [
        ("best", ["largest_removal", "price", "part_number"], ""),
        (
            "best",
            ["part_number", "rebuilds_left"],
            "part numbers, lowest first, Rebuilds left, at most",
        ),
        ("no_window", ["ring_seat", "end_gap 2"], "ring over bore, end gap 2"),
        ("no_window", ["end_gap"], "end_gap"),
        ("without", ["window.end_gap.1", "engine.stroke"], "window of end gap 1, engine: stroke"),
        ("without", ["window.port_timing.exhaust"], "Window of port timing exhaust"),
        ("without", ["engine.rod_length"], "engine: rod length, between centres"),
        ("without", ["zone", "window", "routes"], "zone of rings and skirt; every window; routes"),
        ("without", ["nothing of it"], "nothing of it"),
    ],
)
def test_names_are_typed_in_words_and_kept_as_the_file_says_them(
    path: str, names: list[str], typed: str
) -> None:
    base = content_of(text_of({"format": 2, "units": "mm", path: names}))
    shown = entered.entries(base)[path]
    assert not WORDS.search(shown)
    empty = content_of('format = 2\nunits = "mm"\n')
    for text in (shown, typed or shown, ", ".join(names)):
        found = put(empty, empty, {path: text})[path]
        assert found == names, text
    assert put(base, base, {path: shown}) == base


def test_every_name_has_words_of_its_own() -> None:
    for key in ("best", "no_window", "without", "bore_alloy"):
        names = sorted(set(named._names(key).values()))
        said = [named.said_name(key, name) for name in names]
        assert len({one.casefold() for one in said}) == len(names)
        assert [one for one in said if WORDS.search(one)] == []
        of_one = [named.name_typed(key, one) for one in said]
        typed = of_one if key in named.ALLOYS else named.names_typed(key, ", ".join(said))
        assert typed == names


def test_every_role_of_a_column_has_words_of_its_own() -> None:
    assert set(ROLE_WORDS) == set(ROLES)
    assert len(set(ROLE_WORDS.values())) == len(ROLES)
    assert not any("_" in said for said in ROLE_WORDS.values())


def test_what_may_be_left_out_is_offered_in_words(client: TestClient) -> None:
    began = client.post("/jobs", data={"catalogue": "pump / portable pump P62"})
    page = client.get(f"{began.headers['location']}/choose").text
    assert '<option value="largest removal">' in page
    assert '<option value="engine: stroke">' in page
    assert '<option value="window of end gap 1">' in page
    assert words(page) == []


def test_pages_of_no_job(client: TestClient, pump: str) -> None:
    told = client.post(f"{example(client)}/remove").headers["location"]
    assert "Put it back" in client.get(told).text
    for path in ("/jobs", "/jobs?words=nothing", "/book", "/catalogues/pump", "/nowhere"):
        assert words(client.get(path).text) == [], path


#: What is typed, and what stands in the page for it.
SLIPS = {
    "cylinder.0.scratch": "0.0.1",
    "engine.stroke": "x",
    "window.0.low": "",
    "units": "furlongs",
    "catalogue": "nowhere",
    "finish.how": "by hand",
    "best": "size, fun",
    "no_window": "fun",
    "without": "window.squosh",
    "in_hand.0.number": "PP-0",
    "cylinder.0.piston": "PP-0",
    "cylinder.0.route": "file it",
    "terms.budget": "much",
    "engine.rise.bore_alloy": "cheese",
    "same_size.0.cylinders": "9",
    "gasket_place.0.place": "roof",
    "zone.top": "999",
    "measuring.probability": "2",
    "accept": "nonsense 1",
    "cylinder.0.readings_as": "dial",
    "read.0.1.0": "0.9",
}


def test_refusals_of_what_is_typed(client: TestClient) -> None:
    job = example(client)
    for name, text in SLIPS.items():
        sent = {"version": version(client, job), name: text}
        kept = client.post(f"{job}/keep", data=sent, headers=PARTIAL)
        pages = [kept.text, *(client.get(f"{job}{step}").text for step in ("", "/choose"))]
        assert [said for page in pages for said in words(page)] == [], name
        assert any("efus" in page or "note" in page or "lacks" in page for page in pages), name
        client.post(f"{job}/keep", data={"version": version(client, job), "action": "undo"})
    assert "Not decided" not in client.get(job).text


def first_of(part: str) -> str:
    """Return the path of a part, of those that stand more than once of the first."""
    pieces, within = [], ""
    for piece in part.split("."):
        within = f"{within}.{piece}".strip(".")
        pieces += [piece, "0"] if PARTS[within].many else [piece]
    return ".".join(pieces)


def told(bench: Bench) -> Iterator[str]:
    """Yield all that a page says of what is wrong with a job."""
    if bench.refusal is not None:
        yield said(bench.refusal)
    yield from map(said, bench.marks.values())
    yield from (lack.said for lack in bench.lacks)
    for doubt in bench.doubts:
        yield from (place_said(doubt.id), said(doubt.sentence))


@pytest.mark.parametrize("which", ["pump", "launch"])
def test_refusals_of_every_field(which: str, tmp_path: Path) -> None:
    """Whatever stands in a field of a job: too much, too little, none, what is no figure."""
    shelf = Shelf(CATALOGUES, tmp_path)
    job = job_content(read_job(DEMOS / which / "job.toml"))
    base = content_of(text_of({**job, "catalogue": which}))
    before = entered.entries(base)
    bad, refused = [], 0
    for part, fields in PARTS.items():
        for field in fields.fields:
            at = f"{first_of(part)}.{field.key}" if part else field.key
            for typed in ("x", "-1", "9999", "0,0,1"):
                bench = on_the_bench(entered.put(before, before, base, {at: typed}), shelf)
                sentences = list(told(bench))
                refused += bool(sentences)
                bad += [(at, typed, one) for one in sentences if WORDS.search(one)]
    assert bad == []
    assert refused > 200


def test_refusals_of_what_is_asked(client: TestClient, pump: str) -> None:
    sent = {"version": version(client, pump)}
    refused = [
        client.get(f"{pump}/report/budget"),
        client.get(f"{pump}/report/final"),
        client.get(f"{pump}/report/nothing"),
        client.post(f"{pump}/keep", data={**sent, "action": "paste", "pasted": "1\t2\tx\ty\tz\t9"}),
        client.post(f"{pump}/keep", data={**sent, "action": "drop:cylinder:9"}),
        client.post(f"{pump}/keep", data={**sent, "action": "add-axis", "axis": "north"}),
        client.post(f"{pump}/book", data={"what": "final"}),
        client.post(f"{pump}/hone", data={"cylinder": "7", "count": "2"}),
        client.post(f"{pump}/hone", data={"cylinder": "1", "count": "many"}),
        client.post(f"{pump}/hone", data={"cylinder": "1"}),
        client.post("/jobs/example", data={"which": "none"}),
        client.post("/jobs", data={"catalogue": "none", "cylinders": "1"}),
        client.get("/jobs/0123456789abcdef"),
        client.get("/book/cylinder?marking=nobody"),
    ]
    assert [said for answer in refused for said in words(answer.text)] == []


def pass_of(taken_off: float, count: str, **more: str) -> dict[str, str]:
    """Return the form of a pass of cylinder 1: all its readings, so much larger."""
    sheet = (DEMOS / "pump" / "readings.csv").read_text(encoding="utf-8").replace(" [mm]", "")
    rows = [row for row in csv.DictReader(sheet.splitlines()) if row["cylinder"] == "1"]
    sent = {"cylinder": "1", "count": count, "stones": "220"}
    for place, row in enumerate(rows):
        figure = f"{float(row['dial']) + taken_off:.3f}"
        sent |= {f"d{place}": row["depth"], f"a{place}": row["axis"], f"r{place}": figure}
    return {**sent, **more}


def test_a_refused_pass_is_shown_again_and_taken_by_its_button(client: TestClient) -> None:
    job = example(client)
    assert client.post(f"{job}/hone", data=pass_of(0.012, "10")).status_code == 303
    second = pass_of(0.024, "12", r2="0,312")
    shown = client.post(f"{job}/hone", data=second)
    assert shown.status_code == 400 and words(shown.text) == []
    assert "bore 1, after pass 2, thrust at depth 8" in shown.text
    assert 'value="0,312"' in shown.text and 'value="12"' in shown.text
    assert "1 entry" in client.get(f"{job}/hone/log").text
    taken = re.findall(r'name="taken" value="([^"]+)"', shown.text)
    assert taken == ["pass 2/1/8/thrust"]
    again = client.post(f"{job}/hone", data={**second, "taken": taken})
    assert again.status_code == 303, again.text
    assert "2 entries" in client.get(f"{job}/hone/log").text


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("reading 1/8/thrust", "bore 1, thrust at depth 8"),
        ("reading left/8.5/45", "bore left, 45° at depth 8.5"),
        ("depth 2/40/pin", "bore 2, the depth 40"),
        ("pass 3/1/8/pin", "bore 1, after pass 3, pin at depth 8"),
        ("pass 3/1", "bore 1, after pass 3, every reading"),
        ("pass 3/1/temperature", "bore 1, after pass 3, how warm the bore was"),
        ("zone", "zone of rings and skirt"),
        ("in_hand 2 gap_bore", "part in hand 2, in a bore of"),
        ("row PP-050A", "PP-050A in the catalogue"),
        ("zero 1", "bore 1, where its gauge was zeroed"),
    ],
)
def test_a_doubt_is_told_by_its_place(name: str, said: str) -> None:
    assert place_said(name) == said


def test_a_long_list_of_names_is_read_in_a_moment() -> None:
    """A name has as many commas as its own words: what follows is not looked at with it."""
    typed = ",".join(["end gap 1", "x"] * 20_000)
    assert named.names_typed("no_window", typed) == ["end_gap 1", "x"] * 20_000
