"""Files that cannot be read at all: by size, kind, permission, encoding."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.job_file import read_job

from .files import CYLINDER, HEAD, catalogue_files, job_file, refusal

Reader = Callable[[Path], object]


def _job(tmp_path: Path) -> tuple[Reader, Path, Path]:
    path = job_file(tmp_path, HEAD + CYLINDER)
    return read_job, path, path


def _sheet(tmp_path: Path) -> tuple[Reader, Path, Path]:
    sheet = tmp_path / "sheet.csv"
    sheet.write_text("cylinder,depth,axis,diameter\n1,10,pin,62.1\n", encoding="utf-8")
    text = f'{HEAD}[[cylinder]]\nname = 1\nmaterial = "iron"\nreadings_file = "sheet.csv"'
    return read_job, job_file(tmp_path, text), sheet


def _pistons(tmp_path: Path) -> tuple[Reader, Path, Path]:
    folder = catalogue_files(tmp_path)
    return read_catalogue, folder, folder / "pistons.csv"


def _head(tmp_path: Path) -> tuple[Reader, Path, Path]:
    folder = catalogue_files(tmp_path)
    return read_catalogue, folder, folder / "catalogue.toml"


@pytest.fixture(params=[_job, _sheet, _pistons, _head])
def target(request: pytest.FixtureRequest, tmp_path: Path) -> tuple[Reader, Path, Path]:
    """What to read, where to begin, and the file to be spoilt (it reads well as it is)."""
    reader, start, file = request.param(tmp_path)
    reader(start)
    return reader, start, file


Target = tuple[Reader, Path, Path]


def test_empty(target: Target) -> None:
    reader, start, file = target
    for content in (b"", b"\n \r\n"):
        file.write_bytes(content)
        error = refusal(reader, start)
        assert error.file == str(file)
        assert "empty" in error.message


def test_a_gigabyte(target: Target) -> None:
    reader, start, file = target
    with file.open("wb") as stream:
        stream.truncate(1_000_000_000)  # sparse: takes no room
    error = refusal(reader, start)
    assert error.file == str(file)
    assert (error.found, error.allowed) == ("1000.0 MB", "at most 20 MB")


def test_a_folder(target: Target) -> None:
    reader, start, file = target
    file.unlink()
    file.mkdir()
    error = refusal(reader, start)
    assert "folder" in error.message or "no " in error.message


def test_no_permission(target: Target, monkeypatch: pytest.MonkeyPatch) -> None:
    reader, start, file = target
    real = Path.open

    def locked(self: Path, *more: object, **named: object) -> object:
        if self == file:
            raise PermissionError(13, "Permission denied", str(self))
        return real(self, *more, **named)  # type: ignore[call-overload]

    monkeypatch.setattr(Path, "open", locked)
    error = refusal(reader, start)
    assert error.file == str(file)
    assert "permission" in error.message


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root reads all")
def test_no_permission_for_real(target: Target) -> None:
    reader, start, file = target
    file.chmod(0)
    assert "permission" in refusal(reader, start).message


def test_not_utf8(target: Target) -> None:
    reader, start, file = target
    file.write_bytes(b"number\n\xff\xfe\xe4")
    error = refusal(reader, start)
    assert "UTF-8" in error.message
    assert "UTF-8" in error.allowed


def test_binary(target: Target) -> None:
    reader, start, file = target
    file.write_bytes(b"number\0\n")
    assert "not a text file" in refusal(reader, start).message


def test_missing(tmp_path: Path) -> None:
    assert "no such file" in refusal(read_job, tmp_path / "none.toml").message
    assert "no such folder" in refusal(read_catalogue, tmp_path / "none").message
    path = job_file(tmp_path, HEAD + CYLINDER)
    assert "not a folder" in refusal(read_job, path / "job.toml").message


def test_a_catalogue_that_is_a_file(tmp_path: Path) -> None:
    error = refusal(read_catalogue, job_file(tmp_path, HEAD))
    assert (error.message, error.allowed) == ("this is a file", "a folder")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes here")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "job.toml")
    assert "plain file" in refusal(read_job, tmp_path / "job.toml").message
