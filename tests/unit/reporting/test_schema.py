"""The documents, their schemas, and the page that explains them."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from fitsolver.records.allotment import AllotmentAnswer, Shop, ShopJob, StockLine
from fitsolver.records.alternatives import AlternativesAnswer
from fitsolver.records.arrived import ArrivedAnswer, ArrivedCylinder, LeftOver
from fitsolver.records.base import Range, Record
from fitsolver.records.book import (
    BookLine,
    FittedParts,
    FoundAnswer,
    FoundLine,
    HistoryAnswer,
    Visit,
)
from fitsolver.records.budget import BudgetAnswer
from fitsolver.records.counter import CounterAnswer
from fitsolver.records.final import FinalAnswer
from fitsolver.records.firm import FirmAnswer
from fitsolver.records.forms_answer import FormsAnswer
from fitsolver.records.gauge import GaugeStudy
from fitsolver.records.hone import HoneAnswer
from fitsolver.records.intake import IntakeAnswer
from fitsolver.records.job import Terms
from fitsolver.records.ladder import LadderAnswer
from fitsolver.records.pairing import PairAnswer
from fitsolver.records.plan import Answer
from fitsolver.records.review import CatalogueReview
from fitsolver.records.screening import FaultyRow, ScreenAnswer, Share
from fitsolver.records.stages import StagesAnswer
from fitsolver.records.verdicts import FitsAnswer
from fitsolver.records.wear import WearEstimate
from fitsolver.records.why import WhyAnswer
from fitsolver.reporting.schema import to_json
from fitsolver.usecases import files as service
from fitsolver.usecases import tables
from fitsolver.usecases.allot import allot_shop
from fitsolver.usecases.counter_files import counter
from fitsolver.usecases.intake import intake
from fitsolver.verbs.registry import DOCUMENTS
from fitsolver.verbs.schemas import json_schema, schema_path, schema_text
from tests.unit.rules import small

from . import answers

ROOT = Path(__file__).parents[3]
DEMO = ROOT / "catalogs_demo"
RECORDS: dict[str, type[Record]] = {
    "allotment": AllotmentAnswer,
    "alternatives": AlternativesAnswer,
    "answer": Answer,
    "forms": FormsAnswer,
    "fits": FitsAnswer,
    "ladder": LadderAnswer,
    "review": CatalogueReview,
    "budget": BudgetAnswer,
    "history": HistoryAnswer,
    "found": FoundAnswer,
    "arrived": ArrivedAnswer,
    "counter": CounterAnswer,
    "final": FinalAnswer,
    "firm": FirmAnswer,
    "gauge": GaugeStudy,
    "intake": IntakeAnswer,
    "pair": PairAnswer,
    "screen": ScreenAnswer,
    "stages": StagesAnswer,
    "hone": HoneAnswer,
    "why": WhyAnswer,
}
GAUGE = tables.gauge_study(DEMO / "pump" / "gauge_readings.csv", "0.03")
FORMS = FormsAnswer(program_version="0", job="invented", unit="mm", forms=(answers.form(),))
SHOP = Shop(
    name="invented",
    jobs=tuple(
        ShopJob(job=small.job(name=name, **more), priority=rank)
        for name, rank, more in (
            ("first", 1, {}),
            ("late", None, {"terms": Terms(needed_in_days=3)}),
            ("never", None, {"cylinders": (small.cylinder(bore_limit=small.READ),)}),
        )
    ),
    catalogues=(small.catalogue(),),
    shelf=(StockLine(number="P", count=1), StockLine(number="R", count=1)),
)
BY_HAND: dict[str, list[Record]] = {
    "allotment": [allot_shop(SHOP)],
    "alternatives": [
        service.alternatives(DEMO / "pump" / "job.toml", front=True),
        service.alternatives(DEMO / "pump" / "worn_out.toml"),
    ],
    "answer": [
        answers.answer(),
        answers.answer(plan=answers.plan(cylinders=(answers.as_is(), answers.unmeasured()))),
        answers.nothing_fits(),
        answers.answer(status="undecided", plan=None, forms=()),
    ],
    "forms": [FORMS],
    "fits": [answers.fits_answer(answers.part_set(), answers.missing_set())],
    "ladder": [
        service.ladder(DEMO / "launch" / "job.toml"),
        service.ladder(DEMO / "pump" / "worn_out.toml"),
    ],
    "review": [answers.review()],
    "intake": [intake(DEMO / "counter" / "list.xlsx", DEMO / "counter" / "nowhere")],
    "pair": [
        tables.pair(
            DEMO / "pairs" / "bores.csv", DEMO / "pairs" / "pieces.csv", low="0.044", high="0.048"
        )
    ],
    "screen": [
        ScreenAnswer(
            program_version="0",
            table="bores.csv",
            like="invented",
            catalogue="invented",
            unit="mm",
            finishing="set size",
            status="bad rows",
            rows=3,
            fits=1,
            nothing_fits=1,
            bad=1,
            first_bad=FaultyRow(row=2, field="largest", found="", reason="empty"),
            pistons=(Share(name="P", bores=1),),
            routes=(Share(name="as is", bores=1),),
            out="out.csv",
            bad_rows=None,
        )
    ],
    "history": [
        HistoryAnswer(
            program_version="0",
            marking="pump 7, left",
            family=None,
            material="iron",
            unit="mm",
            visits=(
                Visit(date=date(2026, 3, 1), key="0" * 32),
                Visit(
                    date=date(2027, 3, 1),
                    key="1" * 32,
                    parts=FittedParts(piston="P", skirt=6_244_000, rings=("R",)),
                    parts_as="fitted",
                    wear=-100,
                    wear_uncertainty=50.0,
                ),
            ),
            wear=WearEstimate(count=1, mean=100, uncertainty=50.0, most=210),
        )
    ],
    "found": [
        FoundAnswer(
            program_version="0",
            unit="mm",
            asked="pump",
            lines=(
                FoundLine(
                    key="0" * 32,
                    kind="job",
                    date=date(2026, 3, 1),
                    title="invented",
                    line=BookLine(marking="pump 7, left", largest=6_226_800),
                ),
            ),
        )
    ],
    "budget": [service.budget(DEMO / "brushsaw" / "guarded.toml")],
    "arrived": [
        ArrivedAnswer(
            program_version="0",
            job="invented",
            catalogue="invented",
            unit="mm",
            currency="EUR",
            status="ordered parts serve",
            cylinders=(
                ArrivedCylinder(
                    cylinder="1",
                    ordered_piston="P",
                    ordered_skirt=Range(low=1, high=2),
                    ordered_finish=Range(low=3, high=4),
                    ordered_route="hone",
                ),
            ),
            left_over=(LeftOver(number="R", count=1),),
            plan=answers.plan(),
        )
    ],
    "counter": [
        counter("p62", "62.31", catalogue=DEMO / "pump"),
        counter("p62", "64.2", catalogue=DEMO / "pump"),
    ],
    "final": [service.final(DEMO / "brushsaw" / "finished.toml")],
    "firm": [service.firm(DEMO / "brushsaw" / "guarded.toml")],
    "gauge": [GAUGE],
    "stages": [
        service.machining_plan(DEMO / "pump" / "job.toml"),
        service.machining_plan(DEMO / "pump" / "worn_out.toml"),
    ],
    "why": [
        service.why(DEMO / "pump" / "worn_out.toml"),
        service.why(DEMO / "brushsaw" / "job.toml"),
    ],
    "hone": [service.hone(DEMO / "pump" / "job.toml")],
}


@pytest.mark.parametrize("name", DOCUMENTS)
def test_shipped_schema_is_up_to_date(name: str) -> None:
    shipped = schema_path(name).read_text(encoding="utf-8")
    assert shipped == schema_text(name), "run: python -m fitsolver.verbs.schemas"


@pytest.mark.parametrize("name", DOCUMENTS)
def test_schema_is_a_schema(name: str) -> None:
    schema = json_schema(name)
    Draft202012Validator.check_schema(schema)
    version = schema["properties"]["schema_version"]["const"]
    assert schema["$id"] == f"urn:fitsolver:{name}:{version}"


@pytest.mark.parametrize("name", DOCUMENTS)
def test_documents_keep_to_the_schema_and_come_back_equal(name: str) -> None:
    for record in BY_HAND[name]:
        text = to_json(record)
        assert text.endswith("}\n") and text.isascii()
        assert to_json(record) == text
        assert list(errors(name, json.loads(text))) == []
        assert RECORDS[name].model_validate_json(text) == record


def test_documents_of_the_demos_keep_to_the_schema() -> None:
    made: list[tuple[str, Record]] = [
        ("answer", service.pick(DEMO / "pump" / "job.toml")),
        ("answer", service.pick(DEMO / "pump" / "worn_out.toml")),
        ("answer", service.pick(DEMO / "brushsaw" / "job.toml")),
        ("answer", service.pick(DEMO / "brushsaw" / "stack.toml")),
        ("forms", service.bore(DEMO / "launch" / "job.toml")),
        ("fits", service.part_sets(DEMO / "brushsaw" / "job.toml")),
        ("review", tables.review_catalogue(DEMO / "launch")),
    ]
    for name, record in made:
        assert list(errors(name, json.loads(to_json(record)))) == []


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("status",), "nearly proven"),
        (("schema_version",), 2),
        (("unit",), "furlong"),
        (("plan", "price"), "131.70"),
        (("plan", "cylinders", 0, "finish_large"), 62.5),
        (("plan", "order", 0, "surprise"), 1),
    ],
)
def test_schema_refuses(path: tuple[str | int, ...], value: object) -> None:
    document: Any = json.loads(to_json(answers.answer()))
    place = document
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    assert list(errors("answer", document))


def test_schema_refuses_a_document_with_a_field_missing() -> None:
    document = json.loads(to_json(answers.answer()))
    del document["plan"]["cylinders"][0]["removal"]
    assert list(errors("answer", document))


def errors(name: str, document: object) -> Any:
    return Draft202012Validator(json_schema(name)).iter_errors(document)


def records_of(name: str) -> dict[str, list[str]]:
    """Every record of a document with its fields, the document itself under its own name."""
    schema = json_schema(name)
    parts = {schema["title"]: schema, **schema["$defs"]}
    return {title: list(part["properties"]) for title, part in parts.items()}


def documented() -> dict[str, list[str]]:
    """The fields named in the table below each record's heading of docs/json.md."""
    found: dict[str, list[str]] = {}
    record = ""
    for line in (ROOT / "docs" / "json.md").read_text(encoding="utf-8").splitlines():
        if heading := re.match(r"#+ .*`(\w+)`$", line):
            record = heading[1]
        elif record and line.startswith("| `"):
            fields = re.findall(r"`(\w+)`", line.split("|")[1])
            found.setdefault(record, []).extend(fields)
    return found


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_field_is_documented_and_no_other_is(name: str) -> None:
    page = documented()
    for record, fields in records_of(name).items():
        assert sorted(page.get(record, [])) == sorted(fields), record


def test_no_record_is_documented_that_is_in_no_document() -> None:
    known = {record for name in DOCUMENTS for record in records_of(name)}
    assert set(documented()) == known


def test_documented_versions() -> None:
    text = (ROOT / "docs" / "json.md").read_text(encoding="utf-8")
    for name in DOCUMENTS:
        version = json_schema(name)["properties"]["schema_version"]["const"]
        assert re.search(rf"\| `{name}` \|.*\| {version} \|", text), name
