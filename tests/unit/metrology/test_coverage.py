from __future__ import annotations

from fitsolver.metrology.coverage import next_place
from fitsolver.metrology.form import extremes
from fitsolver.records.form import Place
from fitsolver.records.job import Cylinder
from fitsolver.records.readings import PortBand, Reading, Zone

MM = 100_000


def bore(*depths: int, **more: object) -> Cylinder:
    readings = tuple(
        Reading(depth=depth * MM, angle=angle, size=6_200_000 + angle)
        for depth in depths
        for angle in (0, 90)
    )
    whole = {"zone": Zone(top=0, bottom=100 * MM), "readings": readings, **more}
    return Cylinder(name="1", material="iron", **whole)


def test_the_middle_of_the_widest_stretch_on_the_larger_axis() -> None:
    assert next_place(bore(5, 20, 70, 95)) == Place(depth=45 * MM, angle=90)


def test_an_unread_end_is_read_at_the_end() -> None:
    assert next_place(bore(40, 60, 80, 95)) == Place(depth=0, angle=90)
    assert next_place(bore(5, 20, 40, 60)) == Place(depth=100 * MM, angle=90)


def test_close_readings_need_no_other() -> None:
    assert next_place(bore(0, 20, 40, 60, 80, 100)) is None


def test_a_port_that_does_not_decide_is_stepped_over() -> None:
    band = PortBand(top=40 * MM, bottom=50 * MM)
    assert next_place(bore(5, 20, 70, 85, 95, ports=(band,))) is None
    deciding = band.model_copy(update={"decides": True})
    assert next_place(bore(5, 20, 70, 85, 95, ports=(deciding,))) == Place(depth=45 * MM, angle=90)


def test_without_zone_or_readings_there_is_nothing_to_say() -> None:
    assert next_place(bore(5, 70, zone=None)) is None
    assert next_place(bore()) is None


def test_the_form_allowance_widens_what_was_read() -> None:
    assert extremes(bore(5)) == (6_200_000, 6_200_090)
    assert extremes(bore(5, form_allowance=30)) == (6_199_970, 6_200_120)
