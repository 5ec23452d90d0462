"""The oversizes that a cylinder could take by itself, with available parts."""

from __future__ import annotations

from dataclasses import replace

from fitsolver.choices.options import options
from fitsolver.choices.parts import Candidate
from fitsolver.choices.types import CylinderChoices
from fitsolver.explain.passed_over import to_be_had
from fitsolver.fits.availability import for_sale
from fitsolver.solving.by_itself import fits_alone, serving
from fitsolver.solving.possible import OWN_RULES, alone, possible
from fitsolver.solving.problem import Problem


def oversizes_alone(task: Problem, state: CylinderChoices) -> frozenset[int]:
    """Return the oversizes of a cylinder's options with which it has a plan by itself.

    Money and time are ignored. No search is needed where a size fits with parts in ample supply, or
    does not fit even with every part that has at least one piece.
    """
    lone = alone(task, state.name)
    sizes = frozenset(option.piston.candidate.part.oversize for option in options(state))
    if lone.cylinders[0].ratio is not None or task.job.engine.displacement_limit is not None:
        return frozenset(size for size in sizes if _could_take(lone, size))
    sure = _served(_plenty(lone))
    unsure = (_served(to_be_had(lone)) - sure) & sizes
    return sizes & sure | frozenset(size for size in unsure if _could_take(lone, size))


def _served(lone: Problem) -> frozenset[int]:
    """Return the oversizes with which the only cylinder fits, regardless of supply."""
    keys = serving(lone)
    pistons = (choice.candidate for choice in lone.cylinders[0].pistons)
    return frozenset(piston.part.oversize for piston in pistons if piston.key in keys)


def _plenty(lone: Problem) -> Problem:
    """Return the problem with only those parts whose supply covers any need of one cylinder."""
    [state] = lone.cylinders
    had = for_sale(lone.catalogue)
    held = [*lone.shelf.loose.items()]
    held += [(n, count) for (name, n), count in lone.shelf.reserved.items() if name == state.name]
    for number, count in held:
        had[number] = had.get(number, 0) + count
    most = {place.place: place.most for place in lone.job.gaskets}

    def enough(candidate: Candidate, needed: int) -> bool:
        return bool(candidate.piece) or had[candidate.part.number] >= needed

    gaskets = (g for g in lone.catalogue.gaskets if had[g.number] >= most.get(g.place, 0))
    rings = tuple(ring for ring in lone.shelf.rings if enough(ring, len(ring.part.grooves)))
    pistons = tuple(choice for choice in state.pistons if enough(choice.candidate, 1))
    return replace(
        lone,
        catalogue=lone.catalogue.model_copy(update={"gaskets": tuple(gaskets)}),
        shelf=replace(lone.shelf, rings=rings),
        cylinders=(replace(state, pistons=pistons),),
    )


def _could_take(lone: Problem, oversize: int) -> bool:
    """Tell whether the only cylinder has a plan with a piston of this oversize."""
    [state] = lone.cylinders
    sized = tuple(p for p in state.pistons if p.candidate.part.oversize == oversize)
    of_size = replace(lone, cylinders=(replace(state, pistons=sized),))
    return fits_alone(of_size, OWN_RULES) and possible(of_size)
