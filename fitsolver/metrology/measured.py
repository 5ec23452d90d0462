"""A job made ready to be decided: the stated one, and the guarded one."""

from __future__ import annotations

from dataclasses import dataclass

from fitsolver.records.budget import Correction
from fitsolver.records.job import Job


@dataclass(frozen=True, slots=True)
class Measured:
    """`job` is what is decided; `stated` is the same with only the guards that its windows state.

    Both have their sizes at 20 °C; `corrections` lists the changes.
    """

    job: Job
    stated: Job
    corrections: tuple[Correction, ...] = ()

    @property
    def guarded(self) -> bool:
        return self.job is not self.stated
