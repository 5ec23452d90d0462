"""How the page's modules import each other: no view another, and few links in a row."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

import fitsolver.page

ROOT = Path(fitsolver.page.__file__).parent


@cache
def imported(module: str) -> frozenset[str]:
    """Return the modules of the page that one imports, wherever in it, not only for its types."""
    tree = ast.parse((ROOT / f"{module}.py").read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            node.body = []
    found = [node for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    within = [node for node in found if node.module == "fitsolver.page"]
    names = {alias.name for node in within for alias in node.names}
    paths = [(node.module or "").split(".") for node in found]
    return frozenset(
        names | {path[2] for path in paths if path[:2] == ["fitsolver", "page"] and path[2:]}
    )


@cache
def links(module: str) -> int:
    """Return the longest chain of imports that begins at a module."""
    return max((1 + links(other) for other in imported(module)), default=0)


def test_no_view_imports_another() -> None:
    views = {path.stem for path in ROOT.glob("views_*.py")}
    assert views <= imported("app")
    for view in views:
        assert not imported(view) & {*views, "api", "app", "serve"}


def test_the_chain_is_short() -> None:
    assert links("serve") <= 5
