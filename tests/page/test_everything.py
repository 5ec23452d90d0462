"""The form can say everything: the fields of the records are those that the page offers."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import get_args

import pytest
from pydantic import BaseModel

from fitsolver.page import content, entered, family_shown
from fitsolver.page.bench import FILE
from fitsolver.page.fields import PARTS, part_of
from fitsolver.reading.catalogue_columns import COLUMNS
from fitsolver.reading.job_file import job_of, read_job
from fitsolver.reading.job_keys import EACH, FAMILY_KEYS, KEYS, OF_SHEETS, OF_SHOP
from fitsolver.reading.job_text import job_content
from fitsolver.records.job import Job
from fitsolver.usecases import catalogue_change

from .serving import DEMOS
from .typed import put

DEMO_JOBS = (
    "pump/job", "pump/earlier", "pump/ladder", "launch/job", "brushsaw/job", "brushsaw/guarded",
    "brushsaw/finished", "brushsaw/stack", "brushsaw/timing",
)  # fmt: skip
#: Keys of a job that are no fields: what stands in a grid, a table, or is the page's own.
NOT_FIELDS = {
    "": {"format", "shop"},
    "each_cylinder": {"readings_file"},
    "cylinder": {"readings", "readings_file", "zero_piston", "accept_outliers"},
}
#: What the page puts in place of such keys.
OWN_FIELDS = {"cylinder": {"zero_on_piston"}}
#: Fields that nobody types: what the program says of a file.
FILLED_IN = {"Job.format", "Job.fingerprint"}


def jobs() -> Iterator[tuple[str, Job]]:
    for which in DEMO_JOBS:
        yield which, read_job(DEMOS / f"{which}.toml")
    yield "what they have no use for", the_rest()


def the_rest() -> Job:
    """Return the pump's job with what no demonstration states. Invented, and never decided."""
    data = job_content(read_job(DEMOS / "pump" / "job.toml"))
    data |= {
        "use": "street",
        "convention": "six readings",
        "best": ["price", "part_number"],
        "no_window": ["ring_seat 2"],
        "accept": ["zone"],
    }
    data["engine"]["other_bores"] = ["62.5"]
    data["in_hand"] = [
        {"number": "PR1-050", "gap": "0.35", "gap_next": "0.4", "gap_bore": "62.5"},
        {"number": "PG-H", "count": 2},
    ]
    data["window"][0] |= {"aim": "0.001", "service_low": "0.05", "service_high": "0.11"}
    data["window"][0].pop("per_bore", None)
    data["window"][0] |= {"low": "0.05", "high": "0.09"}
    instrument = {
        "kind": "bore gauge", "name": "ours", "resolution": "1 um", "repeatability": "1 um",
        "expansion": "10.5e-6", "basis": "certificate",
    }  # fmt: skip
    data["instrument"] = [
        {**instrument, "permissible_error": "2 um", "reproducibility": "2 um"},
        {**instrument, "kind": "setting master", "standard_uncertainty": "1 um"},
    ]
    data["measuring"] = {
        "setting": "master", "decision": "guarded", "factor": "1.6", "form_allowance": "1 um",
        "read_by": "one",
    }  # fmt: skip
    first, second = data["cylinder"]
    first |= {
        "marking": "A 7", "bore_limit": "63", "form_allowance": "2 um", "read_by": "two",
        "unworn": "62.01", "wear_per_rebuild": "0.1", "routes": ["finish hone"],
        "temperatures": {"bore": "24", "expansion_uncertainty": "10 %", "uncertainty": "1"},
        "piston": "PP-050A", "piston_size": "62.44", "piston_mass": "199.3", "piston_kept": True,
    }  # fmt: skip
    first["port"] = [{"name": "inlet", "top": "60", "bottom": "70", "decides": True}]
    first["readings"] += [dict(first["readings"][0])]
    rebuilt = {"date": date(2020, 1, 2), "left": "62.1", "found": "62.2"}
    first["earlier"] = [{**rebuilt, "uncertainty": "1 um"}]
    second["squish"]["head_step"] = "0.1"
    second |= {"route": "finish hone", "finished_size": "62.5", "finished_half_width": "0.004"}
    for key in ("readings", "zero", "zero_piston"):
        second.pop(key, None)
    return job_of(data, FILE, None)


def records(kind: object) -> Iterator[type[BaseModel]]:
    """Yield a record and those within it."""
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        yield kind
        for field in kind.model_fields.values():
            if not field.exclude:
                yield from records(field.annotation)
    for inner in get_args(kind):
        yield from records(inner)


def stated(value: object) -> Iterator[str]:
    """Yield the fields of a record that say something else than what holds without them."""
    if isinstance(value, BaseModel):
        for name, field in type(value).model_fields.items():
            own = getattr(value, name)
            if field.is_required() or own != field.get_default(call_default_factory=True):
                yield f"{type(value).__name__}.{name}"
            yield from stated(own)
    elif isinstance(value, tuple):
        for item in value:
            yield from stated(item)


def keys_of(part: str) -> Iterator[str]:
    """Yield the keys that a job file knows in a part, its inner parts left out."""
    known = {**KEYS, "each_cylinder": EACH, "": (*KEYS[""], *OF_SHEETS)}
    name = part if part in known else part.rpartition(".")[2]
    inner = {path.rpartition(".")[2] for path in PARTS if path and path.rpartition(".")[0] == part}
    yield from (key for key in known[name] if key not in inner)


@pytest.mark.parametrize("part", PARTS)
def test_every_key_of_a_job_file_is_a_field(part: str) -> None:
    has = {field.key for field in PARTS[part].fields} - OWN_FIELDS.get(part, set())
    assert has | NOT_FIELDS.get(part, set()) == set(keys_of(part))


@pytest.mark.parametrize("which", dict(jobs()))
def test_a_job_typed_field_by_field_is_that_job(which: str) -> None:
    """Begun empty, each field put in; read back, the records are equal."""
    typed_is_read(dict(jobs())[which])


def typed_is_read(job: Job) -> None:
    written = job_content(job)
    names = [item["name"] for item in written["cylinder"]]
    empty: content.Content = {"format": 1, "cylinder": [{"name": name} for name in names]}
    typed = put(empty, empty, entered.entries(written))
    again = job_of(content.for_reading(typed), FILE, None)
    assert again.model_dump(exclude={"fingerprint"}) == job.model_dump(exclude={"fingerprint"})


def test_these_jobs_state_every_field_of_the_record() -> None:
    every = {
        f"{kind.__name__}.{name}"
        for kind in records(Job)
        for name, field in kind.model_fields.items()
        if not field.exclude  # filled in where a job is made ready
    }
    told = {name for _, job in jobs() for name in stated(job)}
    assert every - told - FILLED_IN == set()


def paths(keys: tuple[str, ...], within: str = "") -> Iterator[str]:
    """Yield the paths of keys, those of sections key by key."""
    for key in keys:
        at = f"{within}.{key}" if within else key
        inner = EACH if at == "each_cylinder" else KEYS.get(at)
        if inner is None:
            yield at
        else:
            yield from paths(inner, at)


def test_every_figure_of_a_family_sheet_can_be_typed() -> None:
    offered = {part_of(figure.path) for group in family_shown.groups({}) for figure in group.every}
    files = {"format", "family", "units", "each_cylinder.readings_file"}
    assert offered - {"same_size"} == set(paths(FAMILY_KEYS)) - files


def test_every_figure_of_a_shop_can_be_typed() -> None:
    """Its tables are rows of a catalogue; what it states for jobs is a field of each."""
    for table, key in catalogue_change.OF_SHOP.items():
        assert {key, *catalogue_change.CORRECTED[table]} == set(COLUMNS[table])
    fields = {f"{part}.{f.key}" if part else f.key for part in PARTS for f in PARTS[part].fields}
    files = {"each_cylinder.readings_file"}
    assert set(paths(OF_SHOP)) - files <= fields
