"""What `bore` answers: the form of every measured bore of a job."""

from __future__ import annotations

from typing import Final

from fitsolver.base.lengths import Unit
from fitsolver.records.base import Record
from fitsolver.records.budget import Correction
from fitsolver.records.form import BoreForm

FORMS_SCHEMA: Final = 1


class FormsAnswer(Record):
    """The document that `bore --json` writes; `unit` is the job's, for showing only."""

    schema_version: int = FORMS_SCHEMA
    program_version: str
    job: str
    unit: Unit
    forms: tuple[BoreForm, ...]
    corrections: tuple[Correction, ...] = ()
    cautions: tuple[str, ...] = ()
