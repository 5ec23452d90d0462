"""A job's figures split at random between a shop file, a family sheet and the job."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from random import Random
from typing import Any, Final

from fitsolver.reading.job_keys import OF_FAMILY, OF_SHOP
from fitsolver.reading.job_text import job_text
from fitsolver.reading.toml_file import parse_toml
from fitsolver.reading.toml_text import plain_toml
from fitsolver.records.base import THOUSANDTHS
from fitsolver.records.job import Job

FAMILY: Final = "drawn"
_OWNERS: Final = ("job", "family", "shop")
_TABLES: Final = ("engine", "zone", "finish", "measuring")
#: Bare numbers that are lengths, in the unit of the file they stand in.
_LENGTHS: Final = (
    *("stroke", "pin_diameter", "bore_limit", "rod_length", "deck_height", "head_step"),
    *("top", "bottom", "wear_per_rebuild", "form_allowance"),
)
_EDGES: Final = ("low", "high", "service_low", "service_high", "guard", "aim")
#: Figures that no drawn job has: where they show, a sheet outranked the job.
_DECOYS: Final = {"stroke": "999 mm", "pin_diameter": "99 mm", "bore_limit": "7 mm"}


def split(job: Job, random: Random, folder: Path) -> Path:
    """Write family.toml, shop.toml and job.toml that state this job together; return the last.

    Lower owners also state other figures for what a higher one states, which outranks them.
    """
    data = parse_toml(job_text(job), folder / "drawn.toml")
    data["family"] = FAMILY
    owned: dict[str, dict[str, Any]] = {owner: {} for owner in _OWNERS}
    units = {owner: random.choice(("mm", "in", "um")) for owner in _OWNERS} | {"job": data["units"]}
    for key, value in data.items():
        if key == "window":
            _split_windows(value, owned, random)
        elif key in _TABLES:
            for inner, figure in value.items():
                owner = _owner(key, random) if inner != "other_bores" else "job"
                owned[owner].setdefault(key, {})[inner] = figure
                if key == "engine" and inner in _DECOYS and owner == "job":
                    owned["family"].setdefault(key, {})[inner] = _DECOYS[inner]
        elif key != "cylinder":
            owned[_owner(key, random)][key] = value
    _split_cylinders(data["cylinder"], owned, random)
    for owner in ("family", "shop"):
        if units[owner] != data["units"]:
            owned[owner] = _with_units(owned[owner], data["units"])
    heads = {
        "job": {"format": 2},
        "family": {"format": 1, "family": FAMILY, "units": units["family"]},
        "shop": {"format": 1, "name": "drawn shop", "units": units["shop"]},
    }
    for owner in _OWNERS:
        # Inline tables first: a key behind a [[section]] would belong to it.
        text = plain_toml({**owned[owner], **heads[owner]})
        (folder / f"{owner}.toml").write_text(text, encoding="utf-8")
    return folder / "job.toml"


def _owner(key: str, random: Random) -> str:
    may = ["job", *(["family"] if key in OF_FAMILY else []), *(["shop"] if key in OF_SHOP else [])]
    return random.choice(may)


def _split_windows(
    windows: list[dict[str, Any]], owned: dict[str, dict[str, Any]], random: Random
) -> None:
    """Give all windows of one fit to one owner, and other ones for it to those below."""
    for fit in dict.fromkeys(window["fit"] for window in windows):
        own = [window for window in windows if window["fit"] == fit]
        owner = random.choice(_OWNERS)
        owned[owner].setdefault("window", []).extend(own)
        for lower in _OWNERS[_OWNERS.index(owner) + 1 :]:
            if random.random() < 0.5:
                decoys = [
                    {k: v for k, v in w.items() if k not in _EDGES} | {"high": 77} for w in own
                ]
                owned[lower].setdefault("window", []).extend(decoys)


def _split_cylinders(
    cylinders: list[dict[str, Any]], owned: dict[str, dict[str, Any]], random: Random
) -> None:
    material = cylinders[0]["material"]
    if random.random() < 0.5:
        owner = random.choice(_OWNERS)
        owned[owner]["each_cylinder"] = {"material": material}
        cylinders = [
            {k: v for k, v in one.items() if k != "material" or v != material} for one in cylinders
        ]
        if owner == "job":
            owned["family"]["each_cylinder"] = {"material": "cheese"}
    owned["job"]["cylinder"] = cylinders


def _with_units(data: dict[str, Any], unit: str) -> dict[str, Any]:
    """Return a sheet whose bare lengths carry their unit."""
    found: dict[str, Any] = {}
    for key, value in data.items():
        if key == "window":
            found[key] = [_window_with_units(window, unit) for window in value]
        elif key == "port":
            found[key] = [_with_units(port, unit) for port in value]
        elif isinstance(value, dict):
            found[key] = _with_units(value, unit)
        else:
            found[key] = _text(value, unit) if key in _LENGTHS else value
    return found


def _window_with_units(window: dict[str, Any], unit: str) -> dict[str, Any]:
    if window.get("per_bore"):
        plain: tuple[str, ...] = ("guard", "aim")
    else:
        plain = () if window["fit"] in THOUSANDTHS else _EDGES
    return {k: _text(v, unit) if k in plain else v for k, v in window.items()}


def _text(value: Any, unit: str) -> Any:
    return f"{value} {unit}" if isinstance(value, int | Decimal) else value
