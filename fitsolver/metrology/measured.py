"""A job made ready to be decided: what it was measured as, and what counts."""

from __future__ import annotations

from dataclasses import dataclass

from fitsolver.records.budget import Correction
from fitsolver.records.job import Job


@dataclass(frozen=True, slots=True)
class Measured:
    """`job` is what is decided; `stated` is the same with only the guards that its windows state.

    Both have their sizes at 20 °C. `corrections` tell what that changed.
    """

    job: Job
    stated: Job
    corrections: tuple[Correction, ...] = ()

    @property
    def guarded(self) -> bool:
        return self.job is not self.stated
