"""Kits with parts of two sizes, or with mismatched counts."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from typing import Final, NamedTuple

from fitsolver.doubts.finding import Finding, Show, shower
from fitsolver.doubts.sisters import FEWEST
from fitsolver.records.catalogue import Catalogue, Gasket, Kit, Piston, Ring

Role = tuple[
    str, ...
]  # the kind of a part in a kit: a piston, a ring for its grooves, a gasket's place

#: More gaskets of one number than this in a kit are a slip (common practice, no source).
GASKETS_MOST: Final = 12


class _Held(NamedTuple):
    """A kit with its contents, and the excess of its rings over its pistons' bore."""

    kit: Kit
    parts: dict[str, Piston | Ring | Gasket]
    roles: Counter[Role]
    over: frozenset[int]

    @property
    def bores(self) -> set[int]:
        return {part.nominal_bore for part in self.parts.values() if isinstance(part, Piston)}


def kits(catalogue: Catalogue) -> Iterator[Finding]:
    """Yield what is out of line in the rows of the kits' table."""
    show = shower(catalogue.unit)
    tables: tuple[tuple[Piston | Ring | Gasket, ...], ...] = (
        catalogue.pistons,
        catalogue.rings,
        catalogue.gaskets,
    )
    articles = {part.number: part for table in tables for part in table}
    held = [_held(kit, articles) for kit in catalogue.kits]
    matched = sum(each.over == {0} for each in held)
    over = Counter(each.over for each in held)
    for each in held:
        yield from _two_sizes(each, show)
        if each.over - {0} and over[each.over] == 1 and matched >= FEWEST:
            text = f"a ring {show(max(each.over))} over the bore of its piston, where the rings of "
            yield _found(each.kit, f"{text}{matched} other kits are of their pistons' size")
        yield from _counts(each)
    yield from _beside_sisters(held)


def _found(kit: Kit, sentence: str) -> Finding:
    return Finding("kits", kit.number, "contents", sentence)


def _held(kit: Kit, articles: Mapping[str, Piston | Ring | Gasket]) -> _Held:
    parts = {i.number: articles[i.number] for i in kit.contents if i.number in articles}
    roles: Counter[Role] = Counter()
    for item in kit.contents:
        if item.number in parts:
            roles[_role(parts[item.number])] += item.count
    bores = {part.nominal_bore for part in parts.values() if isinstance(part, Piston)}
    gauges = {part.gauge_diameter for part in parts.values() if isinstance(part, Ring)}
    base = min(bores, default=0)
    return _Held(kit, parts, roles, frozenset(gauge - base for gauge in gauges if bores))


def _role(part: Piston | Ring | Gasket) -> Role:
    if isinstance(part, Piston):
        return ("piston",)
    if isinstance(part, Ring):
        return ("ring", *map(str, part.grooves))
    return ("gasket", part.place)


def _two_sizes(held: _Held, show: Show) -> Iterator[Finding]:
    bores = sorted(held.bores)
    gauges = sorted({p.gauge_diameter for p in held.parts.values() if isinstance(p, Ring)})
    if len(bores) > 1:
        text = f"pistons for bores of {show(bores[0])} and {show(bores[-1])}; one bore is expected"
        yield _found(held.kit, text)
    elif bores and gauges and gauges[0] < bores[0]:
        text = f"a ring for a bore of {show(gauges[0])} with a piston for {show(bores[0])}; a ring "
        yield _found(held.kit, text + "of the piston's size or over is expected")
    elif len(gauges) > 1:
        text = f"rings for bores of {show(gauges[0])} and {show(gauges[-1])}; one bore is expected"
        yield _found(held.kit, text)


def _counts(held: _Held) -> Iterator[Finding]:
    """Mismatched counts: fewer rings than grooves, or more than one spare for each."""
    pistons = held.roles[("piston",)]
    rings = {role: count for role, count in held.roles.items() if role[0] == "ring"}
    if pistons:
        for role, count in rings.items():
            grooves = len(role) - 1
            if count > 2 * pistons * grooves or (grooves == 1 and count < pistons):
                text = f"{pistons} x piston and {count} x ring for groove {' and '.join(role[1:])}"
                yield _found(held.kit, f"{text}; {pistons * grooves} rings are expected")
    elif len(rings) > 1:
        per_groove = {count / (len(role) - 1) for role, count in rings.items()}
        if len(per_groove) > 1:
            text = _told(Counter(rings))
            yield _found(held.kit, f"{text}; as many rings for each groove are expected")
    for item in held.kit.contents:
        if isinstance(held.parts.get(item.number), Gasket) and item.count > GASKETS_MOST:
            text = f"{item.count} x {item.number}; at most {GASKETS_MOST} of a gasket are expected"
            yield _found(held.kit, text)


def _beside_sisters(held: list[_Held]) -> Iterator[Finding]:
    """The single kit with other counts among kits with the same kinds of parts."""
    alike: dict[frozenset[Role], list[_Held]] = defaultdict(list)
    for each in held:
        pistons = each.roles[("piston",)]
        alike[frozenset({*each.roles, ("pistons", str(pistons))})].append(each)
    for sisters in alike.values():
        counts = Counter(_told(each.roles) for each in sisters)
        usual, most = counts.most_common(1)[0]
        for each in sisters:
            own = _told(each.roles)
            if own != usual and counts[own] == 1 and most >= max(FEWEST, 2 * (len(counts) - 1)):
                text = f"{own}; {usual} is expected, as in {most} sister rows"
                yield _found(each.kit, text)


def _told(roles: Counter[Role]) -> str:
    counted = sorted((role, count) for role, count in roles.items() if count)
    return ", ".join(f"{count} x {' '.join(role)}" for role, count in counted)
