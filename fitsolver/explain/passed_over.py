"""Sizes that fit with less removal but cannot be had: arithmetic on the choices, no search."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf

from fitsolver.base.lengths import Unit, format_length
from fitsolver.choices.options import options
from fitsolver.choices.ring_options import ring_options
from fitsolver.choices.selection import CylinderSelection, Selection
from fitsolver.choices.types import CylinderChoices, PistonChoice, RouteChoice
from fitsolver.explain.supply import Supply
from fitsolver.matching.words import CYLINDER, called
from fitsolver.records.catalogue import Gasket
from fitsolver.solving.by_itself import fits_alone, least_removal
from fitsolver.solving.possible import OWN_RULES, alone
from fitsolver.solving.problem import Problem


@dataclass(frozen=True, slots=True)
class Passed:
    """A size that fits some cylinders, each by itself, but lacks parts for them.

    `removal` is the least removal of each cylinder (ticks; None where a window on the compression
    ratio ties it to the gaskets). `lacking` names the parts and their stock.
    """

    cylinders: tuple[str, ...]
    oversize: int
    removal: tuple[int | None, ...]
    lacking: str

    def sentence(self, task: Problem) -> str:
        """Return the sentence: the size, its removal, the stock of its parts."""
        unit, names = task.job.unit, self.cylinders
        said = f"{_size(self.oversize, unit)} fits {called(names, CYLINDER)}"
        known = [
            format_length(each, unit, "up", symbol=True)
            for each in self.removal
            if each is not None
        ]
        if known:
            said += f", {' and '.join(dict.fromkeys(known))} removed"
        return f"{said}; {self.lacking}"


def alike_together(found: Sequence[Passed]) -> tuple[Passed, ...]:
    """Return the sizes passed over; cylinders with the same text are merged."""
    alike: dict[tuple[int, tuple[int | None, ...], str], list[str]] = {}
    for each in found:
        removal = tuple(dict.fromkeys(each.removal))
        alike.setdefault((each.oversize, removal, each.lacking), []).extend(each.cylinders)
    return tuple(Passed(tuple(names), *key) for key, names in alike.items())


def passed_over(task: Problem, selection: Selection) -> tuple[str, ...]:
    """Return a sentence on each size that fits with less removed than planned but cannot be had.

    Sizes on routes that restore the bore are left aside.
    """
    sizes = {
        state.name: chosen.option.piston.candidate.part.oversize
        for state, chosen in zip(task.cylinders, selection.cylinders, strict=True)
    }
    said = []
    for found in alike_together(list(sizes_passed_over(task, selection))):
        picked = dict.fromkeys(_size(sizes[name], task.job.unit) for name in found.cylinders)
        were = "were" if len(picked) > 1 else "was"
        sentence = found.sentence(task)
        instead = f"{' and '.join(picked)} {were} picked instead"
        said.append(f"{sentence[0].upper()}{sentence[1:]}; {instead}")
    return tuple(said)


def _size(oversize: int, unit: Unit) -> str:
    return (
        format_length(oversize, unit, sign=True, symbol=True) if oversize else "the standard size"
    )


def sizes_passed_over(task: Problem, selection: Selection | None) -> Iterator[Passed]:
    """Yield the sizes that fit but cannot be had; those of a set of one size together.

    With a `selection`: only those with less removal; else all.
    """
    supply = Supply(task)
    if supply.endless:
        return
    for members in _sets(task):
        chosen = None if selection is None else [selection.cylinders[index] for index in members]
        others = None if selection is None else _others(selection, members)
        yield from _of_set(task, members, chosen, supply.without(others))


def _others(selection: Selection, members: Sequence[int]) -> list[CylinderSelection]:
    return [each for index, each in enumerate(selection.cylinders) if index not in members]


def _sets(task: Problem) -> list[list[int]]:
    """Return the cylinders by index: those that must have one size together."""
    found = [[index] for index in range(len(task.cylinders))]
    for rule in task.job.same_size:
        joined = [each for each in found if any(_name(task, i) in rule.cylinders for i in each)]
        found = [each for each in found if each not in joined]
        found.append(sorted(index for each in joined for index in each))
    return sorted(each for each in found if each)


def _name(task: Problem, index: int) -> str:
    return task.cylinders[index].name


def _of_set(
    task: Problem,
    members: Sequence[int],
    chosen: Sequence[CylinderSelection] | None,
    supply: Supply,
) -> Iterator[Passed]:
    states = [_not_restored(task.cylinders[index]) for index in members]
    for oversize in _worth_a_look(states, chosen):
        sized = [_of_size(task, state, oversize) for state in states]
        if not all(fits_alone(single, OWN_RULES) for single in sized):
            continue
        removal = tuple(_removal(single) for single in sized)
        lacking = _lacking(sized, supply) if _less(removal, chosen) else ""
        if lacking:
            yield Passed(tuple(state.name for state in states), oversize, removal, lacking)


def _not_restored(state: CylinderChoices) -> CylinderChoices:
    return replace(state, routes=tuple(c for c in state.routes if c.route.kind != "restore"))


def _worth_a_look(
    states: Sequence[CylinderChoices], chosen: Sequence[CylinderSelection] | None
) -> list[int]:
    """Return the oversizes that every cylinder has an option of, but for the one chosen."""
    planned = _planned(chosen)
    sizes = [_least_by_size(state, planned) for state in states]
    common = set(sizes[0]).intersection(*sizes[1:])
    if chosen is not None:
        common.discard(chosen[0].option.piston.candidate.part.oversize)
    return sorted(size for size in common if _less([each[size] for each in sizes], chosen))


def _least_by_size(state: CylinderChoices, planned: int | None) -> dict[int, int]:
    """Return the least removal (ticks) that bore and skirt alone permit, by oversize.

    A size may be missing if its removal is not below `planned` (ticks, over all cylinders).
    """
    if planned is not None:
        near = (p for p in state.pistons if any(_floor(p, c) < planned for c in state.routes))
        state = replace(state, pistons=tuple(near))
    found: dict[int, int] = {}
    for option in options(state, OWN_RULES):
        size, least = option.piston.candidate.part.oversize, option.least_removal
        found[size] = min(least, found.get(size, least))
    return found


def _floor(piston: PistonChoice, choice: RouteChoice) -> float:
    """Return the least removal (ticks) that skirt and least clearance alone require."""
    lowest = piston.candidate.skirt.low + (piston.window(machined=choice.route.machined).low or 0)
    if choice.route.machined:
        return lowest + choice.spread - choice.removal_offset
    return 0 if lowest <= choice.smallest else inf


def _planned(chosen: Sequence[CylinderSelection] | None) -> int | None:
    """Return the removal that was chosen; None where a bore is restored, which counts more."""
    if chosen is None or any(each.option.route.route.kind == "restore" for each in chosen):
        return None
    return sum(each.high - each.option.removal_offset for each in chosen)


def _less(removal: Sequence[int | None], chosen: Sequence[CylinderSelection] | None) -> bool:
    """Tell whether so much removal is less than what was chosen."""
    planned = _planned(chosen)
    if planned is None:
        return True
    return any(each is None for each in removal) or sum(each or 0 for each in removal) < planned


def _of_size(task: Problem, state: CylinderChoices, oversize: int) -> Problem:
    """Return the problem of one cylinder with pistons of one oversize."""
    sized = tuple(p for p in state.pistons if p.candidate.part.oversize == oversize)
    single = task if state.ratio is None else alone(task, state.name)
    return replace(single, cylinders=(replace(state, pistons=sized),))


def _removal(single: Problem) -> int | None:
    return None if single.cylinders[0].ratio is not None else least_removal(single)


def _lacking(sized: Sequence[Problem], supply: Supply) -> str:
    """Return the parts of a size that are too few for all its cylinders; empty: none."""
    needed = len(sized)
    pistons = {
        option.piston.candidate.key: option.piston.candidate
        for single in sized
        for option in options(single.cylinders[0], OWN_RULES)
    }
    had = sum(
        1 if candidate.piece else supply.left[candidate.part.number]
        for candidate in pistons.values()
        if supply.has(candidate)
    )
    if had < needed or not _fit(sized, supply, {"pistons"}):
        return supply.words((c.part.number for c in pistons.values()), needed)
    if _fit(sized, supply, {"pistons", "rings", "gaskets"}):
        return ""
    if not _fit(sized, supply, {"pistons", "rings"}):
        return supply.words(_rings_out(sized, supply), needed)
    return supply.words(
        (g.number for g in sized[0].catalogue.gaskets if supply.left[g.number] <= 0), needed
    )


def _fit(sized: Sequence[Problem], supply: Supply, kinds: set[str]) -> bool:
    """Tell whether each cylinder fits by itself with what can be had of some kinds of parts."""
    return all(fits_alone(_to_be_had(single, supply, kinds), OWN_RULES) for single in sized)


def to_be_had(task: Problem) -> Problem:
    """Return the problem without the parts that have no available piece."""
    return _to_be_had(task, Supply(task), {"pistons", "rings", "gaskets"})


def _to_be_had(task: Problem, supply: Supply, kinds: set[str]) -> Problem:
    states, parts, catalogue = task.cylinders, task.shelf, task.catalogue
    if "pistons" in kinds:
        states = tuple(
            replace(state, pistons=tuple(p for p in state.pistons if supply.has(p.candidate)))
            for state in states
        )
    if "rings" in kinds:
        parts = replace(parts, rings=tuple(ring for ring in parts.rings if supply.has(ring)))
    if "gaskets" in kinds:
        gaskets: tuple[Gasket, ...] = tuple(
            gasket for gasket in catalogue.gaskets if supply.left[gasket.number] > 0
        )
        catalogue = catalogue.model_copy(update={"gaskets": gaskets})
    return replace(task, cylinders=states, shelf=parts, catalogue=catalogue)


def _rings_out(sized: Sequence[Problem], supply: Supply) -> Iterator[str]:
    """Yield the numbers of rings that would serve, each by its bounds, and cannot be had."""
    for single in sized:
        [state] = single.cylinders
        offered = options(state, OWN_RULES)
        for ring in ring_options(state, offered, single.shelf.rings, OWN_RULES):
            if not supply.has(ring.candidate):
                yield ring.candidate.part.number
