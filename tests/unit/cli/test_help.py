"""Help: an example for every command, at no cost; and the page that documents them all."""

from __future__ import annotations

import re
from typing import Any

import pytest
import typer.main

from fitsolver.cli.app import app
from tests.docs.test_words import banned

from .run import ROOT, Run, process

TOP: dict[str, Any] = typer.main.get_command(app).commands  # type: ignore[attr-defined]
#: Every command, those of a group behind its name.
COMMANDS: dict[str, Any] = {
    f"{name} {inner}".rstrip(): each
    for name, command in TOP.items()
    for inner, each in getattr(command, "commands", {"": command}).items()
}
HEAVY = ("ortools", "sqlalchemy", "pandas", "numpy", "matplotlib", "openpyxl", "jsonschema")
PAGE = (ROOT / "docs" / "commands.md").read_text(encoding="utf-8")

#: `fitsolver` that tells on leaving which heavy modules were loaded.
WATCHED = f"""
import sys
from fitsolver.cli.app import main
sys.argv[0] = "fitsolver"
try:
    main()
finally:
    loaded = [name for name in {HEAVY} if name in sys.modules]
    sys.stderr.write(f"loaded: {{loaded}}")
"""


def test_commands_are_these() -> None:
    assert list(TOP) == [
        "pick",
        "bore",
        "fits",
        "counter",
        "catalogue",
        "alternatives",
        "budget",
        "firm",
        "final",
        "arrived",
        "gauge",
        "hone",
        "plan",
        "sheet",
        "page",
        "ladder",
        "screen",
        "pair",
        "allot",
        "intake",
        "why",
        "new",
        "book",
    ]


def test_help_shows_commands_codes_and_an_example(run: Run) -> None:
    ran = run("--help")
    assert (ran.code, ran.err) == (0, "")
    for command in TOP:
        assert re.search(rf"^  {command} .*\w\.$", ran.out, re.M)  # a whole sentence
    assert "Example: fitsolver pick catalogs_demo/pump/job.toml" in ran.out
    assert "Exit codes: 0" in ran.out
    assert "on diameter" in " ".join(ran.out.split())


@pytest.mark.parametrize("command", COMMANDS)
def test_help_of_each_shows_an_example(run: Run, command: str) -> None:
    ran = run(*command.split(), "--help")
    assert (ran.code, ran.err) == (0, "")
    assert f"Example: fitsolver {command} " in ran.out
    assert banned(ran.out) == []


@pytest.mark.parametrize("args", [(), *(tuple(command.split()) for command in COMMANDS)])
def test_help_loads_nothing_heavy(args: tuple[str, ...]) -> None:
    assert process("-c", WATCHED, *args, "--help").err == "loaded: []"


def test_bore_and_a_usage_error_load_no_solver() -> None:
    for args in (("bore", "catalogs_demo/pump/job.toml"), ("pick", "--nosuch")):
        loaded = process("-c", WATCHED, *args).err.splitlines()[-1]
        assert "ortools" not in loaded
        assert "pandas" not in loaded


def test_runs_as_a_module() -> None:
    for args in (("--version",), ("pick", "catalogs_demo/pump/job.toml", "--json")):
        ran = process("-m", "fitsolver", *args)
        assert (ran.code, ran.err) == (0, "")


def section(command: str) -> str:
    """What the page says of a command, from its heading to the next."""
    found = re.search(rf"^##+ `fitsolver {command} .*?(?=^##+ |\Z)", PAGE, re.M | re.S)
    assert found is not None, f"docs/commands.md has no section on {command}"
    return found[0]


@pytest.mark.parametrize("command", COMMANDS)
def test_every_option_is_documented(command: str) -> None:
    text = section(command)
    for parameter in COMMANDS[command].params:
        if parameter.param_type_name == "argument":
            assert f"`{parameter.metavar}`" in text
            continue
        if parameter.name == "help":
            continue
        row = next((line for line in text.splitlines() if f"| `{parameter.opts[0]}" in line), "")
        assert row, f"{command} {parameter.opts[0]} has no row in docs/commands.md"
        for spelling in parameter.opts:
            assert f"`{spelling}" in row


@pytest.mark.parametrize("command", COMMANDS)
def test_nothing_else_is_documented(command: str) -> None:
    known = {
        spelling
        for item in COMMANDS[command].params
        for spelling in (*item.opts, *item.secondary_opts)
    }
    table = "\n".join(line for line in section(command).splitlines() if line.startswith("| `-"))
    assert set(re.findall(r"`(--?[a-z-]+)", table)) <= known


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_an_example(command: str) -> None:
    assert re.search(rf"^fitsolver {command} \S+", section(command), re.M)


def test_examples_use_options_that_are_there() -> None:
    for line in re.findall(r"^fitsolver (.+)$", PAGE, re.M):
        command, *words = line.split()
        if command in TOP and command not in COMMANDS:
            command = f"{command} {words[0]}"
        if command.startswith("-") or command.endswith(" --help"):
            continue
        known = {spelling for item in COMMANDS[command].params for spelling in item.opts}
        known.add("--help")
        assert {word for word in words if re.fullmatch(r"--?[a-z][a-z-]*", word)} <= known, line


def test_every_exit_code_is_documented() -> None:
    from fitsolver.base import exit_codes

    codes = [value for name, value in vars(exit_codes).items() if name.isupper() and name[0] != "_"]
    assert len(codes) == 6
    for code in codes:
        assert re.search(rf"^\| {code} \| \S", PAGE, re.M), code
