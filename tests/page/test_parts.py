"""Jobs kept as typed, catalogues on the shelf, the queue of questions."""

from __future__ import annotations

import asyncio
import os
import time
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.page.drafts import ChangedError, Drafts, NoDraftError
from fitsolver.page.family_files import FamilyFiles
from fitsolver.page.pool import BusyError, TooLongError
from fitsolver.page.settings import Settings
from fitsolver.page.shelf import Shelf
from fitsolver.reading.family_sheet import family_sheets

from .serving import CATALOGUES, DEMOS, kept, queue

PUMP = [(path.name, path.read_bytes()) for path in sorted((DEMOS / "pump").glob("*.csv"))]
WANTED = ("pistons.csv", "rings.csv", "gaskets.csv", "kits.csv", "routes.csv", "stages.csv")
FILES = [file for file in PUMP if file[0] in WANTED]
HEAD = ("catalogue.toml", (DEMOS / "pump" / "catalogue.toml").read_bytes())


def test_a_job_is_read_back_as_it_was_kept(tmp_path: Path) -> None:
    made = Drafts(tmp_path).new('name = "ä"\n')
    assert Drafts(tmp_path).read(made.key) == made
    assert Drafts(tmp_path).keys() == [made.key]


def test_of_two_changes_to_one_version_the_later_is_told(tmp_path: Path) -> None:
    drafts = Drafts(tmp_path)
    first = drafts.new("a = 1")
    second = drafts.change(first.key, "a = 2", first.version)
    with pytest.raises(ChangedError):
        drafts.change(first.key, "a = 3", first.version)
    assert drafts.read(first.key).text == "a = 2"
    assert drafts.change(first.key, "a = 2", first.version) == second  # the same change again


@pytest.mark.parametrize("key", ["", "../../etc/passwd", "0" * 15, "0" * 16 + "x", "A" * 16])
def test_no_key_leads_out_of_the_folder(tmp_path: Path, key: str) -> None:
    drafts = Drafts(tmp_path / "jobs")
    (tmp_path / "x.toml").write_text("secret")
    for use in (drafts.read, drafts.remove, drafts.log):
        with pytest.raises(NoDraftError):
            use(key)


def test_a_change_is_taken_back_and_so_are_those_before(tmp_path: Path) -> None:
    drafts = Drafts(tmp_path)
    made = drafts.new("a = 1")
    for n in range(2, 70):
        drafts.change(made.key, f"a = {n}", drafts.read(made.key).version)
    assert drafts.past(made.key, drafts.read(made.key).version) == "a = 69"
    assert drafts.past(made.key, made.version) is None  # sixty are kept
    assert drafts.undo(made.key).text == "a = 68"
    assert drafts.undo(made.key).text == "a = 67"
    while drafts.can_undo(made.key):
        last = drafts.undo(made.key)
    assert last.text == "a = 9"
    with pytest.raises(InputError, match="nothing to take back"):
        drafts.undo(made.key)


def test_versions_that_lay_beside_the_jobs_are_taken_back_too(tmp_path: Path) -> None:
    """So an earlier page kept them."""
    made = Drafts(tmp_path).new("a = 2")
    (tmp_path / f"{made.key}.0123456789abcdef.past").write_text("a = 1")
    drafts = Drafts(tmp_path)
    assert drafts.past(made.key, "0123456789abcdef") == "a = 1"
    assert drafts.undo(made.key).text == "a = 1" and not drafts.can_undo(made.key)


def test_of_many_sheets_that_of_the_family_is_read_as_it_is_now(tmp_path: Path) -> None:
    folder = tmp_path / "families"
    folder.mkdir()
    for name in ("one", "two"):
        (folder / f"{name}.toml").write_text(f'format = 1\nfamily = "{name}"\nunits = "mm"\n')
    files = FamilyFiles()
    assert list(family_sheets(files.of(tmp_path, "Two"))) == ["two"]
    (folder / "two.toml").write_text('format = 1\nfamily = "two"\nnote = "x"\nunits = "mm"\n')
    [sheet] = family_sheets(files.of(tmp_path, "two")).values()
    assert sheet.data["note"] == "x"
    assert files.of(tmp_path, "three") == files.of(tmp_path, "") == tmp_path  # told as it is


def test_a_removed_job_is_gone_with_its_log(tmp_path: Path) -> None:
    drafts = Drafts(tmp_path)
    made = drafts.new("a = 1")
    drafts.log(made.key).write_text("1, 5,,\n")
    drafts.remove(made.key)
    assert [path.name for path in tmp_path.iterdir()] == ["removed"]
    assert drafts.keys() == [] and drafts.removed() == [made.key]
    with pytest.raises(NoDraftError):
        drafts.read(made.key)


def test_a_removed_job_is_given_back_within_a_week(tmp_path: Path) -> None:
    drafts = Drafts(tmp_path)
    made, other = drafts.new("a = 1"), drafts.new("b = 2")
    drafts.log(made.key).write_text("1, 5,,\n")
    drafts.order(made.key, "{}")
    drafts.remove(made.key)
    drafts.give_back(made.key)
    assert drafts.read(made.key) == made and drafts.ordered(made.key) == "{}"
    assert drafts.log(made.key).read_text() == "1, 5,,\n"
    assert drafts.removed() == []
    for key, days in ((made.key, 6.9), (other.key, 7.1)):
        drafts.remove(key)
        then = time.time() - days * 86_400
        os.utime(tmp_path / "removed" / f"{key}.toml", (then, then))
    with pytest.raises(NoDraftError, match="week"):
        drafts.give_back(other.key)
    assert drafts.removed() == [made.key]
    drafts.give_back(made.key)
    assert list((tmp_path / "removed").iterdir()) == []


def test_a_job_that_is_too_long_is_refused_and_the_old_one_stays(tmp_path: Path) -> None:
    drafts = Drafts(tmp_path)
    made = drafts.new("a = 1")
    with pytest.raises(InputError, match="too long"):
        drafts.change(made.key, "x" * 1_000_001, made.version)
    assert drafts.read(made.key) == made
    assert [p.suffix for p in tmp_path.iterdir() if p.suffix != ".past"] == [".toml"]


def test_an_uploaded_catalogue_is_there_after_a_restart(tmp_path: Path) -> None:
    key = kept(Shelf({}, tmp_path), [HEAD, *FILES])
    assert Shelf({}, tmp_path).get(key) == Shelf(CATALOGUES, tmp_path).get("pump")


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ([HEAD], "no pistons"),
        (FILES, "catalogue.toml"),
        ([HEAD, *FILES, ("../../evil.sh", b"x")], "no part of a catalogue"),
        ([HEAD, *FILES, HEAD], "one name"),
        ([("catalogue.toml", b"not toml"), *FILES], "not a TOML file"),
    ],
)
def test_what_is_no_catalogue_is_refused_and_leaves_nothing(
    tmp_path: Path, files: list[tuple[str, bytes]], said: str
) -> None:
    shelf = Shelf({}, tmp_path)
    with pytest.raises(InputError, match=said) as refused:
        kept(shelf, files)
    assert str(tmp_path) not in str(refused.value)
    assert list(tmp_path.iterdir()) == []


def test_a_question_is_asked_once_and_remembered() -> None:
    async def two() -> tuple[float, float]:
        async with queue(seconds=10) as solving:
            same = await asyncio.gather(
                *(solving.ask(str(n), "now", time.monotonic) for n in range(3))
            )
            return same[0], await solving.ask("other", "now", time.monotonic)

    first, again = asyncio.run(two())
    assert first == again


def test_a_long_question_ends_and_a_full_queue_says_so() -> None:
    async def crowd() -> list[object]:
        async with queue(seconds=0.5, waiting=3, each=2) as solving:
            return await asyncio.gather(
                *(solving.ask(who, n, time.sleep, 30) for n, who in enumerate("aaabbb")),
                return_exceptions=True,
            )

    found = [type(item) for item in asyncio.run(crowd())]
    assert found == [TooLongError, TooLongError, BusyError, TooLongError, BusyError, BusyError]


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ({"host": "192.0.2.7"}, "token"),
        ({"host": "192.0.2.7", "token": "short"}, "guessed"),
        ({"host": "0.0.0.0", "token": "x" * 20}, "by which name"),
    ],
)
def test_the_page_is_not_left_open(tmp_path: Path, settings: dict[str, str], said: str) -> None:
    with pytest.raises(InputError, match=said):
        Settings(data=tmp_path, **settings).check()  # type: ignore[arg-type]


def test_another_address_with_a_token_is_fine(tmp_path: Path) -> None:
    Settings(data=tmp_path, host="192.0.2.7", token="x" * 20).check()
    Settings(data=tmp_path, host="::1").check()
