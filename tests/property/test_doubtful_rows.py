"""Adding a row that is doubted never changes a plan, whatever the job and the catalogue."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from fitsolver.doubts.rows import row_doubts
from fitsolver.doubts.set_aside import trusted
from fitsolver.picking.decide import decide
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Gasket, Kit, KitItem, Piston, Ring
from fitsolver.records.job import Job

from .test_plan import ANY, often


@often(150)
@given(ANY, st.randoms(use_true_random=False))
def test_a_doubtful_row_never_changes_a_plan(case: tuple[Job, Catalogue], dice: Any) -> None:
    """A piston with 0.6 mm clearance, a ring without end gap, half a gasket, a kit of two sizes.

    Each is free and on the shelf, so a plan would take it where it may. Drawn catalogues have
    doubtful rows of their own: those are accepted, so that only the one that is added is not.
    """
    job, catalogue = case
    catalogue, added = _doubtful(catalogue, dice.choice(["piston", "ring", "gasket", "kit"]))
    own = {doubt.id for doubt in row_doubts(added)} - {"row A-DOUBT"}
    accepting = job.model_copy(update={"accept": tuple(sorted(own))})
    left = trusted(accepting, added)
    assert [aside.number for aside in left.set_aside] == ["A-DOUBT"]
    plan, alone = decide(accepting, left), decide(accepting, catalogue)
    assert plan.plan == alone.plan
    assert [row.number for row in plan.left_out] == ["A-DOUBT"]


def _doubtful(catalogue: Catalogue, kind: str) -> tuple[Catalogue, Catalogue]:
    """Return the catalogue (with another piston where a kit needs it) without and with a row."""
    some: Piston = catalogue.pistons[0]
    free = {"number": "A-DOUBT", "price": 0, "stock": 9}
    bore = some.nominal_bore
    if kind == "piston":
        skirt = Range(low=bore - 62_000, high=bore - 60_000)
        extra = Piston(**{**dict(some), **free, "skirt": skirt})
        return catalogue, catalogue.model_copy(update={"pistons": (*catalogue.pistons, extra)})
    if kind == "ring" and catalogue.rings:
        gap = Range(low=bore // 40, high=bore // 30)
        ring = Ring(**{**dict(catalogue.rings[0]), **free, "gap": gap})
        return catalogue, catalogue.model_copy(update={"rings": (*catalogue.rings, ring)})
    if kind == "gasket" and catalogue.gaskets:
        like = catalogue.gaskets[0]
        crush = {"thickness": 2 * like.crush + 9, "crush": like.crush + 9}
        gasket = Gasket(**{**dict(like), **free, **crush})
        return catalogue, catalogue.model_copy(update={"gaskets": (*catalogue.gaskets, gasket)})
    other = Piston(
        **{**dict(some), "number": "A-OTHER", "price": None, "stock": 0, "lead_days": None,
           "oversize": some.oversize + 99, "nominal_bore": bore + 99}
    )  # fmt: skip
    items = (KitItem(number=some.number, count=1), KitItem(number="A-OTHER", count=1))
    kit = Kit(contents=items, **free)
    catalogue = catalogue.model_copy(update={"pistons": (*catalogue.pistons, other)})
    return catalogue, catalogue.model_copy(update={"kits": (*catalogue.kits, kit)})
