"""The option `--plot` of the commands that have a drawing."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

from fitsolver.base.errors import InputError
from fitsolver.base.new_file import check_new, write_new
from fitsolver.cli.options import path_option
from fitsolver.cli.output import say

if TYPE_CHECKING:
    from fitsolver.plots import Drawing

PlotOption = Annotated[
    Path | None,
    path_option("--plot", metavar="FILE", says="Draw it too: a new .svg or .png file."),
]
_ENDINGS: Final = (".svg", ".png")


def may_plot(plot: Path | None, output: Path | None) -> None:
    """Refuse before any work is done: another kind of file, or one that is there already."""
    if plot is None:
        return
    if plot.suffix.lower() not in _ENDINGS:
        raise InputError(
            "a drawing is written as SVG or PNG",
            file=str(plot),
            found=plot.suffix or "no ending",
            allowed=f"a name that ends in {' or '.join(_ENDINGS)}",
        )
    if output is not None and output.absolute() == plot.absolute():
        raise InputError("the report goes to this file", file=str(plot), allowed="another file")
    check_new(plot)


def write_plot(plot: Path | None, drawn: Callable[[], Drawing | None]) -> None:
    """Write the drawing of `drawn`, which is called only if a file is named.

    Without a plan there is no drawing: nothing is written, and standard error says so.
    """
    if plot is None:
        return
    drawing = drawn()
    if drawing is None:
        say(f"fitsolver: nothing to draw, so {plot} was not written", error=True)
        return
    write_new(plot, drawing.svg() if plot.suffix.lower() == ".svg" else drawing.png())
