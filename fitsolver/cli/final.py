"""The command `final`: every fit of a finished cylinder."""

from __future__ import annotations

from fitsolver.cli.answering import Out, doubts, give
from fitsolver.cli.options import (
    AcceptOption,
    CatalogueOption,
    FullOption,
    JobFile,
    JsonOption,
    OutliersOption,
    OutputOption,
    ShowOption,
    UnitOption,
)


def final(  # noqa: PLR0913, PLR0917
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Check every fit of a finished cylinder."""
    give(
        "final",
        Out(unit, json, output, show=opening, full=full),
        job,
        catalogue,
        **doubts(accept, accept_outliers),
    )
