"""A catalogue with a shop's own tables of routes and stages."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

from fitsolver.reading.catalogue_columns import REQUIRED, kind_of, names_of
from fitsolver.reading.catalogue_folder import routes_of
from fitsolver.reading.catalogue_row import Row
from fitsolver.reading.catalogue_stages import stages
from fitsolver.reading.hints import missing_file
from fitsolver.reading.owners import JobFile
from fitsolver.reading.sections import Section
from fitsolver.reading.tables import read_table
from fitsolver.reading.toml_file import fingerprint
from fitsolver.records.catalogue import Catalogue


def of_shop(catalogue: Catalogue, file: JobFile) -> Catalogue:
    """Return the catalogue with the routes, stages and currency of the shop that a job is of.

    Raises InputError for a table that is none, for another currency than that of the catalogue's
    prices, and for a family sheet of another standard bore.
    """
    if file.family is not None and file.family.word("family") == catalogue.family:
        _check_bore(file.family, catalogue)
    shop = file.shop
    if shop is None:
        return catalogue
    currency = shop.text("currency")
    if currency and catalogue.currency and currency != catalogue.currency:
        raise shop.error(
            "currency",
            f"the prices of catalogue '{catalogue.name}' are in another one",
            allowed=catalogue.currency,
        )
    changed: dict[str, Any] = {"currency": catalogue.currency or currency}
    routes, of_routes = catalogue.routes, _rows(file, "routes")
    if of_routes is not None:
        routes = changed["routes"] = routes_of(of_routes)
        cut = {route.name for route in routes if route.machined}
        changed["stages"] = tuple(stage for stage in catalogue.stages if stage.route in cut)
    of_stages = _rows(file, "stages")
    if of_stages is not None:
        changed["stages"] = stages(of_stages, routes)
    tables = [rows[0].table.content for rows in (of_routes, of_stages) if rows]
    if all(getattr(catalogue, key) == value for key, value in changed.items()):
        return catalogue
    changed["fingerprint"] = fingerprint([catalogue.fingerprint, currency, *tables])
    return catalogue.model_copy(update=changed)


def _rows(file: JobFile, name: str) -> list[Row] | None:
    """Return the rows of the table that a shop names; None without one that the job takes."""
    shop = file.shop
    if shop is None or name not in shop or name in file.left:
        return None
    path = Path(shop.file).parent / shop.need(name, shop.text(name) or None, "a table")
    if not path.exists():
        raise shop.error(name, missing_file(path))
    table = read_table(path, partial(kind_of, name), names_of(name), REQUIRED[name])
    return [Row(table, number, cells, shop.unit) for number, cells in table.rows]


def _check_bore(sheet: Section, catalogue: Catalogue) -> None:
    bore = sheet.length("standard_bore", above=0)
    if bore is not None and bore != catalogue.standard_bore:
        raise sheet.error(
            "standard_bore",
            f"catalogue '{catalogue.name}' states another one",
            allowed="the same, or in one of the two files only",
        )
