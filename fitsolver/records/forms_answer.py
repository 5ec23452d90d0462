"""The answer of `bore`: the form of every measured bore."""

from __future__ import annotations

from typing import Final

from fitsolver.lengths import Unit
from fitsolver.records.base import Record
from fitsolver.records.form import BoreForm

FORMS_SCHEMA: Final = 1


class FormsAnswer(Record):
    """What `bore` answers: the document that `bore --json` writes."""

    schema_version: int = FORMS_SCHEMA
    program_version: str
    job: str
    unit: Unit
    forms: tuple[BoreForm, ...]
    cautions: tuple[str, ...] = ()
