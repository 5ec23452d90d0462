"""The first screen, the counter, catalogues corrected, lists taken in."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from fitsolver.base.errors import InputError
from fitsolver.page.room import Room
from fitsolver.page.shelf import Shelf
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.usecases.counter_files import counter

from .serving import CATALOGUES, DEMOS, asked, typed

_ROWS = "".join(
    f"A{n}{grade};KOLBENSATZ 54,00 {size} ({grade});Reiher 54;{price};{n}\n"
    for n, (size, price) in enumerate(
        [("STD", "55,90"), ("+0,25", "58,90"), ("+0,50", "60,90"), ("+1,00", "64,90")]
    )
    for grade in "ABC"
)
#: Invented: a list without currency, days or clearance, and with a row that has no size.
LIST = f"Artikel-Nr.;Bezeichnung;Motor;Preis;Bestand\n{_ROWS}A99;KOLBENSATZ ?;Reiher 54;55,90;1\n"
ANSWERS = {
    "a:currency": "EUR",
    "a:lead_days": "6",
    "low:clearance": "0,04",
    "high:clearance": "0,06",
}


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    with asked(tmp_path_factory.mktemp("own")) as client:
        yield client


def room(client: TestClient) -> Room:
    found = client.app.state.room  # type: ignore[attr-defined]
    assert isinstance(found, Room)
    return found


def said(text: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


def sent(client: TestClient, text: str = LIST, **more: str) -> str:
    """Send a list; return the address where it is looked at."""
    files = [("files", ("list.csv", text.encode()))]
    return str(client.post("/intake/upload", files=files, data=more).headers["location"])


@pytest.fixture(scope="module")
def taken(own: TestClient) -> str:
    """The key of a catalogue that a list was taken into."""
    at = sent(own, title="My list")
    assert own.post(f"{at}/answer", data=ANSWERS).status_code == 303
    assert own.post(f"{at}/take").status_code == 303
    return next(key for key in room(own).shelf.all() if key.startswith("my-list"))


def form(client: TestClient, key: str) -> dict[str, str]:
    """Return the fields of a family's screen."""
    text = client.get(f"/catalogues/{key}/family").text
    fields = dict(re.findall(r'name="((?:r|f)\.[^"]+)" value="([^"]*)"', text))
    fields["version"] = re.findall(r'name="version" value="(\w+)"', text)[0]
    fields["family"] = re.findall(r'name="family" value="([^"]*)"', text)[0]
    return {name: html.unescape(value) for name, value in fields.items()}


def head(client: TestClient, key: str) -> dict[str, str]:
    """Return what every form of a family's screen sends."""
    return {name: text for name, text in form(client, key).items() if "." not in name}


def test_everything_is_reached_from_the_first_screen(own: TestClient) -> None:
    text = own.get("/").text
    for action in ("/counter", "/jobs", "/intake/upload", "/jobs/example", "/demo/list"):
        assert f'method="post" action="{action}"' in text
    for link in ("/jobs", "/counter", "/catalogues", "/intake", "/book", "/api"):
        assert f'href="{link}"' in text
        page = own.get(link)
        assert page.status_code == 200
        assert 'href="/"' in page.text  # the way back
    job = own.post("/jobs/example", data={"which": "launch/job"})
    assert own.get(job.headers["location"]).status_code == 200


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"family": "p62", "sizes": "62,31"}, ("p62", "62.31")),
        ({"family": "p62", "sizes": "brushsaw std", "in_stock": "yes"}, ("brushsaw", "std")),
        ({"family": "launch", "sizes": "3.505; 3.507"}, ("launch", "3.505", "3.507")),
    ],
)  # fmt: skip
def test_the_answer_is_that_of_the_command(
    own: TestClient, typed: dict[str, str], words: tuple[str, ...]
) -> None:
    name = {"p62": "pump"}.get(words[0], words[0])
    kept = own.post("/counter", data=typed).headers["location"]
    answer = room(own).calls.read(kept.rpartition("/")[2]).answer
    in_stock = "in_stock" in typed
    assert answer == counter(*words, catalogue=CATALOGUES[name], in_stock=in_stock)
    text = said(own.get(kept).text)
    assert f"Why: {answer.why}" in text
    assert "Measure" not in text or "Before ordering" in text
    assert "--" not in text


def test_a_call_that_is_refused_keeps_what_was_typed(own: TestClient) -> None:
    before = room(own).calls.keys()
    back = own.post("/counter", data={"family": "p62", "sizes": "99"}).headers["location"]
    text = own.get(back).text
    assert 'role="alert"' in text and "nowhere near" in text
    assert 'value="99"' in text
    assert room(own).calls.keys() == before
    assert "below standard is typed whole" in own.get("/counter?family=p62&sizes=-0.1").text
    assert "Which family?" in own.get("/counter?sizes=62.31").text
    assert own.get("/counter/1234567890123-abcdef").status_code == 404


def test_the_family_whose_bores_are_near_is_meant(own: TestClient) -> None:
    first = own.post("/demo/list").headers["location"]
    assert "+0.25: rough and finish hone to 54.254" in said(own.get(first).text)
    key = room(own).calls.read(first.rpartition("/")[2]).catalogue
    assert own.post("/demo/list").headers["location"] != first
    assert [one for one in room(own).shelf.all() if one.startswith("demo")] == [key]
    kept = own.post("/counter", data={"catalogue": key, "sizes": "pl 48.31"}).headers["location"]
    assert room(own).calls.read(kept.rpartition("/")[2]).family == "Plover 48"
    several = own.get("/counter", params={"catalogue": key, "family": "pl", "sizes": "20"}).text
    assert "family=Plover+48" in several and "family=Plover+52" in several


def test_a_list_is_taken_in_with_its_questions(own: TestClient) -> None:
    at = sent(own, title="Other")
    text = said(own.get(at).text)
    assert "12 of 13 rows understood" in text
    for question in ("In which currency", "In how many days", "Which clearance"):
        assert question in text
    assert "no size stands here" in text
    assert "--" not in text and ".csv," not in text
    early = own.post(f"{at}/take")
    assert early.status_code == 400 and "not taken in yet" in early.text
    wrong = {**ANSWERS, "low:clearance": "0.07"}
    assert "above the highest" in own.post(f"{at}/answer", data=wrong).text
    assert own.post(f"{at}/answer", data=ANSWERS).status_code == 303
    assert "Take 12 rows in" in own.get(at).text
    own.post(f"{at}/take")
    assert "Taken in: 12 of 13 rows" in own.get(at).text
    key = next(key for key in room(own).shelf.all() if key.startswith("other"))
    assert len(room(own).shelf.get(key).pistons) == 12
    rows = own.get(f"{at}/not_understood.csv").text.splitlines()
    assert len(rows) == 2 and "A99" in rows[1]
    own.post(f"/catalogues/{key}/take-off")
    assert key not in room(own).shelf.all()
    own.post(f"/catalogues/{key}/put-back")
    assert len(room(own).shelf.get(key).pistons) == 12


def test_the_next_list_tells_what_changed_and_can_be_undone(own: TestClient, taken: str) -> None:
    at = sent(own, LIST.replace("58,90;1", "59,90;3").replace("A3C;", "B3C;"), into=taken)
    text = said(own.get(at).text)
    assert "new: 1 B3C" in text and "gone: 1 A3C" in text
    assert "price: 3 A1A 58.90 to 59.90" in text and "stock: 3 A1A 1 to 3" in text
    own.post(f"{at}/take")
    assert {p.number for p in room(own).shelf.get(taken).pistons} >= {"B3C"}
    own.post(f"/catalogues/{taken}/undo")
    assert "A3C" in {p.number for p in room(own).shelf.get(taken).pistons}


def test_rows_are_corrected_whole_or_not_at_all(own: TestClient, taken: str) -> None:
    folder = room(own).shelf.folder(taken)
    before = (folder / "pistons.csv").read_bytes()
    fields = {**form(own, taken), "table": "pistons"}
    price = next(name for name in fields if name.endswith(".price"))
    high = price.replace("price", "for_clearance_high")
    wrong = own.post(f"/catalogues/{taken}/rows", data={**fields, price: "61,50", high: "0.001"})
    assert wrong.status_code == 400
    assert "above the highest" in wrong.text and 'value="61,50"' in wrong.text
    assert (folder / "pistons.csv").read_bytes() == before
    assert own.post(f"/catalogues/{taken}/rows", data={**fields, price: "61,50"}).status_code == 303
    assert form(own, taken)[price] == "61.50"
    assert room(own).shelf.get(taken) == read_catalogue(folder)
    late = own.post(f"/catalogues/{taken}/rows", data={**fields, price: "1"})
    assert late.status_code == 409
    own.post(f"/catalogues/{taken}/undo", data={"family": fields["family"]})
    assert (folder / "pistons.csv").read_bytes() == before


def test_figures_of_a_sheet_are_corrected(own: TestClient, taken: str) -> None:
    fields = form(own, taken)
    new = {"f.engine.stroke": "48,5", "f.window.1.fit": "squish", "f.window.1.low": "0.9"}
    assert own.post(f"/catalogues/{taken}/sheet", data={**fields, **new}).status_code == 303
    shown = form(own, taken)
    assert (shown["f.engine.stroke"], shown["f.window.1.low"]) == ("48.5", "0.9")
    wrong = {**shown, "f.window.0.low": "0.5"}
    refused = own.post(f"/catalogues/{taken}/sheet", data=wrong)
    assert refused.status_code == 400 and "above its highest" in refused.text
    assert ".toml" not in said(refused.text)
    taken_out = {**shown, "drop.window.1": "yes"}
    assert own.post(f"/catalogues/{taken}/sheet", data=taken_out).status_code == 303
    assert form(own, taken).get("f.window.1.low") == ""  # the empty one more


def test_a_shop_types_its_routes_and_a_job_of_its_list_has_a_plan(
    own: TestClient, taken: str
) -> None:
    """A list has no routes: without them no bore is cut."""
    route = {"name": "hone", "kind": "rough and finish hone", "half_width": "0,004",
             "min_cut": "0,03", "max_cut": "0,30", "materials": "iron", "cost": "18",
             "days": "1"}  # fmt: skip
    stage = {"route": "hone", "stage": "plateau", "leaves_low": "0", "leaves_high": "0"}
    for table, row in (("routes", route), ("stages", stage)):
        sent = {**head(own, taken), "table": table, **{f"n.{key}": v for key, v in row.items()}}
        answer = own.post(f"/catalogues/{taken}/rows", data=sent)
        assert answer.status_code == 303, said(answer.text)
    sent = {**head(own, taken), "table": "routes", "r.2.cost": "19,50"}
    answer = own.post(f"/catalogues/{taken}/rows", data=sent)
    assert answer.status_code == 303, said(answer.text)
    held = room(own).shelf.get(taken)
    assert [(r.name, r.cost, r.half_width) for r in held.routes if r.machined] == [
        ("hone", 1950, 400)
    ]
    assert [one.name for one in held.stages] == ["plateau"]
    job = own.post("/jobs", data={"catalogue": f"{taken} / Reiher 54"}).headers["location"]
    sheet = {f"depth.{r}": depth for r, depth in enumerate(("5", "40", "80"))}
    sheet |= {f"read.0.{r}.{a}": f"54.1{r}{a}" for r in range(3) for a in range(2)}
    more = {"no_window": "end gap, squish"}
    told = said(typed(own, job, **sheet, **more, cylinder__0__material="iron"))
    assert "proven best" in told and "off at most" in told, told
    sent = {**head(own, taken), "table": "routes", "drop.2": "yes"}
    refused = own.post(f"/catalogues/{taken}/rows", data=sent)
    assert refused.status_code == 400  # a stage is of it
    for table in ("stages", "routes"):
        sent = {**head(own, taken), "table": table, "drop.2": "yes"}
        answer = own.post(f"/catalogues/{taken}/rows", data=sent)
        assert answer.status_code == 303, said(answer.text)
    assert not any(r.machined for r in room(own).shelf.get(taken).routes)


def test_what_the_page_was_started_with_is_only_read(own: TestClient, tmp_path: Path) -> None:
    fields = (
        form(own, "pump") if 'name="version"' in own.get("/catalogues/pump/family").text else {}
    )
    assert fields == {}
    for way in ("rows", "sheet", "undo", "take-off"):
        answer = own.post(f"/catalogues/pump/{way}", data={"table": "pistons"})
        assert answer.status_code == 400, way
    made = own.post("/catalogues/pump/copy").headers["location"]
    copy = room(own).shelf.get(made.rpartition("/")[2])
    assert copy.pistons == read_catalogue(CATALOGUES["pump"]).pistons
    files = {path.name: path.read_bytes() for path in CATALOGUES["pump"].iterdir()}
    for name in ("catalogue.toml", "family.toml", "pistons.csv", "rings.csv", "routes.csv"):
        (tmp_path / "mine").mkdir(exist_ok=True)
        (tmp_path / "mine" / name).write_bytes(files[name])
    known = {"mine": tmp_path / "mine", "pump": CATALOGUES["pump"]}
    shelf = Shelf(known, tmp_path / "kept", may_change=True)
    assert shelf.may_change("mine") and not shelf.may_change("pump")  # a demonstration never
    shelf.change(
        "mine", shelf.version("mine"), {"family.toml": files["family.toml"].decode() + "\n"}
    )
    with pytest.raises(InputError, match="only read here"):
        Shelf(known, tmp_path / "kept").undo("mine")


def test_no_file_of_a_shop_and_no_path_is_taken(own: TestClient) -> None:
    head = ("files", ("catalogue.toml", (DEMOS / "pump" / "catalogue.toml").read_bytes()))
    shop = ("files", ("shop.toml", b'format = 1\nroutes = "../../etc/passwd"\n'))
    answer = own.post("/catalogues/upload", files=[head, shop])
    assert answer.status_code == 400 and "no part of a catalogue" in answer.text
    for key in ("%2e%2e", "..%2fjobs", "0123456789abcde"):
        assert own.get(f"/intake/{key}").status_code in (400, 404)
    bad = own.post("/intake/upload", files=[("files", ("../../list.exe", b"x"))])
    assert bad.status_code == 400
    assert (
        own.post(
            "/intake/upload", files=[("files", ("a.csv", b"x"))], data={"into": "../x"}
        ).status_code
        == 400
    )
    foreign = own.post("/demo/list", headers={"origin": "http://elsewhere"})
    assert foreign.status_code == 403


def test_a_job_of_one_of_many_families_is_begun(own: TestClient, taken: str) -> None:
    own.post("/demo/list")
    key = next(one for one in room(own).shelf.all() if one.startswith("demo"))
    assert len(room(own).shelf.families(key)) == 20
    job = own.post("/jobs", data={"catalogue": f"{key} / Plover 52"}).headers["location"]
    text = own.get(f"{job}/choose").text
    assert "Plover 52" in text and "told at intake" in text
    assert 'value="' + f"{key} / Plover 52" in own.get("/").text


def test_a_refused_answer_about_a_list_leaves_the_others_as_typed(own: TestClient) -> None:
    at = sent(own)
    own.get(at)
    typed = {**ANSWERS, "a:lead_days": "x", "low:clearance": "0,06", "high:clearance": "0,09"}
    page = own.post(f"{at}/answer", data=typed).text
    assert "This is no number of days" in page
    assert 'value="x"' in page and 'value="0,06"' in page and 'value="0,09"' in page
    assert 'value="x"' not in own.get(at).text  # nothing of it is kept
