"""The house: imports go downwards only, only `solving` sees ortools, only front ends print."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import fitsolver

ROOT = Path(fitsolver.__file__).parent
#: A module imports only from lower floors, or from its own folder. Floor 2 has three wings.
FLOORS = {
    "base": 0.5,
    "errors": 0,
    "lengths": 0,
    "new_file": 1,
    "pairing": 1,
    "exit_codes": 0,
    "__init__": 0,
    "records": 1,
    "fits": 2,
    "metrology": 2,
    "reading": 2,
    "question": 3,
    "doubts": 3.05,
    "candidates": 3,
    "stack_windows": 3,
    "options": 3.1,
    "ring_options": 3.2,
    "selection": 3.3,
    "catalogue_review": 3.1,
    "checking": 4,
    "planning": 4,
    "stages": 4,
    "counter": 5,
    "rebuilds": 3.5,
    "larger_sizes": 4,
    "measured": 3,
    "guards": 3,
    "measuring": 3.4,
    "batches": 3.5,
    "budgets": 3.5,
    "reporting": 5,
    "plots": 5.1,
    "paper": 5.2,
    "solving": 5,
    "at_hone": 4,
    "honing": 5.5,
    "parts_arrived": 4,
    "final_check": 5,
    "final_judged": 4,
    "firmness": 5.5,
    "checked_plan": 5.4,
    "rows_back": 5.5,
    "cluster": 1,
    "mip": 1,
    "allotment": 5.75,
    "cli_allot": 6.6,
    "screening": 5.7,
    "pair_tables": 5.75,
    "next_best": 5.5,
    "reread": 5.5,
    "deciding": 5.6,
    "loading": 5.6,
    "verbs": 5.8,
    "book": 5.6,
    "service": 6,
    "page": 6.5,
    "cli_page": 6.6,
    "asking": 6.55,
    "output": 6.5,
    "cli_bench": 6.6,
    "cli_book": 6.6,
    "cli_book_options": 6.55,
    "cli_book_views": 6.58,
    "cli_firm": 6.6,
    "cli_alternatives": 6.6,
    "cli_ladder": 6.6,
    "cli_screen": 6.6,
    "cli_why": 6.6,
    "cli_measuring": 6.6,
    "cli_new": 6.6,
    "cli_pair": 6.6,
    "cli_options": 6.55,
    "cli_plan": 6.6,
    "cli_plotting": 6.55,
    "cli_sheet": 6.6,
    "cli_hone": 6.6,
    "cli": 7,
    "__main__": 8,
}
MODULES = sorted(ROOT.rglob("*.py"))


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).with_suffix("").parts[0]


def imported(path: Path) -> Iterator[str]:
    """Yield what a module imports when it runs; what only the type checker reads is left out."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    skipped = {
        id(node)
        for branch in ast.walk(tree)
        if isinstance(branch, ast.If) and "TYPE_CHECKING" in ast.unparse(branch.test)
        for node in ast.walk(branch)
    }
    for node in ast.walk(tree):
        if id(node) in skipped:
            continue
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            assert node.level == 0, f"{path.name}: relative import"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_go_downwards(path: Path) -> None:
    here = name_of(path)
    for module in imported(path):
        parts = module.split(".")
        if parts[0] != "fitsolver":
            continue
        there = parts[1] if len(parts) > 1 else "__init__"
        if there != here:
            assert FLOORS[there] < FLOORS[here], f"{here} imports {module}"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_only_solving_sees_the_solver(path: Path) -> None:
    if name_of(path) not in ("solving", "mip", "allotment"):
        assert not any(module.split(".")[0] == "ortools" for module in imported(path))


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_only_front_ends_print(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    if name_of(path) not in ("cli", "output", "__main__") and "__main__" not in text:
        for node in ast.walk(ast.parse(text)):
            called = isinstance(node, ast.Call) and ast.unparse(node.func)
            assert called not in ("print", "sys.stdout.write", "sys.stderr.write"), path.name


def test_no_cycles() -> None:
    """Imports among modules, those of one folder too, form no ring."""
    graph = {
        ".".join(("fitsolver", *path.relative_to(ROOT).with_suffix("").parts)): {
            module for module in imported(path) if module.startswith("fitsolver.")
        }
        for path in MODULES
    }
    done: set[str] = set()

    def visit(module: str, trail: tuple[str, ...]) -> None:
        assert module not in trail, " -> ".join((*trail, module))
        if module not in done:
            for other in graph.get(module, ()):
                visit(other, (*trail, module))
            done.add(module)

    for module in graph:
        visit(module, ())


def test_a_rule_has_its_four_rooms() -> None:
    """A fit, a solver rule, a check and a page for every rule."""
    from fitsolver.records.base import RULES

    for rule in RULES:
        for room in ("fits", "solving/rules", "checking"):
            assert (ROOT / room / f"{rule}.py").is_file(), f"{room}/{rule}.py"
        assert (ROOT.parent / "docs" / "rules" / f"{rule}.md").is_file(), f"docs/rules/{rule}.md"
        tests = ROOT.parent / "tests" / "unit" / "rules"
        assert (tests / f"test_{rule}.py").is_file(), f"tests/unit/rules/test_{rule}.py"
