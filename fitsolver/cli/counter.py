"""The command `counter`: which kit for this bore."""

from __future__ import annotations

import re
from typing import Annotated, Any, Final

import typer
from typer.core import TyperCommand

from fitsolver.base.errors import InputError, visible
from fitsolver.cli.answering import Out, give
from fitsolver.cli.options import CatalogueOption, CatalogueUnitOption, JsonOption, OutputOption
from fitsolver.reading.counter_words import BELOW

_BELOW: Final = re.compile(r"-[.,]?\d")


class Sizes(TyperCommand):
    """The command, with a bore below standard told apart from an option."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        for word in args:
            if _BELOW.match(word):
                raise InputError(
                    BELOW,
                    field="size",
                    found=visible(word),
                    allowed="a size, as 53.90; std; an oversize, as +0.25",
                )
        return super().parse_args(ctx, args)


def counter(
    family: Annotated[str, typer.Argument(metavar="FAMILY", help="Family, or enough of its name.")],
    sizes: Annotated[
        list[str],
        typer.Argument(metavar="SIZE...", help="Bore of each cylinder: 62.31, 2.453in, std."),
    ],
    catalogue: CatalogueOption = None,
    kits_only: Annotated[
        bool, typer.Option("--kits-only", help="What a kit holds is sold in kits.")
    ] = False,
    in_stock: Annotated[
        bool, typer.Option("--in-stock", help="Only what is on the shelf.")
    ] = False,
    unit: CatalogueUnitOption = None,
    json: JsonOption = False,
    output: OutputOption = None,
) -> None:
    """Say which kit or parts a bore takes."""
    give(
        "counter",
        Out(unit, json, output),
        family,
        *sizes,
        catalogue=catalogue,
        kits_only=kits_only,
        in_stock=in_stock,
        unit=None if json or unit is None else unit.value,  # a document keeps its own
    )
