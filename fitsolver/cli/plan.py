"""The command `plan`: the machining plan of a job, stage by stage."""

from __future__ import annotations

import typer

from fitsolver.base.exit_codes import code_of
from fitsolver.cli.options import (
    AcceptOption,
    CatalogueOption,
    JobFile,
    JsonOption,
    OutliersOption,
    OutputOption,
    TimeLimitOption,
    UnitOption,
)
from fitsolver.cli.output import deliver, may_write, progress, unit_of
from fitsolver.cli.plotting import PlotOption, may_plot, write_plot


def plan(  # noqa: PLR0913, PLR0917
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    plot: PlotOption = None,
    time_limit: TimeLimitOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Plan the machining: every stage with its dial stop."""
    from fitsolver.usecases import files as service

    may_write(output)
    may_plot(plot, output)
    with progress() as tell:
        answer = service.machining_plan(
            job,
            catalogue,
            accept=accept or (),
            accept_outliers=accept_outliers,
            time_limit=time_limit,
            progress=tell,
        )
    write_plot(plot, lambda to: to.stage_bars(answer, unit_of(unit)) if answer.cylinders else None)
    deliver(answer, lambda to: to.render_stages(answer, unit_of(unit)), json=json, output=output)
    raise typer.Exit(code_of(answer.status))
