"""Slips of the hand in a job's figures: how many change the plan without being named.

    python -m tests.bench.slips [JOBS]

Every figure of the demos' jobs and of drawn clean jobs (readings, depths, zeros, zones, scratches,
measured pieces) gets every slip: two neighbouring digits swapped, the sign turned, times ten, a
tenth, and 0.2, 0.25 and 1 mm more and less. A slip *matters* where the plan then takes other parts
or work, or finishes to a size farther off than the width of the clearance window. A slip is *named*
where the command stops and tells it. Clean jobs that stop are false alarms.
"""

from __future__ import annotations

import copy
import sys
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal, InvalidOperation
from itertools import islice
from pathlib import Path
from typing import Any, NamedTuple

from fitsolver.base.errors import InputError
from fitsolver.metrology.form import bore_form, extremes
from fitsolver.picking.decide import decide
from fitsolver.picking.reread import same
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.job_file import job_of
from fitsolver.reading.toml_file import read_toml
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer
from fitsolver.usecases.loading import hold_together

from .clean_jobs import draw

DEMOS = Path(__file__).parents[2] / "catalogs_demo"
WHOLE = Path(__file__).parents[1] / "format1"
JOBS = ("pump/job", "launch/job", "brushsaw/job", "brushsaw/finished", "pump/ladder")
SHOP = ("fire_post", "rally_boat", "winter_stock")
MILLIMETRES = ("0.2", "-0.2", "0.25", "-0.25", "1", "-1")
PLACES = {"mm": 5, "um": 2, "in": 5, "thou": 2}
PER_MM = {"mm": Decimal(1), "um": Decimal(1000), "in": 1 / Decimal("25.4")}

Path_ = tuple[Any, ...]


class Case(NamedTuple):
    """A job's content with its catalogue."""

    name: str
    content: dict[str, Any]
    catalogue: Catalogue


class Slip(NamedTuple):
    """One figure changed."""

    path: Path_
    kind: str
    before: str
    after: str


def demo_cases() -> Iterator[Case]:
    """Yield the demos, their readings sheets written into the job."""
    for name in JOBS:
        whole = WHOLE / f"{name}.toml"  # the pump's jobs with every figure in them
        path = whole if whole.exists() else DEMOS / f"{name}.toml"
        shelf = (
            path.parent if (path.parent / "catalogue.toml").exists() else DEMOS / name.split("/")[0]
        )
        yield Case(name, inlined(read_toml(path), path.parent), read_catalogue(shelf))
    parts = read_catalogue(DEMOS / "workshop" / "catalogue")
    for name in SHOP:
        yield Case(name, read_toml(DEMOS / "workshop" / "jobs" / f"{name}.toml"), parts)


def inlined(content: dict[str, Any], folder: Path) -> dict[str, Any]:
    """Return a job's content with the rows of its readings sheet in place of the sheet's name."""
    for cylinder in content["cylinder"]:
        sheet = cylinder.pop("readings_file", None)
        if sheet is None:
            continue
        cylinder["readings"] = [
            row[1:]
            for line in (folder / sheet).read_text(encoding="utf-8").splitlines()[1:]
            if (row := line.split(","))[0] == cylinder["name"]
        ]
    return content


def figures(content: dict[str, Any]) -> Iterator[Path_]:
    """Yield where the figures of a job stand that someone measured."""
    for index, cylinder in enumerate(content["cylinder"]):
        for row, _ in enumerate(cylinder.get("readings", [])):
            yield "cylinder", index, "readings", row, 0
            yield "cylinder", index, "readings", row, 2
        for key in ("zero", "zero_piston", "scratch", "unworn", "piston_size", "finished_size"):
            if key in cylinder and cylinder[key] != "piston":
                yield "cylinder", index, key
    for key in ("top", "bottom"):
        if "zone" in content:
            yield "zone", key
    for index, held in enumerate(content.get("in_hand", [])):
        yield from (("in_hand", index, key) for key in ("size", "gap", "gap_bore") if key in held)


def kind_of(path: Path_) -> str:
    """Return what a figure is, for the table."""
    if "readings" in path:
        return "reading" if path[-1] == 2 else "depth"
    if path[0] == "in_hand" or path[-1] == "piston_size":
        return "piece"
    return {"top": "zone", "bottom": "zone", "zero_piston": "zero"}.get(path[-1], path[-1])


def slips(case: Case) -> Iterator[Slip]:
    """Yield every slip in every figure of a job."""
    unit = case.content["units"]
    for path in figures(case.content):
        text = str(_get(case.content, path))
        try:
            Decimal(text)
        except InvalidOperation:
            continue
        for kind, after in _changed(text, unit):
            if Decimal(after) != Decimal(text):
                yield Slip(path, kind, text, after)


def _changed(text: str, unit: str) -> Iterator[tuple[str, str]]:
    value = Decimal(text)
    for at in range(len(text) - 1):
        if text[at : at + 2].isdigit():
            yield "swapped digits", text[:at] + text[at + 1] + text[at] + text[at + 2 :]
    yield "turned sign", f"{-value:f}"
    yield "times ten", f"{value * 10:f}"
    yield "a tenth", f"{_round(value / 10, unit):f}"
    for more in MILLIMETRES:
        yield f"{more} mm", f"{_round(value + Decimal(more) * PER_MM[unit], unit):f}"


def _round(value: Decimal, unit: str) -> Decimal:
    step = Decimal("0.00005") if unit == "in" else Decimal(1).scaleb(-PLACES[unit])
    return (value / step).to_integral_value() * step


def _get(content: Any, path: Path_) -> Any:
    for key in path:
        content = content[key]
    return content


def with_slip(content: dict[str, Any], slip: Slip) -> dict[str, Any]:
    """Return a job's content with one figure changed."""
    new = copy.deepcopy(content)
    inner = _get(new, slip.path[:-1])
    inner[slip.path[-1]] = (
        slip.after if isinstance(_get(content, slip.path), str) else Decimal(slip.after)
    )
    return new


def understood(case: Case, content: dict[str, Any]) -> Job:
    """Return the job that content says; raises InputError for what is named."""
    job = job_of(content, Path("job"), None)
    hold_together(job, case.catalogue)
    return job


def sizes(job: Job) -> tuple[Any, ...]:
    """Return what of a job's measures a plan is made from."""
    return (
        job.in_hand,
        tuple(
            (
                *extremes(cylinder),
                cylinder.scratch,
                cylinder.piston_size,
                *_form(job, cylinder),
            )
            for cylinder in job.cylinders
        ),
    )


def _form(job: Job, cylinder: Any) -> tuple[int, ...]:
    if not cylinder.readings:
        return ()
    form = bore_form(cylinder, job.convention)
    return form.out_of_round, form.taper


class Outcome(NamedTuple):
    """What became of a slip: `named`, `harmless` or `passed`."""

    slip: Slip
    what: str


def outcomes(case: Case, every: int = 1) -> Iterator[Outcome]:
    """Yield what becomes of every slip in a job, or of one in so many."""
    whole = understood(case, case.content)
    answer = decide(whole, case.catalogue)
    for slip in islice(slips(case), 0, None, every):
        yield Outcome(slip, _outcome(case, whole, answer, with_slip(case.content, slip)))


def outcome_of(case: Case, slip: Slip) -> str:
    """Return what becomes of one slip."""
    whole = understood(case, case.content)
    return _outcome(case, whole, decide(whole, case.catalogue), with_slip(case.content, slip))


def _outcome(case: Case, whole: Job, answer: Answer, content: dict[str, Any]) -> str:
    try:
        job = understood(case, content)
        if sizes(job) == sizes(whole):
            return "harmless"
        other = decide(job, case.catalogue, doubting=True)
    except InputError:
        return "named"
    return "harmless" if same(answer.plan, other.plan) else "passed"


def drawn_cases(count: int) -> Iterator[Case]:
    for seed in range(count):
        drawn = draw(seed)
        yield Case(f"drawn {seed}", drawn.content, drawn.catalogue)


def main(count: int = 200) -> None:
    """Print the table, and every slip that passes."""
    found: Counter[tuple[str, str]] = Counter()
    passed: list[tuple[str, Slip]] = []
    alarms, clean = 0, 0
    for case in (*demo_cases(), *drawn_cases(count)):
        clean += 1
        try:
            decide(understood(case, case.content), case.catalogue, doubting=True)
        except InputError:
            alarms += 1
            continue
        for outcome in outcomes(case):
            found[kind_of(outcome.slip.path), outcome.what] += 1
            if outcome.what == "passed":
                passed.append((case.name, outcome.slip))
    print(f"{'figure':16}{'slips':>8}{'named':>8}{'harmless':>10}{'passed':>8}")
    for kind in sorted({kind for kind, _ in found}):
        row = [found[kind, what] for what in ("named", "harmless", "passed")]
        print(f"{kind:16}{sum(row):8}{row[0]:8}{row[1]:10}{row[2]:8}")
    print(f"false alarms: {alarms} of {clean} clean jobs")
    for name, slip in passed:
        print(f"  {name}: {slip.path}: {slip.before} -> {slip.after} ({slip.kind})")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
