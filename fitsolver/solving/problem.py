"""A job with all its choices, and the models built from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from ortools.sat.python import cp_model

from fitsolver.base.running import look
from fitsolver.choices.candidates import shelf
from fitsolver.choices.options import choices
from fitsolver.choices.parts import Shelf
from fitsolver.choices.rebuilds import ahead
from fitsolver.choices.ring_options import ring_options
from fitsolver.choices.selection import Selection
from fitsolver.choices.types import ALL_RULES, CylinderChoices, Option
from fitsolver.records.base import RuleId
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.solving.build import build
from fitsolver.solving.variables import Choices, Model, new_model


@dataclass(frozen=True, slots=True)
class Problem:
    """A job with everything it may choose from."""

    job: Job
    catalogue: Catalogue
    shelf: Shelf
    cylinders: tuple[CylinderChoices, ...]


def problem(job: Job, catalogue: Catalogue) -> Problem:
    """Return the job's choices; raise InputError for unknown parts or routes."""
    parts = shelf(job, catalogue)
    return Problem(job, catalogue, parts, choices(job, catalogue, parts))


def narrow_model(
    task: Problem,
    chosen: Sequence[Sequence[Option]],
    active: frozenset[RuleId] = ALL_RULES,
    cp: cp_model.CpModel | None = None,
) -> Model | None:
    """Return the model of the options chosen and the rings that serve them; None without rings.

    `cp` adds it to a model that holds other jobs.
    """
    found = []
    for state, offered in zip(task.cylinders, chosen, strict=True):
        look()
        rings = ring_options(state, offered, task.shelf.rings, active)
        served = {(ring.ring_class, ring.groove) for ring in rings}
        left = [
            option
            for option in offered
            if all(
                (option.piston.ring_class, groove.number) in served
                for groove in option.piston.ring_class.grooves
            )
        ]
        if not left:
            return None
        found.append(Choices(state, left, rings))
    return built(task, found, active, cp)


def built(
    task: Problem,
    found: Sequence[Choices],
    active: frozenset[RuleId] = ALL_RULES,
    cp: cp_model.CpModel | None = None,
) -> Model:
    """Return the model of what each cylinder may choose from; `cp` as for `narrow_model`."""
    later = partial(ahead, task.job, task.catalogue)
    return build(new_model(task.job, task.catalogue, task.shelf, found, later, active, cp))


def chosen_model(task: Problem, selection: Selection) -> Model:
    """Return the model with pistons, routes, rings and stacks fixed to the selection."""
    found = [
        Choices(state, [chosen.option], list(chosen.rings.values()))
        for state, chosen in zip(task.cylinders, selection.cylinders, strict=True)
    ]
    model = built(task, found)
    for cylinder, chosen in zip(model.cylinders, selection.cylinders, strict=True):
        for place, stack in cylinder.stacks.items():
            for gasket, count in stack:
                model.cp.add(count == chosen.stacks[place].get(gasket.number, 0))
    return model
