"""Every key and column that the readers accept is on the page of formats, and no other is."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from fitsolver.reading.catalogue_columns import CATALOGUE_KEYS, COLUMNS, GROOVE_COLUMNS
from fitsolver.reading.gauge_table import GAUGE_COLUMNS
from fitsolver.reading.job_keys import EACH, FAMILY_KEYS, KEYS, OF_SHEETS, SHOP_KEYS
from fitsolver.reading.job_template import NewJob, job_template
from fitsolver.reading.readings import SUFFIXES
from fitsolver.reading.readings_sheet import SHEET_COLUMNS
from tests.bench.fuzz_kinds import KINDS

ROOT = Path(__file__).parents[3]
PAGE = ROOT / "docs" / "formats.md"
START = ROOT / "fitsolver" / "page" / "templates" / "start.html"
SOLD = ("family", "price", "stock", "lead_days", "least_order", "replaces", "same_as")
REPEATED = (
    "port",
    "window",
    "gasket_place",
    "in_hand",
    "same_size",
    "mass_match",
    "instrument",
    "cylinder",
)


#: What `tests.bench.fuzz` spoils of each kind of file, by the heading of its table of keys.
SPOILED = {
    "Family sheet": "family sheet",
    "Shop file": "shop of a job",
    "Readings sheet": "readings, CSV",
    "Gauge table": "gauge readings",
    "`catalogue.toml`": "catalogue: catalogue.toml",
    "Price, stock and lead time": "old numbers",
    "`windows`": "windows of parts",
    **{
        f"`{name}`": f"catalogue: {name}.csv"
        for name in ("pistons", "rings", "gaskets", "kits", "routes", "stages")
    },
}


def _heading(section: str) -> str:
    if not section:
        return "Top of the file"
    repeated = section in REPEATED or section.startswith("cylinder.")
    return f"`[[{section}]]`" if repeated else f"`[{section}]`"


def _sections() -> dict[str, tuple[str, ...]]:
    """Each heading of the page that has a table of keys, with the keys the readers accept."""
    job = {_heading(section): keys for section, keys in KEYS.items()}
    tables = {
        f"`{name}`": tuple(key for key in columns if key not in SOLD)
        + (GROOVE_COLUMNS if name == "pistons" else ())
        for name, columns in COLUMNS.items()
    }
    return {
        **job,
        **tables,
        "Figures from sheets": OF_SHEETS,
        "`[each_cylinder]`": EACH,
        "Family sheet": FAMILY_KEYS,
        "Shop file": SHOP_KEYS,
        "Readings sheet": tuple(SHEET_COLUMNS),
        "Gauge table": tuple(GAUGE_COLUMNS),
        "`catalogue.toml`": CATALOGUE_KEYS,
        "Price, stock and lead time": SOLD,
    }


def _documented() -> dict[str, set[str]]:
    """The keys in the first column of the table below each heading."""
    found: dict[str, set[str]] = {}
    heading = ""
    for line in PAGE.read_text(encoding="utf-8").splitlines():
        if line.startswith("#"):
            heading = line.lstrip("# ")
        elif line.startswith("| `"):
            first = line.split("|")[1]
            found.setdefault(heading, set()).update(re.findall(r"`([^`]+)`", first))
    return found


@pytest.mark.parametrize("heading", _sections())
def test_fields_are_documented(heading: str) -> None:
    assert _documented()[heading] == set(_sections()[heading])


def test_no_section_is_documented_that_is_not_read() -> None:
    assert set(_documented()) == set(_sections())


def test_every_kind_of_file_is_spoiled_somewhere() -> None:
    of_a_job = {*map(_heading, KEYS), "Figures from sheets", "`[each_cylinder]`"}
    assert set(SPOILED) == set(_sections()) - of_a_job
    assert set(SPOILED.values()) <= {kind.name for kind in KINDS}


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_kinds_of_readings_sheets_are_documented_and_offered(suffix: str) -> None:
    text = PAGE.read_text(encoding="utf-8")
    assert f"`{suffix}`" in text.partition("## Readings sheet")[2].partition("\n## ")[0]
    [offered] = re.findall(r'name="files" [^>]*accept="([^"]*)"', START.read_text(encoding="utf-8"))
    assert suffix in offered.split(",")


@pytest.mark.parametrize("section", KEYS)
def test_the_new_job_file_shows_every_key(section: str) -> None:
    """Except the squish base, which is figured, and a reading's keys, which stand in rows."""
    text = job_template(NewJob("all keys"))
    shown = set(re.findall(r"([a-z_]+) =|\[+(?:cylinder\.)?([a-z_.]+)\]", text))
    names = {name.removeprefix("engine.") for pair in shown for name in pair if name}
    figured = {"base_low", "base_high", "squish_before", "deck_before"}
    left_out = figured if section == "squish" else set()
    if section == "cylinder.readings":
        return
    if section == "window":
        left_out = {"service_low"}
        assert "service_low" in text
    assert set(KEYS[section]) - left_out <= names
