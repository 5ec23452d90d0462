"""Where the demonstration catalogues lie: invented, and part of the installed package."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).parents[1]


def demo_folders() -> dict[str, Path]:
    """Return the folder of each demonstration catalogue by its name.

    An installed package has them inside itself, a checkout beside itself; see `package-dir` in
    pyproject.toml.
    """
    return {path.parent.name: path.parent for path in sorted(_root().glob("*/catalogue.toml"))}


def demo_list() -> Path | None:
    """Return the demonstration's price list with its shop beside it; None where it is not there."""
    found = _root() / "counter" / "list.xlsx"
    return found if found.is_file() else None


def _root() -> Path:
    """Return the folder of the demonstrations: within the package, or beside it in a checkout."""
    inside = _PACKAGE / "demos"
    return inside if inside.is_dir() else _PACKAGE.parent / "catalogs_demo"
