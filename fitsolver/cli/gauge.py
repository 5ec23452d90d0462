"""The command `gauge`: a gauge studied from repeated readings."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitsolver.cli.answering import Out, give
from fitsolver.cli.options import (
    FileUnitOption,
    FullOption,
    JsonOption,
    OutputOption,
    ShowOption,
)


def gauge(
    table: Annotated[
        Path, typer.Argument(metavar="TABLE", readable=False, help="Readings (CSV or Excel).")
    ],
    window: Annotated[
        str | None,
        typer.Option("--window", metavar="WIDTH", help="A window's width, to judge the gauge by."),
    ] = None,
    permissible_error: Annotated[
        str | None,
        typer.Option("--permissible-error", metavar="LENGTH", help="Of the gauge, by its maker."),
    ] = None,
    unit: FileUnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
    opening: ShowOption = None,
    full: FullOption = False,
) -> None:
    """Study a gauge from repeated readings."""
    out = Out(unit, json, output, show=opening, full=full)
    give("gauge", out, table, window, permissible_error=permissible_error)
