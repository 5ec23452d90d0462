"""The command `plan`: the machining plan of a job, stage by stage."""

from __future__ import annotations

from fitsolver.cli.of_a_job import of_a_job

plan = of_a_job(
    "plan",
    "Plan the machining: every stage with its dial stop.",
    "catalogue",
    "unit",
    "plot",
    "time_limit",
    watched=True,
)
