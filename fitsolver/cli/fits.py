"""The command `fits`: the part sets for the bores as they are."""

from __future__ import annotations

from typing import Annotated

import typer

from fitsolver.cli.answering import Out, ask, doubts, leave
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


def fits(  # noqa: PLR0913, PLR0917
    job: JobFile,
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    first: Annotated[
        int,
        typer.Option("--first", min=0, metavar="COUNT", help="Sets shown a cylinder; 0 = all."),
    ] = 10,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Show which part sets fit the bores as they are."""
    out = Out(unit, json, output, show=opening, full=full)
    answer = ask("fits", out, job, catalogue, **doubts(accept, accept_outliers))
    leave("fits", answer, out, first=first or None)
