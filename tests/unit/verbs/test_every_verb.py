"""Every registered verb is run: by the library, on the command line, as document and drawing."""

from __future__ import annotations

import ast
import json
import re
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
import typer
from jsonschema import Draft202012Validator
from rich.console import Console

import fitsolver
from fitsolver.cli.app import app
from fitsolver.records.heading import Document
from fitsolver.records.words import ON_DIAMETER
from fitsolver.reporting.schema import to_json
from fitsolver.reporting.sections import Opened
from fitsolver.usecases.counter_files import equal_job
from fitsolver.verbs.registry import DOCUMENTS, LIBRARY, VERBS, registered, verb_of
from fitsolver.verbs.report import report
from fitsolver.verbs.schemas import json_schema
from fitsolver.verbs.verb import Verb, loaded
from tests.unit.cli.run import DEMOS, ROOT, Run, runner

from .examples import EXAMPLES

NAMES = [verb.name for verb in VERBS]
ANSWERING = [verb.name for verb in VERBS if verb.document]
#: Verbs whose drawing is asked for with `--plot`.
DRAWN = [verb.name for verb in VERBS if verb.drawing or verb.drawing_of_files]
#: Commands that are no verbs: what they start, and groups of commands.
NO_VERBS = {"page", "book"}


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run the command line in this process; see `runner`."""
    return runner(monkeypatch, capsys)


def inside(folder: Path, *words: object) -> list[object]:
    """Return words with the name of a folder where `{}` stands."""
    return [w.replace("{}", str(folder)) if isinstance(w, str) else w for w in words]


def by_library(verb: Verb[Any], folder: Path) -> Any:
    """Return what the function of the library answers that takes files."""
    function = getattr(fitsolver, verb.on_files.partition(":")[2])
    example = EXAMPLES[verb.name]
    return function(*inside(folder, *example.given), **example.options)


@pytest.mark.parametrize("name", NAMES)
def test_every_verb_is_a_command(name: str) -> None:
    known: Any = typer.main.get_command(app)
    for word in name.split():
        assert word in known.commands
        known = known.commands[word]
    said = (ROOT / "docs" / "commands.md").read_text(encoding="utf-8")
    assert re.search(rf"^##+ `fitsolver {name} ", said, re.M)


def test_every_command_is_a_verb() -> None:
    commands: Any = typer.main.get_command(app)
    assert set(commands.commands) - NO_VERBS == {name for name in NAMES if " " not in name}


@pytest.mark.parametrize("name", ANSWERING)
def test_library_document_and_report_agree(name: str, run: Run, tmp_path: Path) -> None:
    verb, example = registered(name), EXAMPLES[name]
    example.first(tmp_path, run)
    words = (*name.split(), *inside(tmp_path, *example.words))
    document = run(*words, "--json")
    answer = loaded(verb.answer).model_validate_json(document.out)
    if verb.on_files:
        assert by_library(verb, tmp_path) == answer
    assert (to_json(answer), verb_of(answer)) == (document.out, verb)
    assert (document.code, document.err) == (verb.code(answer), "")
    Draft202012Validator(json_schema(verb.document)).validate(json.loads(document.out))
    out = StringIO()
    Console(file=out, width=80).print(report(answer, opened=Opened()))
    shown = run(*words)
    assert (shown.code, shown.out) == (document.code, out.getvalue())
    assert shown.out.startswith(f"{verb.title(answer)}\n===")
    assert ON_DIAMETER in " ".join(shown.out.split())
    assert_narrow(answer)


def assert_narrow(answer: Any) -> None:
    """At 40 columns no line is longer, and no figure of the whole report is broken or lost."""
    wide, narrow = StringIO(), StringIO()
    Console(file=wide, width=100).print(report(answer))
    Console(file=narrow, width=40, no_color=True).print(report(answer))
    copied = lines_to_copy(answer)
    lines = [line for line in narrow.getvalue().splitlines() if line not in copied]
    assert max(map(len, lines)) <= 40
    assert figures(wide.getvalue()) <= figures(narrow.getvalue())


def lines_to_copy(answer: Any) -> list[str]:
    """Lines for a job file, which stay as they are whatever the width."""
    return str(getattr(answer, "instrument_lines", "")).splitlines()


def figures(text: str) -> set[str]:
    bare = (word.strip(",;:.()") for word in text.split())
    return {word for word in bare if re.fullmatch(r"[+-]?\d+(\.\d+)?%?", word)}


def test_a_sheet_is_the_same_from_both(run: Run, tmp_path: Path) -> None:
    made = by_library(registered("sheet"), tmp_path)
    assert verb_of(made) is registered("sheet")
    ran = run("sheet", *EXAMPLES["sheet"].words)
    assert (ran.code, ran.out) == (registered("sheet").code(made), made.html)


def test_a_new_job_is_the_same_from_both(run: Run, tmp_path: Path) -> None:
    by_library(registered("new"), tmp_path)
    assert run("new", *inside(tmp_path, *EXAMPLES["new"].words)).code == 0
    one, other = (tmp_path / f"by_{who}.toml" for who in ("command", "library"))
    assert one.read_text(encoding="utf-8") == other.read_text(encoding="utf-8")


def test_every_verb_is_run_here() -> None:
    assert set(NAMES) == {*ANSWERING, "sheet", "new"} == set(EXAMPLES)


@pytest.mark.parametrize("name", DRAWN)
def test_drawing_is_written(name: str, run: Run, tmp_path: Path) -> None:
    drawn = tmp_path / "drawn.svg"
    ran = run(*name.split(), *EXAMPLES[name].words, "--plot", drawn)
    assert (ran.code, ran.err) == (0, "")
    assert "<svg" in drawn.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", [verb.name for verb in VERBS if verb.tab or verb.route == "job"])
def test_verb_of_a_job_answers_on_records_too(name: str) -> None:
    """As it does on files; what is given more time than it needs answers the same."""
    verb, example = registered(name), EXAMPLES[name]
    if name == "counter":
        words = [str(word) for word in example.given]
        job, catalogue = equal_job(
            words, example.options["catalogue"], DEMOS / "pump" / "shop.toml"
        )
    else:
        (file,) = example.given
        job, catalogue = fitsolver.load(str(file))
    assert verb.about(job, catalogue, 600.0) == by_library(verb, Path())


def test_public_names_are_those_of_the_registry() -> None:
    """Each stands in `__all__`, and where the type checker is told that it stands."""
    source = ast.parse(Path(fitsolver.__file__).read_text(encoding="utf-8"))
    told = {
        name.name: f"{line.module}:{name.name}"
        for line in ast.walk(source)
        if isinstance(line, ast.ImportFrom) and line.module and line.module != "__future__"
        for name in line.names
    }
    for name, place in LIBRARY.items():
        assert name in fitsolver.__all__, f"{name} is registered and not public"
        assert told.get(name) == place
        assert getattr(fitsolver, name) is loaded(place)


def test_names_and_documents_are_each_of_one_verb() -> None:
    assert len(set(NAMES)) == len(NAMES)
    assert len(DOCUMENTS) == len(ANSWERING)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_document_begins_with_the_common_head(name: str) -> None:
    assert issubclass(loaded(DOCUMENTS[name]), Document)
    fields = list(json_schema(name)["properties"])
    assert fields[:2] == ["schema_version", "program_version"]
