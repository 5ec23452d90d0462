"""The command `arrived`: whether parts that came still serve."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

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


def arrived(  # noqa: PLR0913, PLR0917
    job: JobFile,
    ordered: Annotated[
        Path,
        typer.Option(
            "--ordered",
            metavar="ANSWER",
            readable=False,
            help="Document that `pick --json` wrote when the parts were ordered.",
        ),
    ],
    catalogue: CatalogueOption = None,
    unit: UnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    accept: AcceptOption = None,
    accept_outliers: OutliersOption = False,
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Tell whether parts that came still serve."""
    out = Out(unit, json, output, show=opening, full=full)
    accepted = doubts(accept, accept_outliers)
    give("arrived", out, job, ordered, catalogue, watched=True, **accepted)
