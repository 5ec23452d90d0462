"""The most rebuilds after a bore, finish size by finish size (docs/decision.md, docs/ladder.md).

Every finish size of every route is a flag: whether so many rebuilds can follow it. Lengths are
ticks.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from fitsolver.records.catalogue import Catalogue, Route
from fitsolver.records.job import Cylinder, Job

from . import brute_parts as parts
from .brute_parts import PistonChoice, Setting
from .brute_stack import ratio_bounds, timing_holds

#: Finish sizes that there is time to flag one by one.
MOST = 1_000_000

Counts = npt.NDArray[np.int64]


class EndlessError(Exception):
    """Nothing limits the bore, or the wear is not known."""


@dataclass
class Chain:
    """What can follow a finish size of a cylinder.

    `deep[k]` says for each route how many finish sizes up to one, from `start` on, allow k
    rebuilds or more after them.
    """

    routes: list[Route]
    wear: int
    start: int
    deep: list[list[Counts]]
    most: int
    known: dict[tuple[int, int], int] = field(default_factory=dict)

    def left(self, low: int, high: int) -> int:
        """The most rebuilds of a bore with local sizes from low to high."""
        if (low, high) not in self.known:
            count = 0
            while count < len(self.deep) and self._can(self.deep[count], low, high):
                count += 1
            self.known[low, high] = count
        return self.known[low, high]

    def _can(self, flagged: list[Counts], low: int, high: int) -> bool:
        for route, counts in zip(self.routes, flagged, strict=True):
            least = high + self.wear + route.min_cut + route.half_width - self.start
            last = len(counts) - 1
            most = last if route.max_cut is None else low + route.max_cut - self.start + 1
            least, most = min(max(least, 0), last), max(0, min(most, last))
            if counts[most] > counts[least]:
                return True
        return False


def chain_of(job: Job, catalogue: Catalogue, cylinder: Cylinder) -> Chain:
    """The rebuilds to come of a cylinder, with the whole catalogue and nothing pinned."""
    own = cylinder.wear_per_rebuild
    wear = job.wear_per_rebuild if own is None else own
    if wear is None:
        raise EndlessError
    free = cylinder.model_copy(update={"route": None})
    setting = Setting(job.model_copy(update={"finishing": "set size"}), catalogue, free)
    routes = [r for r in parts.routes_of(setting) if r.kind not in ("as is", "restore")]
    new = [route.restored_bore for route in catalogue.routes if route.restored_bore is not None]
    start = min([setting.largest, *new])
    suiting = [_suiting(setting, route, start) for route in routes]
    end = max((last for spans in suiting for _, last in spans), default=start) + 1
    if end - start > MOST:
        raise EndlessError
    flags = [np.zeros(max(0, end - start), bool) for _ in routes]
    for row, spans in zip(flags, suiting, strict=True):
        for first, last in spans:
            row[max(0, first - start) : max(0, last + 1 - start)] = True
    chain = Chain(routes, wear, start, [], _uncut(routes, flags, start, wear))
    allowed = flags
    while any(row.any() for row in allowed):
        chain.deep.append([np.concatenate([[0], np.cumsum(row)]) for row in allowed])
        allowed = [_before(chain, row, at) for at, row in enumerate(flags)]
    return chain


def _before(chain: Chain, fits: npt.NDArray[np.bool_], at: int) -> npt.NDArray[np.bool_]:
    """The finish sizes of one route that can be rebuilt to one that is flagged last."""
    half = chain.routes[at].half_width
    finish = np.arange(len(fits)) + chain.start
    found = np.zeros(len(fits), bool)
    for route, counts in zip(chain.routes, chain.deep[-1], strict=True):
        least = finish + half + chain.wear + route.min_cut + route.half_width - chain.start
        most = np.full(len(fits), len(fits))
        if route.max_cut is not None:
            most = finish - half + route.max_cut - chain.start + 1
        least, most = np.clip(least, 0, len(fits)), np.clip(most, 0, len(fits))
        found |= counts[most] > counts[least]
    return fits & found


def _uncut(routes: list[Route], flags: list[npt.NDArray[np.bool_]], start: int, wear: int) -> int:
    """The most rebuilds of a bore of the size `start`, however much a route would have to cut."""
    count, high = 0, start
    while True:
        tops = []
        for route, row in zip(routes, flags, strict=True):
            least = high + wear + route.min_cut + route.half_width
            later = np.flatnonzero(row[max(0, least - start) :])
            tops += [least + int(later[0]) + route.half_width] if len(later) else []
        if not tops:
            return count
        count, high = count + 1, min(tops)


def _suiting(setting: Setting, route: Route, start: int) -> list[tuple[int, int]]:
    """From where to where finish sizes suit a piston of the catalogue, from `start` on."""
    half, limit = route.half_width, setting.cylinder.bore_limit
    limit = setting.job.engine.bore_limit if limit is None else limit
    found = []
    for part in setting.catalogue.pistons:
        skirt = part.skirt
        mass = part.mass
        piston = PistonChoice(part, "", skirt.low, skirt.high, mass, mass, False)
        if _refused(setting, piston):
            continue
        low, high = parts.clearance_of(setting, piston)
        first = start if low is None else max(start, skirt.high + low + half)
        lasts = [edge for edge in (limit, None if high is None else skirt.low + high) if edge]
        if not lasts:
            raise EndlessError
        if first <= min(lasts) - half:
            found.append((first, min(lasts) - half))
    return found


def _refused(setting: Setting, piston: PistonChoice) -> bool:
    """Is there a rule that this piston can never keep, whatever the bore?"""
    matched = any(setting.cylinder.name in rule.cylinders for rule in setting.job.mass_match)
    if not parts.pin_fits(setting, piston) or (matched and piston.part.mass is None):
        return True
    if piston.part.compression_height is not None:
        return False
    return not (
        parts.squish_holds(setting, piston, ())
        and timing_holds(setting, piston, ())
        and ratio_bounds(setting, piston, ()) is not None
    )
