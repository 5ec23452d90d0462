"""Print constraints that hold every direct dependency to the lowest version declared."""

from __future__ import annotations

import re
import sys
import tomllib
from pathlib import Path

#: Groups that the check with the lowest versions needs besides the project's own.
GROUPS = ("page", "parquet")
_BOUND = re.compile(r"([A-Za-z0-9._-]+)(?:\[[^]]*\])?>=([0-9.]+)")


def lowest(project: dict) -> list[str]:
    """Return `name==version` for every dependency; raises ValueError for one without a bound."""
    declared = list(project["dependencies"])
    for group in GROUPS:
        declared += project["optional-dependencies"][group]
    found = []
    for line in declared:
        match = _BOUND.match(line)
        if match is None:
            raise ValueError(f"no lowest version is declared: {line}")
        found.append(f"{match[1]}=={match[2]}")
    return found


if __name__ == "__main__":
    text = Path(sys.argv[1] if len(sys.argv) > 1 else "pyproject.toml").read_text("utf-8")
    print("\n".join(lowest(tomllib.loads(text)["project"])))
