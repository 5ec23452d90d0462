"""Every field that a job can have, as the page asks for it: its label, its kind, its choices.

A field is named by its path in the job: `engine.stroke`, `window.0.low`, `cylinder.1.scratch`.
"""

from __future__ import annotations

from typing import Final, Literal, NamedTuple, get_args

from fitsolver.base.lengths import Unit
from fitsolver.reading.job_file import CONVENTIONS, FINISHINGS
from fitsolver.records.base import FITS
from fitsolver.records.rules import LIMITS

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


def _choices(words: tuple[str, ...]) -> tuple[str, ...]:
    return ("", *words)


_WINDOW: Final = Part(
    "Windows",
    (
        Field("fit", "fit", "choice", _choices(FITS)),
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
_ZONE: Final = Part("Zone of rings and skirt", (Field("top", "from depth"), Field("bottom", "to")))
_PORT: Final = Part(
    "Ports",
    (
        Field("name", "port", "text"),
        Field("top", "from depth"),
        Field("bottom", "to"),
        Field("decides", "readings in it decide", "flag"),
    ),
    many=True,
)
_SQUISH: Final = Part(
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
_TEMPERATURES: Final = Part(
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
_LIMIT_LABELS: Final = {"bore_limit": "largest bore"}

#: The parts of a job by their path; `cylinder.X` stands within every cylinder.
PARTS: Final[dict[str, Part]] = {
    "": Part(
        "Job",
        (
            Field("name", "name of the job", "text"),
            Field("note", "note", "text"),
            Field("units", "lengths in", "choice", get_args(Unit)),
            Field("catalogue", "catalogue", "choice"),
            Field("family", "engine family", "text"),
            Field("use", "used for", "text", hint="as the makers of the parts say: street"),
            Field("convention", "form is figured", "choice", _choices(CONVENTIONS)),
            Field("best", "what counts first", "names", hint="commas between"),
            Field("wear_per_rebuild", "wear until the next rebuild"),
            Field("no_window", "fits left open", "names", hint="commas between"),
            Field("accept", "doubted figures that are taken", "names"),
            Field(
                "without",
                "figures of the sheet that do not hold here",
                "names",
                hint="commas between",
            ),
        ),
    ),
    "each_cylinder": Part(
        "Every cylinder",
        (
            Field("material", "bore material", "text"),
            Field("readings_as", "figures are", "choice", ("", "diameter", "dial")),
        ),
    ),
    "finish": Part(
        "Finishing",
        (
            Field("how", "finishing", "choice", _choices(FINISHINGS)),
            Field("routes", "only these routes", "names"),
        ),
    ),
    "engine": Part(
        "Engine",
        (
            Field("stroke", "stroke"),
            Field("pin_diameter", "pin diameter"),
            *(Field(item.key, _LIMIT_LABELS.get(item.key, item.key)) for item in LIMITS),
            Field("displacement_limit", "displacement limit", hint="with cm3, l or in3"),
            Field("other_bores", "other bores of this engine", "figures"),
            Field("rod_length", "rod length, between centres"),
            Field("chamber_volume", "chamber volume", hint="with cm3"),
            Field("deck_height", "deck height, crank axis to deck"),
            Field("head_step", "step of the head"),
        ),
    ),
    "engine.rise": Part(
        "Running hotter than 20 °C by, K",
        (
            Field("bore", "bore", "count"),
            Field("piston", "piston", "count"),
            Field("ring", "rings", "count"),
            Field("bore_alloy", "bore alloy", "text"),
            Field("piston_alloy", "piston alloy", "text"),
            Field("ring_alloy", "ring alloy", "text"),
        ),
    ),
    "terms": Part(
        "Terms",
        (
            Field("order_date", "ordered on", "date"),
            Field("needed_in_days", "needed in days", "count"),
            Field("needed_by", "needed by", "date"),
            Field("budget", "budget"),
        ),
    ),
    "zone": _ZONE,
    "port": _PORT,
    "window": _WINDOW,
    "squish": _SQUISH,
    "gasket_place": Part(
        "Gasket stacks",
        (
            Field("place", "place", "text"),
            Field("least", "fewest", "count"),
            Field("most", "most", "count"),
            Field("shared", "one for all cylinders", "flag"),
        ),
        many=True,
    ),
    "in_hand": Part(
        "Parts in hand",
        (
            Field("number", "part number", "text"),
            Field("count", "pieces", "count"),
            Field("size", "skirt measured"),
            Field("mass", "mass, g"),
            Field("gap", "gap measured"),
            Field("gap_next", "next blade, does not go in"),
            Field("gap_bore", "in a bore of"),
            Field("kept", "used, stays in", "flag"),
            Field("cylinder", "only for cylinder", "text"),
        ),
        many=True,
    ),
    "same_size": Part(
        "Pistons of one oversize in",
        (Field("cylinders", "cylinders", "names", hint="empty: every one"),),
        many=True,
    ),
    "mass_match": Part(
        "Pistons of matching mass",
        (
            Field("cylinders", "cylinders", "names", hint="empty: every one"),
            Field("limit", "largest difference, g"),
            Field("source", "sheet that says so", "text"),
        ),
        many=True,
    ),
    "measuring": Part(
        "How sure the readings are",
        (
            Field(
                "instruments",
                "instruments",
                "choice",
                _choices(("everyday set", "fine set")),
            ),
            Field("setting", "gauge set in a", "choice", _choices(("micrometer", "master"))),
            Field("decision", "decision", "choice", _choices(("plain", "guarded"))),
            Field("factor", "factor of the measuring allowance"),
            Field("probability", "how likely a fit is to be right, wanted"),
            Field("form_allowance", "bore may lie beyond its readings by"),
            Field("read_by", "read by", "text"),
        ),
    ),
    "instrument": Part(
        "Instruments of your own",
        (
            Field(
                "kind",
                "instrument",
                "choice",
                _choices(("outside micrometer", "bore gauge", "setting master", "feeler gauge")),
            ),
            Field("name", "name", "text"),
            Field("permissible_error", "permissible error"),
            Field("standard_uncertainty", "standard uncertainty"),
            Field("resolution", "resolution"),
            Field("repeatability", "repeatability"),
            Field("reproducibility", "between people"),
            Field("expansion", "expansion per K"),
            Field("basis", "where the figures come from", "text"),
        ),
        many=True,
    ),
    "temperatures": _TEMPERATURES,
    "cylinder": Part(
        "Cylinder",
        (
            Field("name", "cylinder", "text"),
            Field("marking", "marking, for the book", "text"),
            Field("material", "bore material", "text"),
            Field("scratch", "deepest scratch"),
            Field("unworn", "unworn size"),
            *(
                Field(item.key, _LIMIT_LABELS.get(item.key, item.key))
                for item in LIMITS
                if item.own
            ),
            Field("readings_as", "figures are", "choice", ("", "diameter", "dial")),
            Field("zero", "gauge zeroed at"),
            Field("zero_on_piston", "on the old piston", "flag"),
            Field("finished_size", "finished size"),
            Field("finished_half_width", "held within ± of it"),
            Field("wear_per_rebuild", "wear until the next rebuild"),
            Field("form_allowance", "bore may lie beyond its readings by"),
            Field("read_by", "read by", "text"),
            Field("routes", "only these routes", "names"),
            Field("route", "exactly this route", "text"),
            Field("piston", "exactly this piston", "text"),
            Field("piston_size", "that piston, measured"),
            Field("piston_mass", "its mass, g"),
            Field("piston_kept", "it stays in", "flag"),
        ),
        many=True,
    ),
    "cylinder.zone": _ZONE,
    "cylinder.port": _PORT,
    "cylinder.window": _WINDOW,
    "cylinder.squish": _SQUISH,
    "cylinder.temperatures": _TEMPERATURES,
    "cylinder.rings": Part(
        "Exactly these rings",
        (Field("groove", "groove", "count"), Field("number", "part number", "text")),
        many=True,
    ),
    "cylinder.earlier": Part(
        "Earlier records, oldest first",
        (
            Field("date", "found on", "date"),
            Field("left", "left the rebuild before with"),
            Field("found", "found with"),
            Field("uncertainty", "uncertainty"),
        ),
        many=True,
    ),
}
_FIELDS: Final = {part: {field.key: field for field in PARTS[part].fields} for part in PARTS}


def part_of(path: str) -> str:
    """Return the part of a path without its numbers: `cylinder.window` of `cylinder.0.window.1`."""
    return ".".join(piece for piece in path.split(".") if not piece.isdecimal())


def field_of(path: str) -> Field | None:
    """Return the field of a path; None where a job has no such field."""
    part, _, key = path.rpartition(".")
    return _FIELDS.get(part_of(part), {}).get(key)


def label_of(key: str) -> str:
    """Return what the page calls a key of a job, wherever it stands; the key's words else."""
    for fields in _FIELDS.values():
        if key in fields:
            return fields[key].label
    return next((p.title for path, p in PARTS.items() if path == key), key.replace("_", " "))
