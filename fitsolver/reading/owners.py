"""A job file with the family sheet and the shop file that it takes figures from."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Final, NamedTuple

from fitsolver.base.errors import InputError
from fitsolver.reading.family_sheet import read_figures, sheet_of
from fitsolver.reading.files import Parts
from fitsolver.reading.hints import unknown
from fitsolver.reading.job_keys import EACH, KEYS, OF_FAMILY, OF_SHEETS, OF_SHOP, SHOP_KEYS
from fitsolver.reading.known_keys import unknown_keys
from fitsolver.reading.owned import Layer, Source
from fitsolver.reading.precedence import fitted, has, laid_over, numbered, without
from fitsolver.reading.sections import UNITS, Section
from fitsolver.reading.toml_file import read_toml
from fitsolver.records.base import Owner

SHOP: Final = "shop.toml"
#: The format of a job that takes figures from the sheet of its family and from its shop.
WITH_SHEETS: Final = 2


#: Tables of its own that a shop may name.
OF_TABLES: Final = ("routes", "stages")


class JobFile(NamedTuple):
    """The content of a job file with all that its sheet and shop state in its place.

    `lower` is what these state, `left` which of the shop's tables the job does without.
    """

    data: dict[str, Any]
    family: Section | None = None
    shop: Section | None = None
    lower: tuple[Layer, ...] = ()
    left: tuple[str, ...] = ()


def read_owned(path: Path, catalogue: Path | None = None, *, shop: Path | None = None) -> JobFile:
    """Return the content of a job file; in format 2 with the figures of its sheet and shop.

    The sheet is looked for in the folder `catalogue` and then in the one that the job or its shop
    names; `shop` goes before a shop file beside or above the job. Raises InputError with file,
    section and field for files that are none and for a family that no sheet is of.
    """
    return owned(read_toml(path), path, catalogue, shop=shop)


def with_family(data: dict[str, Any], path: Path, catalogue: Parts) -> dict[str, Any]:
    """Return the content of a job with the figures of its family's sheet, none of a shop.

    No file that the job names is opened: `catalogue` is the folder, `path` what messages call the
    job; they name the sheet without its folder.
    """
    if not takes_from_sheets(data):
        return data
    job = _job(data, path)
    if "shop" in job:
        raise job.error("shop", "there is no shop file here", allowed="a job that names none")
    try:
        return _laid(job, None, catalogue, short=True).data
    except InputError as error:
        error.file = Path(error.file).name
        raise


def owned(
    data: dict[str, Any], path: Path, catalogue: Path | None = None, *, shop: Path | None = None
) -> JobFile:
    """Return the same of the content of a job file; `path` is where it stands."""
    if not takes_from_sheets(data):
        return JobFile(data)
    job = _job(data, path)
    return _laid(job, _shop(job, path, shop), catalogue)


def _job(data: dict[str, Any], path: Path) -> Section:
    keys = (*KEYS[""], *OF_SHEETS)
    unknown_keys(data, keys, str(path)).check()
    job = Section(data, keys, file=str(path), place="")
    job.unit = job.choice("units", UNITS)
    job.section("each_cylinder", EACH)
    return job


def _laid(
    job: Section, of_shop: Section | None, catalogue: Parts | None, *, short: bool = False
) -> JobFile:
    """Return the job laid over its family's sheet and its shop."""
    own = {key: value for key, value in job.data.items() if key not in ("shop", "without")}
    own["format"] = 1
    here = Path(job.file).parent
    named = None if short else _catalogue(job, of_shop)
    if named is not None and "catalogue" not in own:
        own["catalogue"] = Path(os.path.relpath(named, here)).as_posix()
    sheet = sheet_of([folder for folder in (catalogue, named) if folder is not None], job)
    if sheet is not None:
        own["family"] = sheet.word("family")
        sheet.file = Path(sheet.file).name if short else sheet.file
    lower = [] if sheet is None else [layer(sheet, "family sheet", OF_FAMILY)]
    lower += [] if of_shop is None else [layer(of_shop, "shop", OF_SHOP)]
    left = tuple(name for name in job.words("without") if _is_table(name, of_shop))
    lower = _without(job, lower, left)
    whole = laid_over([numbered(Layer(own, _source(job, "job"))), *lower])
    return JobFile(whole, sheet, of_shop, tuple(lower), left)


def _catalogue(job: Section, of_shop: Section | None) -> Path | None:
    """Return the catalogue folder that a job names, else its shop."""
    for section in (job, of_shop):
        if section is not None and "catalogue" in section:
            return Path(section.file).parent / section.text("catalogue")
    return None


def _is_table(name: str, shop: Section | None) -> bool:
    return name in OF_TABLES and shop is not None and name in shop


def takes_from_sheets(data: dict[str, Any]) -> bool:
    """Tell whether a job's content is of the format that takes figures from a sheet."""
    value = data.get("format")
    return value == WITH_SHEETS and not isinstance(value, bool)


def layer(section: Section, owner: Owner, keys: Iterable[str]) -> Layer:
    """Return the entries that a sheet or shop states in a job's place."""
    own = {key: section.data[key] for key in keys if key in section.data}
    return numbered(Layer(own, _source(section, owner)))


def _source(section: Section, owner: Owner) -> Source:
    return Source(section.file, section.unit, owner)


def _shop(job: Section, path: Path, given: Path | None) -> Section | None:
    """Return the shop that the job names ("": none), else the nearest one beside or above it."""
    if job.data.get("shop") == "":
        return None
    if "shop" in job:
        named = path.parent / job.text("shop")
        return read_shop_head(named / SHOP if named.is_dir() else named)
    if given is not None:
        return read_shop_head(given)
    found = nearest_shop(path.parent)
    return None if found is None else read_shop_head(found)


def nearest_shop(folder: Path) -> Path | None:
    """Return the shop file in a folder, or in the nearest one above it that has one."""
    here = Path(os.path.normpath(folder.absolute()))
    for place in (here, *here.parents):
        if (place / SHOP).is_file():
            return folder / os.path.relpath(place / SHOP, here)
    return None


def read_shop_head(file: Path) -> Section:
    """Return a shop file whose keys are known; raises InputError with file, section, field."""
    return read_figures(file, SHOP_KEYS)


def _without(job: Section, lower: list[Layer], known: tuple[str, ...]) -> list[Layer]:
    """Return the lower layers without the figures that the job does without, each in one."""
    left = lower
    for name in job.words("without"):
        if name in known:
            continue
        left = [Layer(leaving(layer.data, name), layer.source) for layer in left]
        if all(leaving(layer.data, name) is layer.data for layer in lower):
            names = dict.fromkeys(unit for layer in lower for unit in stated(layer.data))
            raise unknown("figure of a sheet", name, names, file=job.file, field="without")
    return left


def leaving(data: dict[str, Any], name: str) -> dict[str, Any]:
    """Return a table without a figure, named as in `without`; itself where it has none such."""
    if name.partition(".")[0] != "window":
        return without(data, name)
    windows = data.get("window")
    if not isinstance(windows, list):
        return data
    kept = [window for window in windows if not _is_named(window, name)]
    return data if len(kept) == len(windows) else {**data, "window": kept}


def _is_named(window: object, name: str) -> bool:
    """Tell whether a name is of a window: `window.end_gap` of every one of that fit."""
    own = window_name(window)
    return own == name or own.startswith(name + ".") or name == "window"


def window_name(window: object) -> str:
    """Return a window's name as `without` says it: `window.end_gap.1`."""
    of = fitted(window)
    parts = () if of is None else (of.fit, of.groove if of.groove is not None else of.port)
    return ".".join(["window", *(str(part) for part in parts if part is not None)])


def stated(data: dict[str, Any]) -> Iterable[str]:
    """Yield the figures that a sheet states, as `without` names them."""
    for key, value in data.items():
        if key == "window" and isinstance(value, list):
            yield from map(window_name, value)
        elif isinstance(value, dict) and value:
            yield from (f"{key}.{inner}" for inner in stated(value))
        elif has(data, key):
            yield key
