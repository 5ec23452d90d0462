"""Doubts: figures that what is known contradicts, to be corrected or accepted by name."""

from __future__ import annotations

from fitsolver.records.base import Record


class Doubt(Record):
    """A figure that what is known contradicts.

    `id` names it for `accept`; `sentence` says what was found, what was expected and why, in the
    file's units. `file`, `row` and `field` tell where it stands, as messages name it.
    """

    id: str
    file: str = ""
    row: str = ""
    field: str = ""
    sentence: str
