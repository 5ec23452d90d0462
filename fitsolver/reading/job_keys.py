"""The keys of a job file, section by section (docs/formats.md explains each)."""

from __future__ import annotations

from typing import Final

#: The sections of a job file; "" is the top of the file.
KEYS: Final[dict[str, tuple[str, ...]]] = {
    "": (
        "format", "name", "note", "units", "catalogue", "family", "convention", "best",
        "finish", "engine", "terms", "zone", "port", "window", "squish", "gasket_place",
        "in_hand", "same_size", "mass_match", "cylinder",
    ),
    "finish": ("how", "routes"),
    "engine": (
        "stroke", "pin_diameter", "displacement_limit", "other_bores", "bore_limit",
        "rod_length", "deck_height", "head_step", "rise",
    ),
    "engine.rise": ("bore", "piston", "ring", "bore_alloy", "piston_alloy", "ring_alloy"),
    "terms": ("order_date", "needed_by", "needed_in_days", "budget"),
    "zone": ("top", "bottom"),
    "port": ("name", "top", "bottom", "decides"),
    "window": (
        "fit", "low", "high", "service_low", "service_high", "per_bore", "groove", "guard",
        "source",
    ),
    "squish": (
        "measured", "old_gaskets", "old_compression_height", "base_low", "base_high",
    ),
    "gasket_place": ("place", "least", "most", "shared"),
    "in_hand": ("number", "count", "size", "mass", "gap", "gap_bore", "kept", "cylinder"),
    "same_size": ("cylinders",),
    "mass_match": ("cylinders", "limit", "source"),
    "cylinder": (
        "name", "material", "scratch", "zone", "port", "window", "squish", "unworn",
        "bore_limit", "routes", "route", "piston", "piston_size", "piston_mass", "piston_kept",
        "rings", "finished_size", "finished_half_width", "readings", "readings_file",
        "readings_as", "zero", "zero_piston", "accept_outliers",
    ),
    "cylinder.rings": ("groove", "number"),
    "cylinder.readings": ("depth", "axis", "size", "dial"),
}
