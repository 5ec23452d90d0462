"""Where the demonstration catalogues lie: invented, and part of the installed package."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).parents[1]


def demo_folders() -> dict[str, Path]:
    """Return the folder of each demonstration catalogue by its name.

    An installed package has them inside itself, a checkout beside itself; see `package-dir` in
    pyproject.toml.
    """
    inside = _PACKAGE / "demos"
    root = inside if inside.is_dir() else _PACKAGE.parent / "catalogs_demo"
    return {path.parent.name: path.parent for path in sorted(root.glob("*/catalogue.toml"))}


def demo_list() -> Path | None:
    """Return the demonstration's price list with its shop beside it; None where it is not there."""
    inside = _PACKAGE / "demos"
    root = inside if inside.is_dir() else _PACKAGE.parent / "catalogs_demo"
    found = root / "counter" / "list.xlsx"
    return found if found.is_file() else None
