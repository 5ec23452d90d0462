"""The command `why`: reasons, and the smallest changes that would open a job."""

from __future__ import annotations

from fitsolver.cli.of_a_job import of_a_job

why = of_a_job(
    "why",
    "Tell why nothing fits and what would open it, or why so.",
    "catalogue",
    "time_limit",
    watched=True,
)
