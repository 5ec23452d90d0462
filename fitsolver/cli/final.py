"""The command `final`: every fit of a finished cylinder."""

from __future__ import annotations

from fitsolver.cli.answering import Out, doubts, give
from fitsolver.cli.options import (
    AcceptOption,
    CatalogueOption,
    JobFile,
    JsonOption,
    OutliersOption,
    OutputOption,
    UnitOption,
)


def final(
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Check every fit of a finished cylinder."""
    give("final", Out(unit, json, output), job, catalogue, **doubts(accept, accept_outliers))
