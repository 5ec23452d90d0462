"""What `bore` answers: the form of every measured bore of a job."""

from __future__ import annotations

from typing import Final

from fitsolver.records.budget import Correction
from fitsolver.records.form import BoreForm
from fitsolver.records.heading import BoreDocument

FORMS_SCHEMA: Final = 1


class FormsAnswer(BoreDocument):
    """The document that `bore --json` writes; `unit` is the job's, for showing only."""

    schema_version: int = FORMS_SCHEMA
    forms: tuple[BoreForm, ...]
    corrections: tuple[Correction, ...] = ()
    cautions: tuple[str, ...] = ()
