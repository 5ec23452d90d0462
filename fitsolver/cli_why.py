"""The command `why`: reasons, and the smallest changes that would open a job."""

from __future__ import annotations

import typer

from fitsolver.cli_options import CatalogueOption, JobFile, JsonOption, OutliersOption, OutputOption
from fitsolver.new_file import check_new
from fitsolver.output import show, write_json

#: Exit codes of `why`: those of `pick`.
_CODES = {"proven best": 0, "nothing fits": 3}


def why(
    job: JobFile,
    catalogue: CatalogueOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Tell why nothing fits and what would open it, or why so."""
    from fitsolver import service

    if output is not None:
        check_new(output)
    answer = service.why(job, catalogue, accept_outliers=accept_outliers)
    if json:
        write_json(answer, output)
    else:
        from fitsolver.reporting.terminal import render_why

        show(render_why(answer), output)
    raise typer.Exit(_CODES[answer.status])
