"""The command `ladder`: the sizes left of a job's cylinders."""

from __future__ import annotations

from fitsolver.cli.of_a_job import of_a_job

ladder = of_a_job(
    "ladder",
    "Show the larger sizes and the rebuilds that are left.",
    "catalogue",
    "unit",
    "plot",
    "time_limit",
    watched=True,
)
