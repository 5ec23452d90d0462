"""The command `firm`: how far figures may go before the pick changes."""

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


def firm(
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
) -> None:
    """Show how far figures may go before the pick changes."""
    accepted = doubts(accept, accept_outliers)
    give("firm", Out(unit, json, output), job, catalogue, watched=True, **accepted)
