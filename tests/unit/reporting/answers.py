"""Answers written by hand: every figure below is chosen, none comes from the solver.

Lengths in ticks of 10 nm. MM turns millimetres (as text) into ticks.
"""

from __future__ import annotations

from decimal import Decimal
from io import StringIO
from typing import Any

from rich.console import Console, RenderableType

from fitsolver.base.lengths import parse_length
from fitsolver.records.base import Range
from fitsolver.records.form import AxisForm, BoreForm, DepthForm, Place
from fitsolver.records.forms_answer import FormsAnswer
from fitsolver.records.plan import (
    Answer,
    ChosenGasket,
    ChosenPart,
    ChosenRing,
    CylinderPlan,
    Fit,
    HotFit,
    LargerSize,
    NearMiss,
    NoFit,
    ObjectiveValue,
    OrderLine,
    Plan,
    Reason,
)
from fitsolver.records.readings import Reading
from fitsolver.records.review import CatalogueReview, Counts, Doubt, SizeStep
from fitsolver.records.verdicts import FitsAnswer, PartSet, Verdict


def mm(text: str) -> int:
    return parse_length(Decimal(text), "mm")


def span(low: str, high: str | None = None) -> Range:
    return Range(low=mm(low), high=mm(high or low))


def shown(report: RenderableType, width: int = 80, *, colour: bool = False) -> str:
    """Return what a report looks like at a width: piped, or on a terminal with colours."""
    stream = StringIO()
    console = Console(
        file=stream, width=width, force_terminal=colour, color_system="standard" if colour else None
    )
    console.print(report)
    return stream.getvalue()


def flat(report: RenderableType, width: int = 80) -> str:
    """Return the report with every run of blanks and line ends as one blank."""
    return " ".join(shown(report, width).split())


def fit(**fields: Any) -> Fit:
    plain = {
        "fit": "clearance",
        "part": "P-050",
        "low": mm("0.055"),
        "high": mm("0.085"),
        "guard": mm("0.002"),
        "least": mm("0.060"),
        "most": mm("0.070"),
        "slack_low": mm("0.003"),
        "slack_high": mm("0.013"),
        "source": "invented sheet, section 3",
    }
    return Fit(**(plain | fields))


def end_gap(**fields: Any) -> Fit:
    plain = {
        "fit": "end_gap",
        "part": "R1-050",
        "groove": 1,
        "low": mm("0.25"),
        "high": mm("0.40"),
        "guard": 0,
        "least": mm("0.25"),
        "most": mm("0.391"),
        "slack_low": 0,
        "slack_high": mm("0.009"),
        "filed": mm("0.0371"),
        "source": "invented sheet, section 4",
    }
    return fit(**(plain | fields))


def cylinder(**fields: Any) -> CylinderPlan:
    """A machined cylinder whose measured piston gives one finish size."""
    plain: dict[str, Any] = {
        "cylinder": "1",
        "piston": ChosenPart(number="P-050", piece="piece 1"),
        "skirt": span("62.440"),
        "gauge_height": mm("11"),
        "oversize": mm("0.5"),
        "nominal_bore": mm("62.5"),
        "rings": (
            ChosenRing(number="R1-050", groove=1, filing=mm("0.0371")),
            ChosenRing(number="R2-050", groove=2, filing=0),
        ),
        "gaskets": (ChosenGasket(number="B-025", place="base", count=2),),
        "route": "finish hone",
        "machined": True,
        "restored": False,
        "half_width": mm("0.004"),
        "finish_small": mm("62.5012"),
        "finish_large": mm("62.5012"),
        "lowest": mm("62.5012"),
        "highest": mm("62.5098"),
        "highest_small": mm("62.5098"),
        "bore_low": mm("62.4972"),
        "bore_high": mm("62.5052"),
        "removal": mm("0.2392"),
        "stock_worst": mm("0.2331"),
        "stock_tightest": mm("0.2392"),
        "dial_zero": mm("62.25"),
        "dial_stop": span("0.2512"),
        "dial_on_piston": span("0.0612"),
        "fits": (fit(), end_gap()),
        "hot": (
            HotFit(what="clearance", least=mm("0.0084")),
            HotFit(what="end_gap", groove=1, least=mm("0.187")),
        ),
        "left_to_limit": mm("0.5948"),
        "larger_sizes": (
            LargerSize(
                oversize=mm("0.75"),
                nominal_bore=mm("62.75"),
                metal_to_it=mm("0.2488"),
                within_limit=True,
            ),
            LargerSize(
                oversize=mm("1.5"),
                nominal_bore=mm("63.5"),
                metal_to_it=mm("0.9988"),
                within_limit=False,
            ),
        ),
    }
    return CylinderPlan(**(plain | fields))


def unmeasured(**fields: Any) -> CylinderPlan:
    """A machined cylinder whose piston is only known by its tolerance."""
    plain: dict[str, Any] = {
        "piston": ChosenPart(number="P-050A"),
        "skirt": span("62.430", "62.436"),
        "finish_small": mm("62.4942"),
        "finish_large": mm("62.5002"),
        "lowest": mm("62.5002"),
        "highest": mm("62.5038"),
        "highest_small": mm("62.5031"),
        "dial_stop": span("0.2442", "0.2502"),
        "dial_on_piston": span("0.0642"),
    }
    return cylinder(**(plain | fields))


def as_is(**fields: Any) -> CylinderPlan:
    """A cylinder that is left as it is."""
    plain: dict[str, Any] = {
        "route": "as is",
        "machined": False,
        "half_width": 0,
        "finish_small": mm("62.501"),
        "finish_large": mm("62.506"),
        "lowest": None,
        "highest": None,
        "highest_small": None,
        "bore_low": mm("62.501"),
        "bore_high": mm("62.506"),
        "removal": 0,
        "stock_worst": None,
        "stock_tightest": None,
        "dial_zero": None,
        "dial_stop": None,
        "dial_on_piston": span("0.061", "0.066"),
        "left_to_limit": None,
        "larger_sizes": (),
        "hot": (),
    }
    return cylinder(**(plain | fields))


def line(number: str, **fields: Any) -> OrderLine:
    plain: dict[str, Any] = {"number": number, "what": "ring", "count": 1, "source": "stock"}
    return OrderLine(**(plain | fields))


def levels(**unproven: int) -> tuple[ObjectiveValue, ...]:
    """What is best; `unproven` gives the bounds of the levels that are not proven."""
    values: dict[Any, int] = {
        "restored": 0,
        "largest_removal": mm("0.2392"),
        "total_removal": mm("0.2392"),
        "filing": mm("0.0371"),
        "price": 13_150,
        "days": 8,
        "part_number": 0,
    }
    return tuple(
        ObjectiveValue(
            level=level,
            value=value,
            bound=unproven.get(level, value),
            proven=level not in unproven,
        )
        for level, value in values.items()
    )


def plan(**fields: Any) -> Plan:
    plain: dict[str, Any] = {
        "cylinders": (cylinder(),),
        "order": (
            line("K-050", what="kit", source="order", price_each=7_200, price=7_200, days=6),
            line("P-050", what="piston", source="in hand"),
            line("R1-050", count=3, price_each=990, price=2_970),
        ),
        "objective": levels(),
        "price": 13_170,
        "parts_price": 10_170,
        "route_price": 3_000,
        "days": 8,
        "displacement": 355_958_999_054_570_069_256,
        "mass_spreads": (1_700,),
    }
    return Plan(**(plain | fields))


def form(**fields: Any) -> BoreForm:
    top = Reading(depth=mm("8"), angle=0, size=mm("62.268"), dial=mm("0.018"))
    bottom = Reading(depth=mm("74"), angle=45, size=mm("62.252"))
    plain: dict[str, Any] = {
        "cylinder": "1",
        "largest": mm("62.268"),
        "smallest": mm("62.252"),
        "largest_at": top,
        "smallest_at": bottom,
        "out_of_round": mm("0.004"),
        "taper": mm("-0.015"),
        "by_depth": (
            DepthForm(
                depth=mm("8"),
                out_of_round=mm("0.004"),
                largest=mm("62.268"),
                smallest=mm("62.264"),
            ),
        ),
        "by_axis": (AxisForm(angle=90, taper=mm("-0.012"), spread=mm("0.013")),),
        "shape": "tapered",
        "shape_at": "bottom",
        "reference": mm("62.249"),
        "wear": mm("0.019"),
        "port_excess": mm("0.009"),
        "next_place": Place(depth=mm("41"), angle=0),
        "readings_deciding": 10,
        "readings_shown": 14,
        "cautions": ("Only 2 of the depths read decide: too few to see a barrel or a waist.",),
    }
    return BoreForm(**(plain | fields))


def answer(**fields: Any) -> Answer:
    plain: dict[str, Any] = {
        "program_version": "0.0.0",
        "job": "invented pump",
        "job_fingerprint": "j",
        "catalogue": "invented shelf",
        "catalogue_fingerprint": "c",
        "unit": "mm",
        "currency": "EUR",
        "finishing": "piston in hand",
        "status": "proven best",
        "forms": (form(),),
        "plan": plan(),
        "cautions": ("Measure at 20 °C.",),
    }
    return Answer(**(plain | fields))


def nothing_fits(**fields: Any) -> Answer:
    refused = NoFit(
        reasons=(
            Reason(rule="clean_up", cylinder="1", sentence="short by 0.130 mm"),
            Reason(rule="bore_limit", cylinder="1", sentence="at most 62.600 mm"),
            Reason(rule="mass_match", sentence="differs by 3.1 g, permitted 2 g"),
        ),
        near_misses=(
            NearMiss(
                cylinder="1",
                piston="P-050",
                route="finish hone",
                short_by=mm("0.13"),
                sentence="P-050, finish hone: short by 0.130 mm",
            ),
        ),
        ways_left=("sleeving or re-plating the bore ('new liner') is the way left",),
    )
    return answer(**({"status": "nothing fits", "plan": None, "no_fit": refused} | fields))


def part_set(**fields: Any) -> PartSet:
    plain: dict[str, Any] = {
        "cylinder": "1",
        "kit": "K-050",
        "piston": "P-050",
        "rings": ("R1-050", "R2-050"),
        "gaskets": ("B-025",),
        "fits": (fit(),),
        "verdicts": (
            Verdict(rule="clearance", holds=True, margin=mm("0.0038"), sentence="holds"),
            Verdict(rule="compatibility", holds=True, sentence="holds"),
        ),
        "price": 7_200,
        "holds": True,
        "worst": mm("0.0038"),
    }
    return PartSet(**(plain | fields))


def missing_set(**fields: Any) -> PartSet:
    miss = Verdict(rule="end_gap", holds=False, margin=mm("-0.032"), sentence="misses by 0.032 mm")
    plain: dict[str, Any] = {
        "kit": "", "piston": "P-025", "verdicts": (miss,), "holds": False, "price": None,
        "worst": mm("-0.032"),
    }  # fmt: skip
    return part_set(**(plain | fields))


def forms(*found: BoreForm, cautions: tuple[str, ...] = ()) -> FormsAnswer:
    return FormsAnswer(
        program_version="0.0.0", job="invented saw", unit="mm", forms=found, cautions=cautions
    )


def fits_answer(*sets: PartSet, **fields: Any) -> FitsAnswer:
    plain: dict[str, Any] = {
        "program_version": "0.0.0",
        "job": "invented saw",
        "catalogue": "invented shelf",
        "unit": "mm",
        "currency": "EUR",
        "sets": sets,
        "cautions": ("Measure at 20 °C.",),
    }
    return FitsAnswer(**(plain | fields))


def review(**fields: Any) -> CatalogueReview:
    plain: dict[str, Any] = {
        "program_version": "0.0.0",
        "catalogue": "invented shelf",
        "family": "pump",
        "unit": "mm",
        "counts": Counts(pistons=3, rings=4, gaskets=5, kits=6, routes=7),
        "sizes": (
            SizeStep(oversize=0, nominal_bore=mm("62"), pistons=1, rings=2),
            SizeStep(
                oversize=mm("0.75"),
                nominal_bore=mm("62.75"),
                pistons=2,
                rings=2,
                step=mm("0.75"),
                skipped=(mm("0.25"), mm("0.5")),
            ),
        ),
        "doubtful": (
            Doubt(
                table="pistons",
                number="P-075",
                field="skirt",
                sentence="the skirt is larger than its bore",
                seriousness="serious",
            ),
        ),
        "cautions": ("The maker's sheet outranks it.",),
    }
    return CatalogueReview(**(plain | fields))
