"""The command `final`: every fit of a finished cylinder."""

from __future__ import annotations

from fitsolver.cli.of_a_job import of_a_job

final = of_a_job("final", "Check every fit of a finished cylinder.", "catalogue", "unit")
