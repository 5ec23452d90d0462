"""A new job file with its example readings taken, those of the first cylinder in every one."""

from __future__ import annotations

import re


def with_examples(text: str) -> str:
    """Return the text of a new job as if the example readings were typed into each cylinder."""
    typed = re.sub(r"^#(  \[)", r"\1", text, flags=re.MULTILINE)
    rows = re.search(r"^readings = \[.+\n((?:  \[.*\n)+)", typed, flags=re.MULTILINE)
    return typed if rows is None else typed.replace("readings = [\n]", f"readings = [\n{rows[1]}]")
