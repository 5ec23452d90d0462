"""The command `bore`: the form of the measured bores."""

from __future__ import annotations

from fitsolver.cli.of_a_job import of_a_job

bore = of_a_job("bore", "Show the form of the measured bores.", "unit", "plot")
