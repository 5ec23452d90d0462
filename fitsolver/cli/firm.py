"""The command `firm`: how far figures may go before the pick changes."""

from __future__ import annotations

from fitsolver.cli.of_a_job import of_a_job

firm = of_a_job(
    "firm",
    "Show how far figures may go before the pick changes.",
    "catalogue",
    "unit",
    watched=True,
)
