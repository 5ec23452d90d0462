"""A full disk, a clock set back, a connection that is cut: one message, and nothing is half."""

from __future__ import annotations

import datetime as dt
import os
import resource
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy import create_engine, make_url

from fitsolver import book
from fitsolver.base.errors import InputError
from tests.unit.cli.run import ROOT

from .made import DAY, cylinder, job

ADD = """
import sys
from datetime import date
from fitsolver import book
from fitsolver.base.errors import InputError
from tests.unit.book.made import cylinder, job
keys = []
try:
    with book.open(sys.argv[1]) as shop:
        for number in range(400):
            keys.append(shop.add_job(job(cylinder(f"c{number}")), date=date(2020, 3, 1)).entry.key)
            print(keys[-1], flush=True)
except InputError as error:
    print("refused", error)
"""


def test_a_disk_that_fills_up_loses_nothing_that_was_answered(tmp_path: Path) -> None:
    """No file may grow past a limit, as on a disk without room; whatever step hits it."""
    for limit in (5_000, 30_000, 90_000, 140_000, 300_000, 700_000):
        file = tmp_path / f"{limit}.sqlite"

        def limited(most: int = limit) -> None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))

        done = subprocess.run(
            [sys.executable, "-c", ADD, str(file)],
            preexec_fn=limited, cwd=ROOT, capture_output=True, text=True, timeout=120,
            check=False,
        )  # fmt: skip
        assert done.returncode == 0 and done.stderr == "", done.stderr
        *keys, last = done.stdout.splitlines()
        assert last.startswith("refused") and str(file) in last, last
        if not keys:
            continue
        with book.open(str(file), create=False) as shop:
            found = shop.check()
            assert found.sound and found.whole >= len(keys)
            assert all(shop.entry(key).key == key for key in keys)


def test_an_export_without_room(tmp_path: Path, file: str) -> None:
    with book.open(file) as shop:
        for number in range(40):
            shop.add_job(job(cylinder(f"c{number}")), date=DAY)

    def limited() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (40_000, 40_000))

    to = tmp_path / "all.jsonl"
    command = [sys.executable, "-m", "fitsolver", "book", "export", str(to), "--book", file]
    done = subprocess.run(
        command, preexec_fn=limited, cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert "cannot be written" in done.stderr and "Traceback" not in done.stderr
    assert not to.exists()


def test_a_clock_set_back_is_noticed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], file: str
) -> None:
    from tests.unit.cli.run import runner

    run = runner(monkeypatch, capsys)
    ahead = dt.date.today() + dt.timedelta(days=400)
    with book.open(file) as shop:
        shop.add_job(job(), date=ahead)
    fit = ("book", "fit", "pump 7, left", "--piston", "P", "--book", file)
    refused = run(*fit)
    assert refused.code == 2 and f"newest entry of the book, of {ahead}" in refused.err
    assert "--date" in refused.err
    assert run(*fit, "--date", ahead.isoformat()).code == 0


def test_a_server_that_cuts_the_connection(server: str) -> None:
    """Cut before, within and just before the end of a transaction: nothing half, one message."""
    engine = create_engine(make_url(server).set(drivername="postgresql+psycopg"))
    with book.open(server) as shop:
        first = shop.add_job(job(), date=DAY).entry.key
        store = shop._store
        with pytest.raises(InputError, match="server does not answer"), store.writing() as writer:
            pid = writer.exec_driver_sql("SELECT pg_backend_pid()").scalar()
            writer.exec_driver_sql("DELETE FROM fitsolver_line")
            with engine.connect() as other:
                other.exec_driver_sql(f"SELECT pg_terminate_backend({pid})")
            writer.exec_driver_sql("DELETE FROM fitsolver_entry")
        with pytest.raises(InputError, match="server does not answer"), store.writing() as writer:
            pid = writer.exec_driver_sql("SELECT pg_backend_pid()").scalar()
            writer.exec_driver_sql("DELETE FROM fitsolver_line")
            with engine.connect() as other:
                other.exec_driver_sql(f"SELECT pg_terminate_backend({pid})")
            # the end of the transaction is what fails
        assert shop.entry(first).key == first
        assert shop.check().sound
        assert shop.add_job(job(cylinder("next")), date=DAY).new
    engine.dispose()


def test_a_book_that_another_program_holds(file: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fitsolver.book.place._PATIENCE", 0.2)
    with book.open(file) as shop:
        shop.add_job(job(), date=DAY)
        holder = sqlite3.connect(file, isolation_level=None)
        holder.execute("BEGIN IMMEDIATE")
        with pytest.raises(InputError, match="another program"):
            shop.add_job(job(cylinder("other")), date=DAY)
        assert shop.check().whole == 1  # who reads does not wait
        holder.execute("ROLLBACK")
        holder.close()
        assert shop.add_job(job(cylinder("other")), date=DAY).new


def test_a_book_in_a_folder_without_permission(tmp_path: Path) -> None:
    if os.geteuid() == 0:
        pytest.skip("root may write anywhere")
    folder = tmp_path / "closed"
    folder.mkdir(mode=0o500)
    with pytest.raises(InputError):
        book.open(str(folder / "book.sqlite"))
