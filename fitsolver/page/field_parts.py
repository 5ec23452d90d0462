"""What a field of a form is, and the parts that stand in more than one place of a job."""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

from fitsolver.records.base import FITS

#: `figure`: a length or another number, where a decimal comma is a point.
Kind = Literal["figure", "count", "text", "choice", "flag", "date", "names", "figures"]


class Field(NamedTuple):
    """One field of a form; `choices` may be empty where the job or the catalogue has them."""

    key: str
    label: str
    kind: Kind = "figure"
    choices: tuple[str, ...] = ()
    hint: str = ""


class Part(NamedTuple):
    """Fields under one heading; `many` = a list of such parts."""

    title: str
    fields: tuple[Field, ...]
    many: bool = False


def with_none(words: tuple[str, ...]) -> tuple[str, ...]:
    return ("", *words)


WINDOW: Final = Part(
    "Windows",
    (
        Field("fit", "fit", "choice", with_none(FITS)),
        Field("groove", "groove", "count", hint="empty: every groove"),
        Field("port", "port", "text", hint="empty: every port"),
        Field("low", "lowest"),
        Field("high", "highest"),
        Field("service_low", "lowest, kept part"),
        Field("service_high", "highest, kept part"),
        Field("per_bore", "per unit of bore", "flag"),
        Field("times", "so many times those of"),
        Field("of_groove", "this groove", "count"),
        Field("guard", "measuring allowance"),
        Field("aim", "aim above the lowest"),
        Field("yields", "a part's own window goes first", "flag"),
        Field("source", "sheet that says so", "text"),
    ),
    many=True,
)


ZONE: Final = Part("Zone of rings and skirt", (Field("top", "from depth"), Field("bottom", "to")))


PORT: Final = Part(
    "Ports",
    (
        Field("name", "port", "text"),
        Field("top", "from depth"),
        Field("bottom", "to"),
        Field("decides", "readings in it decide", "flag"),
    ),
    many=True,
)


SQUISH: Final = Part(
    "Squish as it was",
    (
        Field("measured", "squish measured"),
        Field("old_gaskets", "old gaskets, compressed"),
        Field("old_compression_height", "old compression height"),
        Field("old_base_gaskets", "of these gaskets, under the cylinder"),
        Field("head_step", "step of the head"),
        Field("base_low", "squish without gaskets and piston, lowest"),
        Field("base_high", "squish without gaskets and piston, highest"),
        Field("squish_before", "squish before"),
        Field("deck_before", "old crown below the top face"),
    ),
)


TEMPERATURES: Final = Part(
    "Temperatures when it was read, °C",
    (
        Field("bore", "bore"),
        Field("piston", "piston"),
        Field("standard", "what the gauge was set in"),
        Field("micrometer", "micrometer on the piston"),
        Field("uncertainty", "each may be off by, K"),
        Field("expansion_uncertainty", "expansions may be off by"),
    ),
)
