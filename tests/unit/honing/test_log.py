"""The log: what is entered stays, whatever happens; what is no entry is refused."""

from __future__ import annotations

import os
from pathlib import Path
from random import Random

import pytest

from fitsolver.base.errors import InputError
from fitsolver.honing.log import HEADER, Log, append_entry, read_log, taking_back
from fitsolver.honing.log_line import entry_line, parse_entry
from fitsolver.records.job import Job
from fitsolver.usecases import files as service
from tests.unit.honing.jobs import flat, line, pump


@pytest.fixture
def job(tmp_path: Path) -> Job:
    return service.load(pump(tmp_path))[0]


def test_an_entry(job: Job) -> None:
    done = parse_entry('1, 35 s, "180, worn", 88 F, 8 thrust 0.092, 18 pin +3 thou', job)
    assert (done.cylinder, done.count, done.counted_in) == ("1", 35, "seconds")
    assert (done.stones, done.temperature) == ("180, worn", 31_111)
    assert [(r.depth, r.angle, r.dial) for r in done.readings] == [
        (800_000, 0, 9_200),
        (1_800_000, 90, 7_620),
    ]
    assert done.readings[0].size == 6_217_600 + 9_200


def test_words_with_commas_and_quotes_come_back(job: Job) -> None:
    cells = ("1", "4", 'the "old", soft', "", "8 thrust 0.092")
    assert parse_entry(entry_line(cells), job).stones == 'the "old", soft'


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("1, -4, 180", "field 'strokes'"),
        ("1, 4.5, 180", "field 'strokes'"),
        ("1, many", "field 'strokes'"),
        ("1, 0, 180", "strokes, readings or both"),
        ("3, 4, 180", "field 'cylinder'"),
        ("1", "no entry"),
        ('1, 4, "180', "no entry"),
        ("1, 4, 180, warm", "field 'temperature'"),
        ("1, 4, 180, 88", "field 'temperature'"),
        ("1, 4, 180, 20, 8 thrust", "three values"),
        ("1, 4, 180, 20, 8 thrust 0,092", "three values"),
        ("1, 4, 180, 20, 8 north 0.092", "field 'readings'"),
        ("1, 4, 180, 20, -8 thrust 0.092", "no reading of this bore"),
        ("1, 4, 180, 20, 8 thrust 62.31", "no reading of this bore"),
        ("1, 4, 180, 20, 8 thrust 0.092, 8 thrust 0.093", "read twice"),
    ],
)
def test_refused_with_its_line_and_untouched(
    job: Job, tmp_path: Path, text: str, message: str
) -> None:
    log = tmp_path / "job.hone"
    content = f"# ours\n{line(30, flat(0.115))}\n{text}\n"
    log.write_text(content, encoding="utf-8")
    with pytest.raises(InputError, match=rf"job\.hone, row 3.*{message}"):
        read_log(log, job)
    opened = service.at_the_hone(tmp_path / "job.toml", log=tmp_path / "other.hone")
    with pytest.raises(InputError, match=message):
        opened.enter(text)
    assert log.read_text(encoding="utf-8") == content
    assert not (tmp_path / "other.hone").exists()


@pytest.mark.parametrize("text", ["# 1, 4, 180", '1, 4, "18\n0"', "1, 4\n1, 5"])
def test_an_entry_that_would_not_come_back_is_not_written(tmp_path: Path, text: str) -> None:
    opened = service.at_the_hone(pump(tmp_path))
    with pytest.raises(InputError, match="no entry"):
        opened.enter(text)
    assert not opened.log.exists()


@pytest.mark.parametrize("junk", [b"\xff\xfe\n", b"\0\0\0\0\n"])
def test_bytes_that_are_no_text(job: Job, tmp_path: Path, junk: bytes) -> None:
    log = tmp_path / "job.hone"
    log.write_bytes(junk)
    with pytest.raises(InputError, match=r"job\.hone, row 1"):
        read_log(log, job)


def test_every_cut_of_a_log_keeps_the_entries_before_it(job: Job, tmp_path: Path) -> None:
    """A power cut after any byte: all whole lines count, the torn one is kept, none is made up."""
    log, torn = tmp_path / "job.hone", tmp_path / "job.hone.torn"
    lines = [line(30, flat(0.115)), line(20, flat(0.140)), "1, 5, 180"]
    for text in lines:
        append_entry(log, text)
    whole = log.read_bytes()
    for cut in range(len(HEADER), len(whole)):
        log.write_bytes(whole[:cut])
        torn.unlink(missing_ok=True)
        left = whole[:cut].rpartition(b"\n")[2]
        found = read_log(log, job)
        assert len(found.entries) == whole[:cut].count(b"\n") - 1
        assert found.torn == left.decode()
        append_entry(log, "1, 7, 180")
        after = read_log(log, job)
        assert [e.done for e in after.entries[:-1]] == [e.done for e in found.entries]
        assert (after.entries[-1].done.count, after.torn) == (7, "")
        assert (torn.read_bytes() if left else b"\n") == left + b"\n"


def test_an_entry_is_on_the_disk_before_it_is_answered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    forced: list[bytes] = []
    log = tmp_path / "new.hone"
    real = os.fsync

    def fsync(handle: int) -> None:
        forced.append(log.read_bytes())
        real(handle)

    monkeypatch.setattr(os, "fsync", fsync)
    append_entry(log, "1, 7, 180")
    assert forced[0] == f"{HEADER}1, 7, 180\n".encode()
    append_entry(log, "1, 8, 180")
    assert forced[-1].endswith(b"1, 7, 180\n1, 8, 180\n")


def test_a_log_that_cannot_be_written_or_read(tmp_path: Path, job: Job) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_log(tmp_path, job)
    with pytest.raises(InputError, match=r"cannot be written.*not in it.*found: 1, 7, 180"):
        append_entry(tmp_path / "nowhere" / "job.hone", "1, 7, 180")


def read(folder: Path, job: Job, *lines: str) -> Log:
    log = folder / "job.hone"
    log.write_text("".join(f"{text}\n" for text in lines), encoding="utf-8")
    return read_log(log, job)


def test_what_is_taken_back_is_as_if_it_had_not_been_entered(job: Job, tmp_path: Path) -> None:
    """Every order of two cylinders' entries, some taken back, holds what a stack of each holds."""
    drawn = Random(5)
    for _ in range(200):
        lines: list[str] = []
        left: dict[str, list[int]] = {"1": [], "2": []}
        for number in range(1, 12):
            name = drawn.choice("12")
            if left[name] and drawn.random() < 0.4:
                left[name].pop()
                lines.append(f"{name}, taken back")
            else:
                left[name].append(number)
                lines.append(f"{name}, {number}, 180")
        entries = read(tmp_path, job, *lines).entries
        assert [e.done.count for e in entries] == sorted(left["1"] + left["2"])


def test_what_was_accepted_for_an_entry_goes_with_it(job: Job, tmp_path: Path) -> None:
    """The place read anew is another figure; what was accepted for others stays."""
    accept = ["# accept pass 1/2/8/thrust", "1, 4, 180", "# accept pass 1/1/8/thrust"]
    found = read(tmp_path, job, "2, 4, 180", *accept, '"1", Taken back')
    assert found.accepted == {"pass 1/2/8/thrust"}
    assert [entry.line for entry in found.taken_back] == [3]
    later = read(tmp_path, job, "1, 4, 180", taking_back("1"), "1, 5, 180")
    assert later.taken_back == () and [e.done.count for e in later.entries] == [5]


def test_nothing_left_to_take_back(job: Job, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"row 3.*no entry of this cylinder is left"):
        read(tmp_path, job, "1, 4, 180", "1, taken back", "1, taken back")
    with pytest.raises(InputError, match="row 1, field 'cylinder'"):
        read(tmp_path, job, "9, taken back")
