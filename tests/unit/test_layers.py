"""The house: the contracts in pyproject.toml hold, and a wrong import breaks them."""

from __future__ import annotations

import ast
import shutil
import subprocess
import sys
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

import fitsolver

PACKAGE = Path(fitsolver.__file__).parent
ROOT = PACKAGE.parent
MODULES = sorted(PACKAGE.rglob("*.py"))
#: Rooms that write to a terminal; a module run by itself (`python -m`) may say what it did.
PRINTS = ("cli", "__main__")
LINT = (
    "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True))"
)


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    """Hold the package in a folder against the contracts beside it."""
    return subprocess.run(
        [sys.executable, "-c", LINT], cwd=folder, capture_output=True, text=True, check=False
    )


def test_contracts_are_kept() -> None:
    done = lint(ROOT)
    assert done.returncode == 0, done.stdout
    assert " 0 broken" in done.stdout


@pytest.mark.parametrize(
    ("module", "imported", "contract"),
    [
        ("fits/clearance.py", "fitsolver.cli.output", "Imports go downwards only"),
        ("metrology/form.py", "fitsolver.reading.files", "Imports go downwards only"),
        ("choices/options.py", "fitsolver.solving.search", "Imports go downwards only"),
        ("planning/plan.py", "ortools.sat.python.cp_model", "see a solver"),
        ("allotment/joint.py", "ortools.sat.python.cp_model", "see a solver"),
        ("checking/check.py", "fitsolver.planning.plan", "knows nothing of the solver"),
        ("usecases/counter.py", "sqlalchemy", "loaded in one room each"),
        ("mip/highs.py", "fitsolver.records.job", "knows arrays only"),
        ("plots/bore.py", "fitsolver.paper.page", "Imports go downwards only"),
    ],
)
def test_a_wrong_import_fails(tmp_path: Path, module: str, imported: str, contract: str) -> None:
    """Inside a function too."""
    ignored = shutil.ignore_patterns("__pycache__")
    shutil.copytree(PACKAGE, tmp_path / "fitsolver", ignore=ignored)
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    wrong = tmp_path / "fitsolver" / module
    text = wrong.read_text(encoding="utf-8")
    wrong.write_text(f"{text}\n\ndef late() -> None:\n    import {imported}\n", encoding="utf-8")
    done = lint(tmp_path)
    assert done.returncode == 1, done.stdout
    broken = done.stdout.partition("Broken contracts")[2]
    assert contract in broken
    assert imported.split(".", maxsplit=1)[0] in broken


def test_a_new_room_has_a_place(tmp_path: Path) -> None:
    shutil.copytree(PACKAGE, tmp_path / "fitsolver", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    (tmp_path / "fitsolver" / "attic").mkdir()
    (tmp_path / "fitsolver" / "attic" / "__init__.py").write_text("", encoding="utf-8")
    assert "attic" in lint(tmp_path).stdout


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_only_front_ends_print(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    if path.relative_to(PACKAGE).with_suffix("").parts[0] in PRINTS or "__main__" in text:
        return
    for node in ast.walk(ast.parse(text)):
        called = isinstance(node, ast.Call) and ast.unparse(node.func)
        assert called not in ("print", "sys.stdout.write", "sys.stderr.write"), path.name


def imports_of(path: Path, names: set[str]) -> set[str]:
    """Return the modules of the package that one imports, inside functions and for types too."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            modules = {f"{node.module}.{alias.name}" for alias in node.names} & names
            found |= modules or {node.module}
    return found & names


def graph() -> dict[str, set[str]]:
    """Return what every module of the package imports of it, but for the root."""
    modules = {
        ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path
        for path in MODULES
    }
    del modules["fitsolver"]
    return {name: imports_of(path, set(modules)) - {name} for name, path in modules.items()}


def test_no_circle_and_no_long_chain() -> None:
    """Imports for types alone count too: 24 modules at the most, one importing the next."""
    imported = graph()
    length: dict[str, int] = {}
    for name in TopologicalSorter(imported).static_order():  # raises CycleError
        length[name] = 1 + max((length[each] for each in imported[name]), default=0)
    assert max(length.values()) < 25


def test_no_relative_imports() -> None:
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            assert not (isinstance(node, ast.ImportFrom) and node.level), path


def test_the_root_holds_nothing_else() -> None:
    assert {path.stem for path in PACKAGE.glob("*.py")} == {"__init__", "__main__"}
