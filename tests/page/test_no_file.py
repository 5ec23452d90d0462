"""What the workers do with a job, a log or a catalogue that was sent goes through no file."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest

from fitsolver.page import tasks
from fitsolver.page.shelf import Shelf
from fitsolver.page.shelf_read import catalogue_of
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.job_file import job_of, read_job
from fitsolver.reading.job_text import job_content
from fitsolver.reading.toml_file import parse_toml
from fitsolver.usecases import files

from .serving import DEMOS


@pytest.fixture(autouse=True)
def no_temporary_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let every temporary file fail."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "nowhere"))
    with pytest.raises(FileNotFoundError), tempfile.TemporaryDirectory():
        pass


def test_a_log(tmp_path: Path) -> None:
    job, catalogue = files.load(DEMOS / "pump" / "job.toml")
    answer = files.pick(DEMOS / "pump" / "job.toml")
    assert answer.plan is not None
    log = "1, 10, 180, 20, 8 thrust 0.103\n"
    (tmp_path / "job.hone").write_text(log, encoding="utf-8")
    by_file = files.hone(DEMOS / "pump" / "job.toml", log=tmp_path / "job.hone")
    assert tasks.at_the_hone(job, catalogue, answer.plan, log) == by_file


def test_a_job_with_its_sheet(tmp_path: Path) -> None:
    sheet = "cylinder,depth,axis,diameter\n1,8,thrust,62.31\n1,8,pin,62.30\n"
    head = 'name = "a"\nunits = "mm"\n\n[[cylinder]]\nname = "1"\nmaterial = "iron"\n'
    text = f'{head}readings_file = "r.csv"\n'
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    (tmp_path / "r.csv").write_text(sheet, encoding="utf-8")
    sent = (("job.toml", text.encode()), ("r.csv", sheet.encode()))
    found = job_of(parse_toml(tasks.job_sent(sent, tmp_path, "pump"), "sent"), "sent", None)
    read = read_job(tmp_path / "job.toml")
    assert job_content(found) == job_content(read.model_copy(update={"catalogue": "pump"}))


def test_a_catalogue(tmp_path: Path) -> None:
    folder = DEMOS / "launch"
    sent = [(p.name, p.read_bytes()) for p in folder.iterdir() if p.suffix == ".csv"]
    sent = [(name, content) for name, content in sent if "bores" not in name]
    named = Shelf({}, tmp_path).named(
        [*sent, ("Catalogue.TOML", (folder / "catalogue.toml").read_bytes())]
    )
    assert catalogue_of(named) == read_catalogue(folder)
    assert list(tmp_path.iterdir()) == []
