"""Fields of a form into a job file's content and back."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from typing import Any

import pytest
import tomli_w

from fitsolver.page import form
from fitsolver.page.bench import on_the_bench
from fitsolver.page.shelf import Shelf
from fitsolver.reading.job_file import read_job
from fitsolver.reading.job_text import job_text

from .serving import CATALOGUES, DEMOS, ROOT

WHOLE = ROOT / "tests" / "format1"

JOB: dict[str, Any] = {
    "name": "a",
    "units": "mm",
    "catalogue": "pump",
    "family": "portable pump P62",
    "no_window": ["end_gap", "out_of_round", "taper"],
    "window": [{"fit": "clearance", "low": Decimal("0.05"), "high": Decimal("0.09")}],
    "cylinder": [
        {
            "name": "1",
            "material": "iron",
            "readings": [
                [8, "thrust", Decimal("62.31")],
                [8, "pin", Decimal("62.30")],
                [70, "thrust", Decimal("62.28")],
                [70, "pin", Decimal("62.27")],
            ],
        }
    ],
}


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Shelf:
    return Shelf(CATALOGUES, tmp_path_factory.mktemp("shelf"))


def fields_of(data: dict[str, Any]) -> dict[str, str]:
    """Return what a browser sends when nothing was touched."""
    fields = {name: value for name, value in form.get(data).items() if value != ""}
    for index, cylinder in enumerate(form.tables(data, "cylinder")):
        shown = form.grid(cylinder, index)
        if shown.plain:
            fields[f"c{index}_grid"] = ",".join(shown.axes)
            for row in shown.rows:
                fields[row.field] = row.depth
                fields |= {cell.field: cell.value for cell in row.cells}
    return fields


@pytest.mark.parametrize(
    "path",
    [
        *(path for path in sorted(DEMOS.glob("*/job.toml")) if path.parent.name != "pump"),
        # A form holds every figure, as the pump's whole jobs do.
        *(WHOLE / "pump" / name for name in ("job.toml", "worn_out.toml")),
    ],
    ids=lambda path: f"{path.parent.name}-{path.stem}",
)
def test_a_form_sent_back_untouched_changes_no_job(path: Any, shelf: Shelf) -> None:
    job = read_job(path).model_copy(update={"catalogue": path.parent.name})
    data = tomllib.loads(job_text(job), parse_float=Decimal)
    again = tomllib.loads(tomli_w.dumps(form.put(data, fields_of(data))), parse_float=Decimal)
    read = on_the_bench(again, shelf)
    assert read.job is not None, read.refusal
    assert read.job.model_copy(update={"fingerprint": ""}) == job.model_copy(
        update={"fingerprint": ""}
    )


def test_what_is_typed_takes_the_place_of_what_stood_there() -> None:
    new = form.put(JOB, {"name": "b", "stroke": "58", "c0_scratch": "5 um", "w0_high": "0.1"})
    assert new["name"] == "b"
    assert new["engine"] == {"stroke": "58"}
    assert new["cylinder"][0]["scratch"] == "5 um"
    assert new["window"][0]["high"] == "0.1"
    assert JOB["name"] == "a"  # the old one is left alone


def test_an_emptied_field_takes_the_key_away() -> None:
    new = form.put(JOB, {"family": "", "w0_low": "", "note": ""})
    assert "family" in new  # the form has no such field
    assert "low" not in new["window"][0]
    assert "note" not in new


def test_fields_that_no_form_has_are_ignored() -> None:
    assert form.put(JOB, {"c7_name": "x", "best": "price", "w9_low": "1", "evil": "1"}) == JOB


def test_the_grid_shows_depths_by_axes_and_keeps_slips_as_typed() -> None:
    fields = fields_of(JOB) | {"c0_d0_a0": "6x2.31", "c0_d1": ""}
    new = form.put(JOB, fields)
    shown = form.grid(new["cylinder"][0], 0)
    assert shown.axes == ("thrust", "pin")
    assert shown.rows[0].cells[0].value == "6x2.31"
    assert [row.depth for row in shown.rows] == ["8", ""]


def test_marks_stand_at_the_slip(shelf: Shelf) -> None:
    slip = on_the_bench(form.put(JOB, fields_of(JOB) | {"c0_d0_a0": "6x2.31"}), shelf)
    assert list(slip.marks) == ["c0_d0_a0"]
    assert slip.job is None
    assert slip.refusal


def test_a_reading_far_from_the_others_is_marked_with_what_may_be_meant(shelf: Shelf) -> None:
    odd = on_the_bench(form.put(JOB, fields_of(JOB) | {"c0_d1_a0": "6.228"}), shelf)
    assert list(odd.marks) == ["c0_d1_a0"]
    assert "62.28" in odd.marks["c0_d1_a0"]


def test_a_depth_without_figures_is_not_read(shelf: Shelf) -> None:
    longer = form.add_depth(JOB, 0)
    assert len(form.grid(longer["cylinder"][0], 0).rows) == 3
    assert on_the_bench(longer, shelf).job is not None


def test_one_more_cylinder_has_the_depths_of_the_last_and_no_figures() -> None:
    more = form.add_table(JOB, "cylinder")
    assert [item["name"] for item in more["cylinder"]] == ["1", "2"]
    shown = form.grid(more["cylinder"][1], 1)
    assert [row.depth for row in shown.rows] == ["8", "70"]
    assert all(cell.value == "" for row in shown.rows for cell in row.cells)


def test_the_last_cylinder_stays_and_windows_go() -> None:
    assert form.without(JOB, "cylinder", 0) == JOB
    assert form.without(JOB, "window", 0)["window"] == []
    two = form.add_table(JOB, "cylinder")
    assert form.without(two, "cylinder", 1) == JOB


def test_no_form_grows_without_end() -> None:
    data = JOB
    for _ in range(form.MOST + 5):
        data = form.add_table(data, "window")
    assert len(data["window"]) == form.MOST


def test_readings_of_two_kinds_are_left_to_the_text() -> None:
    cylinder = {"readings": [{"depth": 8, "axis": "thrust", "dial": 1}, [8, "pin", 62]]}
    assert form.grid(cylinder, 0).plain  # a list of three is of the kind of the others
    mixed = {"readings": [{"depth": 8, "axis": "pin", "dial": 1}, {"depth": 8, "size": 62}]}
    assert not form.grid(mixed, 0).plain
