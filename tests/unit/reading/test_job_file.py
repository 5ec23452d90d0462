"""What each section of a job file becomes."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.job_file import catalogue_folder, read_job
from fitsolver.reading.known_parts import check_parts
from fitsolver.records.base import LEVELS
from fitsolver.records.job import GasketPlace, Job, PinnedRing, Squish, Terms
from fitsolver.records.readings import PortBand, Zone

from .files import CYLINDER, HEAD, READINGS, catalogue_files, job_file

DECK = "[engine]\nstroke = {stroke}\nrod_length = 110\ndeck_height = 173\nhead_step = -0.2\n"
MEASURED = "[squish]\nmeasured = 0.81\nold_gaskets = 0.75\nold_compression_height = 34\n"
JOB = "[zone]\ntop = 6\nbottom = 78\n[[port]]\ntop = 34\nbottom = 36\n"


def read(folder: Path, text: str) -> Job:
    return read_job(job_file(folder, text))


def test_the_shortest_job(tmp_path: Path) -> None:
    job = read(tmp_path, HEAD.replace("format = 1", "") + CYLINDER)
    assert (job.finishing, job.convention, job.best) == ("piston in hand", "by axis", LEVELS)
    assert (job.catalogue, job.family, job.routes) == (None, None, ())
    assert job.cylinders[0].zone is None
    assert catalogue_folder(job, tmp_path / "job.toml") is None


def test_wear_per_rebuild_is_of_the_job_or_of_a_cylinder(tmp_path: Path) -> None:
    own = CYLINDER.replace('"1"', '"2"') + 'wear_per_rebuild = "1 um"\n'
    job = read(tmp_path, f"{HEAD}wear_per_rebuild = 0.02\n{CYLINDER}{own}")
    assert [job.wear_for(cylinder) for cylinder in job.cylinders] == [2_000, 100]
    job = read(tmp_path, HEAD + CYLINDER)
    assert job.wear_for(job.cylinders[0]) is None


@pytest.mark.parametrize("wear", ["0", "-0.02", "0.00099", '"much"'])
@pytest.mark.parametrize("place", ["job", "cylinder"])
def test_wear_that_is_none(tmp_path: Path, wear: str, place: str) -> None:
    line = f"wear_per_rebuild = {wear}\n"
    text = HEAD + line + CYLINDER if place == "job" else HEAD + CYLINDER + line
    with pytest.raises(InputError) as caught:
        read(tmp_path, text)
    assert caught.value.field == "wear_per_rebuild"
    assert caught.value.allowed


def test_catalogue_is_relative_to_the_job(tmp_path: Path) -> None:
    job = read(tmp_path, f'{HEAD}catalogue = "../shelf"{CYLINDER}')
    assert job.catalogue == "../shelf"
    assert catalogue_folder(job, tmp_path / "job.toml") == tmp_path / "../shelf"


def test_a_cylinder_has_what_the_job_says_unless_it_says_it(tmp_path: Path) -> None:
    own = CYLINDER.replace('"1"', '"2"') + (
        "port = []\n[cylinder.zone]\ntop = 0\nbottom = 50\n[cylinder.squish]\nmeasured = 1\n"
        "old_gaskets = 0\nold_compression_height = 30\n"
    )
    first, second = read(tmp_path, HEAD + JOB + MEASURED + CYLINDER + own).cylinders
    assert first.zone == Zone(top=600_000, bottom=7_800_000)
    assert first.ports == (PortBand(top=3_400_000, bottom=3_600_000),)
    assert first.squish == Squish(base_low=3_406_000, base_high=3_406_000, squish_before=81_000)
    assert (second.zone, second.ports) == (Zone(top=0, bottom=5_000_000), ())
    assert second.squish == Squish(
        base_low=3_100_000, base_high=3_100_000, squish_before=100_000, deck_before=100_000
    )


@pytest.mark.parametrize(
    ("stroke", "low", "high"), [("58", 3_380_000, 3_380_000), ("58.00001", 3_379_999, 3_380_000)]
)
def test_squish_from_deck_dimensions(tmp_path: Path, stroke: str, low: int, high: int) -> None:
    """173 - 110 - 29 - 0.2 = 33.8; half a stroke between ticks makes a range."""
    job = read(tmp_path, HEAD + DECK.format(stroke=stroke) + CYLINDER)
    assert job.cylinders[0].squish == Squish(base_low=low, base_high=high, head_step=-20_000)


def test_where_the_crown_stood(tmp_path: Path) -> None:
    """0.81 - 0.75 + 0.25 of it under the cylinder - a step of 0.10 in the head = 0.21 mm."""
    text = MEASURED + "old_base_gaskets = 0.25\nhead_step = 0.1\n"
    [cylinder] = read(tmp_path, HEAD + text + CYLINDER).cylinders
    assert cylinder.squish == Squish(
        base_low=3_406_000,
        base_high=3_406_000,
        head_step=10_000,
        squish_before=81_000,
        deck_before=21_000,
    )


def test_rod_length_and_chamber_volume_without_deck_dimensions(tmp_path: Path) -> None:
    facts = '[engine]\nstroke = 58\nrod_length = 110\nchamber_volume = "6.2 cm3"\n'
    job = read(tmp_path, HEAD + facts + CYLINDER)
    assert job.cylinders[0].squish is None
    assert (job.engine.rod_length, job.engine.chamber_volume) == (11_000_000, 62 * 10**17)


def test_own_measured_squish_goes_before_deck_dimensions(tmp_path: Path) -> None:
    own = MEASURED.replace("[squish]", "[cylinder.squish]")
    job = read(tmp_path, HEAD + DECK.format(stroke=58) + CYLINDER + own)
    assert job.cylinders[0].squish == Squish(
        base_low=3_406_000, base_high=3_406_000, squish_before=81_000
    )


def test_windows(tmp_path: Path) -> None:
    text = (
        '[[window]]\nfit = "clearance"\nlow = 0.0009\nhigh = 0.0014\nper_bore = true\n'
        'guard = "2 um"\nsource = "sheet"\n'
        '[[window]]\nfit = "end_gap"\ngroove = 2\nservice_high = "20 thou"\n'
    )
    clearance, gap = read(tmp_path, HEAD + CYLINDER + text).windows
    assert (clearance.low, clearance.high, clearance.guard) == (900_000, 1_400_000, 200)
    assert (clearance.per_bore, clearance.source) == (True, "sheet")
    assert (gap.groove, gap.low, gap.high, gap.service_high) == (2, None, None, 50_800)


def test_terms(tmp_path: Path) -> None:
    text = '[terms]\norder_date = 2027-02-27\nneeded_by = 2027-03-01\nbudget = "240"\n'
    assert read(tmp_path, HEAD + text + CYLINDER).terms == Terms(
        order_date=date(2027, 2, 27), needed_by=date(2027, 3, 1), needed_in_days=2, budget=24_000
    )


def test_numbers_may_stand_for_names(tmp_path: Path) -> None:
    job = read(tmp_path, HEAD + CYLINDER.replace('"1"', "1") + "[[same_size]]\ncylinders = [1]\n")
    assert job.same_size[0].cylinders == ("1",) == (job.cylinders[0].name,)


def test_gaskets_and_rings(tmp_path: Path) -> None:
    text = '[[gasket_place]]\nplace = "base"\nleast = 2\n'
    own = 'rings = [{groove = 2, number = "R"}]\n'
    job = read(tmp_path, HEAD + CYLINDER + own + text)
    assert job.gaskets == (GasketPlace(place="base", least=2, most=2),)
    assert job.cylinders[0].rings == (PinnedRing(groove=2, number="R"),)


def test_the_same_job_in_inches_is_the_same_lengths(tmp_path: Path) -> None:
    metric = 'scratch = 0.0254\nreadings = [[25.4, "pin", 88.9]]'
    inch = 'scratch = "1 thou"\nreadings = [[1, "pin", 3.5]]'
    head = '[[cylinder]]\nname = "1"\nmaterial = "iron"\n'
    first = read(tmp_path, HEAD + head + metric)
    second = read(tmp_path, HEAD.replace('"mm"', '"in"') + head + inch)
    assert first.cylinders == second.cylinders


@pytest.mark.parametrize(
    ("lines", "row", "field", "found"),
    [
        ('piston = "P-1"', "cylinder '1'", "piston", "P-1"),
        ('piston = "R-0"', "cylinder '1'", "piston", "R-0"),
        ('rings = [{groove = 1, number = "R-9"}]', "cylinder '1'", "rings", "R-9"),
        ('rings = [{groove = 2, number = "R-0"}]', "cylinder '1'", "rings", "2"),
        ('route = "lap"', "cylinder '1'", "route", "lap"),
        ('routes = ["hone", "lap"]', "cylinder '1'", "routes", "lap"),
        ('[finish]\nroutes = ["lap"]', "[finish]", "routes", "lap"),
        ('[[gasket_place]]\nplace = "sump"', "[[gasket_place]]", "place", "sump"),
        ('[[in_hand]]\nnumber = "X"', "[[in_hand]] 1", "number", "X"),
        ('[[in_hand]]\nnumber = "R-0"\nsize = 62', "[[in_hand]] 1", "size", "R-0"),
        ('[[in_hand]]\nnumber = "G-1"\nmass = 2', "[[in_hand]] 1", "mass", "G-1"),
        ('[[in_hand]]\nnumber = "P-0"\ngap = 0.2\ngap_bore = 62', "[[in_hand]] 1", "gap", "P-0"),
    ],
)
def test_parts_that_the_catalogue_does_not_have(
    tmp_path: Path, lines: str, row: str, field: str, found: str
) -> None:
    catalogue = read_catalogue(catalogue_files(tmp_path))
    head = f'{HEAD}[[cylinder]]\nname = "1"\nmaterial = "iron"\n{READINGS}'
    good = (
        'piston = "P-0"\nroute = "hone"\nrings = [{groove = 1, number = "R-0"}]\n'
        '[[in_hand]]\nnumber = "P-25"\nsize = 62.18\n[[gasket_place]]\nplace = "head"\n'
    )
    check_parts(read(tmp_path, head + good), catalogue)
    job = read(tmp_path, head + lines)
    with pytest.raises(InputError) as caught:
        check_parts(job, catalogue)
    error = caught.value
    assert (error.row, error.field, str(error.found)) == (row, field, found)
    assert error.allowed


def test_many_parts_are_not_all_listed(tmp_path: Path) -> None:
    catalogue = read_catalogue(catalogue_files(tmp_path))
    many = tuple(catalogue.pistons[0].model_copy(update={"number": f"N-{n}"}) for n in range(50))
    job = read(tmp_path, HEAD + CYLINDER + 'piston = "N-50"\n')
    with pytest.raises(InputError, match=r"did you mean 'N-\d+'") as caught:
        check_parts(job, catalogue.model_copy(update={"pistons": many}))
    assert caught.value.allowed == "a piston of the catalogue"
