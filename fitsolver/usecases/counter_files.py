"""The verb `counter` on folders: a family by its name, bores as they are typed, nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from pathlib import Path
from typing import Any, Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import TICKS_PER, Unit, typed
from fitsolver.choices.asked import missing
from fitsolver.choices.binding import without_idle_windows
from fitsolver.reading.catalogue_folder import families_of, read_catalogue
from fitsolver.reading.catalogue_tables import HEAD
from fitsolver.reading.counter_words import bore_typed, family_and_sizes, near_family
from fitsolver.reading.family_sheet import FOLDER
from fitsolver.reading.hints import missing_file
from fitsolver.reading.job_file import job_of
from fitsolver.reading.job_keys import KEYS
from fitsolver.reading.job_windows import read_ports, read_zone
from fitsolver.reading.owners import JobFile, nearest_shop, owned, read_shop_head
from fitsolver.reading.sections import Section
from fitsolver.reading.shop_tables import of_shop
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.counter import CounterAnswer
from fitsolver.records.job import Job
from fitsolver.records.readings import PortBand, Zone, decides
from fitsolver.records.windows import OpenFit
from fitsolver.usecases.at_counter import at_counter
from fitsolver.usecases.loading import hold_together

#: The name of the question in messages, and its place.
NAME: Final = "counter"
#: Depths that are tried for readings, from the top to the bottom of the zone, and where there is
#: none (ticks).
_STEPS: Final = 100
_NO_ZONE: Final = Zone(top=TICKS_PER["mm"], bottom=TICKS_PER["mm"] * 50)
#: Where neither the family's sheet nor the shop states a material.
_MATERIAL: Final = "iron"
#: Fits that are never left open here.
_NEEDED: Final = ("clearance", "end_gap")
_OF_READINGS: Final = ("readings_file", "readings_as")


def counter(
    *words: str,
    catalogue: str | Path | None = None,
    kits_only: bool = False,
    in_stock: bool = False,
    unit: Unit | None = None,
) -> CounterAnswer:
    """Return the parts to sell for the bores of one engine, each with one known size.

    The first of `words` name the family, or enough of it to tell it from the others; each other
    one is a bore as people write it (`62.31`, `62,31`, `2.4531in`, `std`, `+0.50`). The catalogue
    is the folder given, else the current one, else that of the shop file here or above. Its
    sentences have figures in `unit`, else in that of the family's sheet. Raises InputError for
    anything else, and as `load` does.
    """
    shop = nearest_shop(Path())
    folder = _folder(catalogue, shop)
    shop = shop or nearest_shop(folder)
    job, parts = equal_job(words, folder, shop, unit)
    return at_counter(job, parts, kits_only=kits_only, in_stock=in_stock)


def catalogue_here(shop: Path | None) -> Path | None:
    """Return the current folder where it is a catalogue, else the one that a shop file names."""
    if Path(HEAD).is_file():
        return Path()
    head = None if shop is None else read_shop_head(shop)
    if shop is None or head is None or not head.text("catalogue"):
        return None
    named = shop.parent / head.text("catalogue")
    if not named.exists():
        raise head.error("catalogue", missing_file(named))
    return named


def _folder(given: str | Path | None, shop: Path | None) -> Path:
    found = catalogue_here(shop) if given is None else Path(given)
    if found is not None and not found.exists():
        raise InputError(missing_file(found), file=str(found), field="catalogue")
    if found is None:
        raise InputError(
            "no catalogue is given, and there is none here",
            field="catalogue",
            allowed=f"--catalogue FOLDER, or a folder with {HEAD} to be in, or a shop.toml here or "
            "above that names one; a list becomes one by: fitsolver intake LIST --into FOLDER",
        )
    return found


def equal_job(
    words: Sequence[str], folder: Path, shop: Path | None, shown_in: Unit | None = None
) -> tuple[Job, Catalogue]:
    """Return the job that a question at the counter stands for, and its catalogue.

    Each cylinder has readings on both axes at two deciding depths, all of the stated size. Windows
    that bind nothing are left out, and fits without a window left open, but for clearance and end
    gap: these must be known. Raises InputError as `counter` does.
    """
    family, sizes = family_and_sizes(words, families_of(folder))
    parts = read_catalogue(folder, family)
    file = _owned(family, len(sizes), parts.unit, folder, shop)
    unit: Unit = parts.unit if file.family is None else file.family.unit
    bounds = near_family([parts.standard_bore, *(p.nominal_bore for p in parts.pistons)])
    bores = [bore_typed(size, unit, parts.standard_bore, bounds) for size in sizes]
    job = _read(file, unit, bores)
    parts = of_shop(parts, file)
    if shown_in is not None:
        job = job.model_copy(update={"unit": shown_in})
        parts = parts.model_copy(update={"unit": shown_in})
    job = without_idle_windows(job, parts)
    job = _left_open(job, parts, folder)
    return job, hold_together(job, parts, NAME)


def _owned(family: str, count: int, unit: Unit, folder: Path, shop: Path | None) -> JobFile:
    """Return the job stated by the family's sheet and the shop, for a number of cylinders."""
    data: dict[str, Any] = {
        "format": 2,
        "name": NAME,
        "units": unit,
        "family": family,
        "cylinder": [{"name": str(number + 1)} for number in range(count)],
    }
    return owned(data, Path(NAME), folder, shop=shop)


def _read(file: JobFile, unit: Unit, bores: Sequence[int]) -> Job:
    """Return the job of sheet and shop, every reading of a bore set to one size (ticks)."""
    data = copy(file.data)  # with where each figure stands
    data["units"] = unit
    top = Section(data, KEYS[""], file=NAME, place="", unit=unit)
    depths = _depths(read_zone(top), read_ports(top) or ())
    data["cylinder"] = [
        {
            "material": _MATERIAL,
            **{key: value for key, value in cylinder.items() if key not in _OF_READINGS},
            "readings": [
                [typed(depth, unit), axis, typed(size, unit)]
                for depth in depths
                for axis in ("thrust", "pin")
            ],
        }
        for cylinder, size in zip(data["cylinder"], bores, strict=True)
    ]
    return job_of(data, Path(NAME), None)


def _depths(zone: Zone | None, ports: tuple[PortBand, ...]) -> tuple[int, int]:
    """Return the highest and the lowest of the depths tried at which readings decide."""
    span = zone or _NO_ZONE
    step = max(1, (span.bottom - span.top) // _STEPS)
    tried = range(span.top, span.bottom + 1, step)
    found = [depth for depth in tried if decides(depth, zone, ports)]
    if len(found) < 2:
        raise InputError(
            "no reading would decide: ports cover the zone",
            file=NAME,
            field="zone",
            allowed="a zone of the family's sheet that is more than its ports",
        )
    return found[0], found[-1]


def _left_open(job: Job, parts: Catalogue, folder: Path) -> Job:
    """Return the job with every fit left open that has no window in sheet or shop.

    Raises InputError where that is the clearance or an end gap: without these every part would fit.
    """
    lacking = missing(job, parts)
    needed = [place for place in lacking if place.fit in _NEEDED]
    if needed:
        raise InputError(
            f"family {parts.family} has no window for: {', '.join(p.words for p in needed)}",
            file=str(folder),
            field="window",
            allowed=f"in its sheet (family.toml, or a file in {FOLDER}): [[window]] with "
            f'fit = "{needed[0].fit}", low = ..., high = ..., from the maker\'s own sheet',
        )
    opened = tuple(OpenFit(fit=place.fit, groove=place.groove) for place in lacking)
    return job.model_copy(update={"no_window": (*job.no_window, *opened)})
