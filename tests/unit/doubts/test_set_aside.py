"""Doubted rows are left out, put back, accepted by name, and refused where the job names them."""

from __future__ import annotations

import pytest

from fitsolver.base.errors import InputError
from fitsolver.doubts.set_aside import cautions_of, put_back, trusted
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import InHand, Job, PinnedRing
from fitsolver.usecases.loading import holding, load

from ..cli.run import PUMP
from .demos import typed

WRONG = ("rings", "PR1-050", "gauge_diameter", "62.70")
JOB, CLEAN = load(PUMP)


def changed(**fields: object) -> Job:
    return JOB.model_copy(update=fields)


def test_nothing_doubted_is_the_same_catalogue() -> None:
    assert trusted(JOB, CLEAN) is CLEAN
    assert CLEAN.set_aside == ()


def test_a_doubted_row_and_its_kits_are_left_out() -> None:
    shelf = typed("pump", WRONG)
    left = trusted(JOB, shelf)
    assert [(aside.kind, aside.number) for aside in left.set_aside] == [
        ("ring", "PR1-050"), ("kit", "PK-050A"), ("kit", "PK-050B"),
    ]  # fmt: skip
    assert {aside.doubt.id for aside in left.set_aside} == {"row PR1-050"}
    assert len(left.rings) == len(shelf.rings) - 1
    assert put_back(left) == shelf
    assert trusted(JOB, shelf) is left  # one object for all jobs that accept alike


def test_an_accepted_row_stays() -> None:
    shelf = typed("pump", WRONG)
    all_three = ("row PR1-050", "row PK-050A", "row PK-050B")
    assert trusted(changed(accept=all_three), shelf) is shelf
    only = trusted(changed(accept=all_three[:1]), shelf)  # then the kits hold two sizes
    assert [aside.number for aside in only.set_aside] == ["PK-050A", "PK-050B"]
    other = trusted(changed(accept=("row PR2-050", "reading 2/14/thrust")), shelf)
    assert len(other.set_aside) == 3  # a row in order, and another doubt's id: nothing to it


@pytest.mark.parametrize("accepted", ["row PR1-05O", "rows PR1-050", "PR1-050", ""])
def test_an_id_that_names_no_doubt_is_refused(accepted: str) -> None:
    with pytest.raises(InputError, match="no doubt has this id"):
        trusted(changed(accept=(accepted,)), CLEAN)


def test_a_row_that_the_job_names_cannot_be_left_out() -> None:
    shelf = typed("pump", WRONG)
    pinned = JOB.cylinders[0].model_copy(
        update={"rings": (PinnedRing(groove=1, number="PR1-050"),)}
    )
    for job in (
        changed(cylinders=(pinned, JOB.cylinders[1])),
        changed(in_hand=(InHand(number="PR1-050"),)),
    ):
        with pytest.raises(InputError, match="this row that the job names is doubted") as refused:
            trusted(job, shelf)
        assert 'accept = ["row PR1-050"]' in str(refused.value)
        accepting = job.model_copy(update={"accept": ("row PR1-050",)})
        assert {aside.kind for aside in trusted(accepting, shelf).set_aside} == {"kit"}


def test_a_route_that_the_job_lists_cannot_be_left_out() -> None:
    shelf = typed("pump", ("routes", "finish hone", "half_width", "0.040"))
    assert [aside.kind for aside in trusted(JOB, shelf).set_aside] == ["route"]
    with pytest.raises(InputError, match="row finish hone: half_width"):
        trusted(changed(routes=("finish hone",)), shelf)


def test_cautions_name_each_doubt_once() -> None:
    left = trusted(JOB, typed("pump", WRONG))
    (said,) = cautions_of(left)
    assert said.startswith("Catalogue row PR1-050 is left out, and with it PK-050A, PK-050B (gauge")
    assert cautions_of(CLEAN) == ()


def test_a_shop_accepts_a_row_where_a_catalogue_has_it() -> None:
    shelf = typed("pump", WRONG)
    hold = holding(("row PR1-050", "row PK-050A", "row PK-050B"))
    assert hold(JOB, shelf) is shelf
    fewer = tuple(ring for ring in CLEAN.rings if ring.number != "PR1-050")
    other: Catalogue = CLEAN.model_copy(update={"rings": fewer, "kits": ()})
    assert hold(JOB, other) is other
