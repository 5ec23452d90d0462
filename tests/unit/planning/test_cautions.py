"""Cautions: those that the figures call for, and the standing ones."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from fitsolver.metrology.form import LOBING_CAUTION
from fitsolver.planning import cautions as said
from fitsolver.planning.cautions import cautions, form_cautions
from fitsolver.records.catalogue import Catalogue, Ring
from fitsolver.records.job import Cylinder, Engine, Job, Rise
from fitsolver.records.plan import HotFit, Plan
from fitsolver.records.readings import Reading, Zone
from fitsolver.records.windows import Window
from fitsolver.usecases import files as service
from tests.unit.reporting import answers
from tests.unit.reporting.answers import mm, span

CLEARANCE = Window(fit="clearance", low=mm("0.05"), high=mm("0.08"), guard=mm("0.002"))
END_GAP = Window(fit="end_gap", low=mm("0.25"), high=mm("0.4"))
RISE = Rise(bore=80, piston=90, ring=110, bore_alloy="grey_iron")
RING = Ring(
    number="R1", grooves=(1,), gauge_diameter=mm("62"), gap=span("0.25"), width=span("1.98")
)
STANDING = (said.SEIZURE, said.TEMPERATURE, said.SHEETS)


def job(**fields: Any) -> Job:
    cylinder = Cylinder(name="1", material="iron", finished_size=mm("62.5"))
    plain: dict[str, Any] = {
        "name": "invented pump",
        "cylinders": (cylinder,),
        "windows": (CLEARANCE, END_GAP),
        "engine": Engine(rise=RISE),
    }
    return Job(**(plain | fields))


def catalogue(**fields: Any) -> Catalogue:
    plain: dict[str, Any] = {
        "name": "invented shelf", "family": "pump", "standard_bore": mm("62"), "rings": (RING,),
    }  # fmt: skip
    return Catalogue(**(plain | fields))


def of(plan: Plan | None, **fields: Any) -> tuple[str, ...]:
    return cautions(job(**fields), catalogue(), plan, ())


def plan_of(cylinder: Any) -> Plan:
    return answers.plan(cylinders=(cylinder,))


def test_standing_cautions_are_always_there_and_last() -> None:
    assert of(None)[-len(STANDING) :] == STANDING
    assert of(answers.plan())[-len(STANDING) :] == STANDING


def test_each_is_said_once() -> None:
    twice = answers.plan(cylinders=(answers.cylinder(), answers.cylinder(cylinder="2")))
    found = of(twice)
    assert len(found) == len(set(found))


def test_machining() -> None:
    machining = {said.HONING, said.STOP, said.WARM}
    assert machining <= set(of(answers.plan()))
    assert not machining & set(of(plan_of(answers.as_is())))
    assert not machining & set(of(None))


def test_unmeasured_pistons() -> None:
    assert said.UNMEASURED in of(plan_of(answers.unmeasured()))
    assert said.UNMEASURED not in of(answers.plan())
    set_size = of(plan_of(answers.unmeasured()), finishing="set size")
    assert said.SET_SIZE in set_size
    assert said.UNMEASURED not in set_size


def test_filing_and_kept_parts() -> None:
    assert said.FILING in of(answers.plan())
    bare = answers.cylinder(rings=())
    assert said.FILING not in of(plan_of(bare))
    assert said.KEPT not in of(answers.plan())
    kept = answers.cylinder(piston=answers.ChosenPart(number="P", kept=True))
    assert said.KEPT in of(plan_of(kept))


@pytest.mark.parametrize("least", [0, -120])
def test_hot_fits_that_are_not_positive(least: int) -> None:
    hot = (
        HotFit(what="clearance", least=least),
        HotFit(what="end_gap", groove=2, least=least),
    )
    found = " ".join(of(plan_of(answers.cylinder(hot=hot))))
    assert "Cylinder 1: hot, the skirt may have no clearance left" in found
    assert "Cylinder 1: hot, the ends of the ring in groove 2 may meet" in found
    assert "hot, " not in " ".join(of(answers.plan()))


def test_no_temperatures() -> None:
    assert said.NO_TEMPERATURES in of(answers.plan(), engine=Engine())
    assert said.NO_TEMPERATURES not in of(answers.plan())


@pytest.mark.parametrize(
    ("material", "plated"), [("plated", True), ("hard chrome", True), ("iron", False)]
)
def test_plated_bores(material: str, plated: bool) -> None:
    cylinder = Cylinder(name="1", material=material, finished_size=mm("62.5"))
    assert (said.PLATED in of(None, cylinders=(cylinder,))) is plated
    assert (said.PLATED in form_cautions(job(cylinders=(cylinder,)), ())) is plated


def test_windows_that_leave_a_side_open() -> None:
    found = " ".join(of(None, windows=(CLEARANCE,)))
    assert "Cylinder 1: no lowest value is given for end gap:" in found
    no_low = Window(fit="clearance", high=mm("0.08"))
    found = " ".join(of(None, windows=(no_low,)))
    assert "no lowest value is given for clearance and end gap:" in found
    assert "no lowest value" not in " ".join(of(None))
    ringless = cautions(job(windows=(CLEARANCE,)), catalogue(rings=()), None, ())
    assert "no lowest value" not in " ".join(ringless)


def test_no_guard() -> None:
    assert said.NO_GUARD in of(None, windows=(END_GAP,))
    assert said.NO_GUARD not in of(None)


READ = Cylinder(
    name="1", material="iron", readings=(Reading(depth=mm("10"), angle=0, size=mm("62.5")),)
)


@pytest.mark.parametrize(
    ("material", "text"), [("iron", said.GLAZE), ("plated aluminium", said.GLAZE_PLATED)]
)
def test_new_rings_in_a_worn_bore(material: str, text: str) -> None:
    """Common practice, no source: a glazed wall keeps new rings from seating."""
    worn = READ.model_copy(update={"material": material})
    left = plan_of(answers.as_is())
    assert f"Cylinder 1: {text}" in of(left, cylinders=(worn,))
    kept = tuple(ring.model_copy(update={"kept": True}) for ring in answers.as_is().rings)
    for cylinder, plan, how in (
        (worn, plan_of(answers.as_is(rings=kept)), "piston in hand"),  # they have run in it
        (worn, answers.plan(), "piston in hand"),  # it is machined
        (worn, left, "already finished"),
        (job().cylinders[0], left, "piston in hand"),  # stated as finished
    ):
        found = " ".join(of(plan, cylinders=(cylinder,), finishing=how))
        assert "new rings go into" not in found


def test_readings_outside_the_zone_that_are_larger_than_all_inside() -> None:
    places = ((2, "62.7"), (10, "62.5"), (50, "62.52"), (90, "62.61"), (95, "62.6"), (99, "62.55"))
    readings = tuple(
        Reading(depth=mm(str(depth)), angle=0, size=mm(size)) for depth, size in places
    )
    zone = Zone(top=mm("5"), bottom=mm("80"))
    task = job(cylinders=(READ.model_copy(update={"readings": readings, "zone": zone}),))
    expected = (
        "Cylinder 1: outside the zone of 5.000 to 80.000 mm the bore reads larger than anywhere "
        "that decides (62.520 mm): 62.700 mm at depth 2.000 mm (thrust), 62.610 mm at depth "
        "90.000 mm (thrust), 62.600 mm at depth 95.000 mm (thrust), and 1 more. Only readings "
        "inside the zone decide: check the zone, and the unit of depths."
    )
    for found in (cautions(task, catalogue(), None, ()), form_cautions(task, ())):
        assert expected in found
    for inside, without in ((readings[1:3], zone), (readings, None)):
        cylinder = READ.model_copy(update={"readings": inside, "zone": without})
        assert "outside the zone" not in " ".join(of(None, cylinders=(cylinder,)))


@pytest.mark.parametrize("verb", [service.bore, service.part_sets, service.pick])
def test_every_verb_says_that_the_worst_lies_outside_the_zone(
    verb: Callable[..., Any], tmp_path: Path
) -> None:
    """Depths in centimetres put the worst readings of the demonstration above its zone."""
    demo = Path(__file__).parents[2] / "format1" / "pump"
    text = (demo / "job.toml").read_text(encoding="utf-8")
    moved = tmp_path / "job.toml"
    accepted = 'accept = ["zone", "reading 1", "reading 2", "zero 1", "zero 2", "unworn 1"]'
    text = text.replace("top = 6\n", "top = 60\n").replace("format = 1", accepted)
    moved.write_text(text, encoding="utf-8")
    for sheet in demo.glob("*.csv"):
        (tmp_path / sheet.name).write_bytes(sheet.read_bytes())
    answer = verb(moved, *([] if verb is service.bore else [demo]))
    assert any("outside the zone of" in caution for caution in answer.cautions)


def test_forms() -> None:
    form = answers.form(cautions=(LOBING_CAUTION, "No depth was read on two axes."))
    other = form.model_copy(update={"cylinder": "2"})
    for found in (
        cautions(job(), catalogue(), None, (form, other)),
        form_cautions(job(), (form, other)),
    ):
        assert "Cylinder 1: no depth was read on two axes." in found
        assert "Cylinder 2: no depth was read on two axes." in found
        assert found.count(LOBING_CAUTION) == 1
    assert LOBING_CAUTION not in form_cautions(job(), ())


def test_the_catalogues_own_note() -> None:
    found = cautions(job(), catalogue(note="Invented."), None, ())
    assert found[-1] == "The catalogue says of itself: Invented."
