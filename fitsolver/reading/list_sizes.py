"""Rows of a list as articles with the bore each is made for; which bore is a family's standard."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from fitsolver.base.lengths import format_length
from fitsolver.reading.list_cells import (
    STEPS,
    OversizeUnit,
    has_own_unit,
    is_step,
    oversize,
    oversize_units,
)
from fitsolver.reading.list_kinds import Kind
from fitsolver.reading.list_mapping import ListMapping
from fitsolver.records.intake import Article, Unclear

#: Kinds without a bore of their own, and those of which nothing but number and price is read.
NO_BORE: Final = ("gasket", "pin", "circlip")


@dataclass(slots=True)
class Entry:
    """A row on its way: what its cells and its description say, sizes in ticks.

    `overs` are the oversizes of its column and its description as they stand there; `standard`
    the standard bore, where a column of its own has it; `nth` the place of the oversize in its
    row of sizes, where the description counts them.
    """

    sheet: str
    row: int
    number: str
    description: str
    family: str
    kind: Kind
    bore: int | None
    standard: int | None
    overs: tuple[str, ...]
    grade: str
    place: str
    thickness: int | None
    price: int | None
    stock: int
    lead_days: int | None
    nth: int = 0
    oversize: int | None = None

    def figures(self) -> tuple[object, ...]:
        """Return all that is read of a row but where it stands."""
        return (
            self.number, self.description, self.family, self.kind, self.bore, self.standard,
            self.overs, self.grade, self.place, self.thickness, self.price, self.stock,
            self.lead_days,
        )  # fmt: skip


@dataclass(frozen=True)
class Open:
    """What the rows of a list leave open; '' and () where nothing is.

    `overs`: oversizes of which the unit is not known, with the units that make sense of them.
    `smallest`: families of which only the smallest bore could be the standard one. `words` of
    descriptions that are not known, with their rows. `headings`, `sheet_names`: engine types that
    stand between the rows, or name sheets. `fill`: rows without an engine type below one that has
    it. `lead`: lead times without a unit. `mixed`: engine types, of `families`, whose bores lie too
    far apart. `no_bores`: most bores are none in the list's unit. `price_note`: a note that prices
    are for several pieces.
    """

    overs: tuple[str, ...] = ()
    units: tuple[OversizeUnit, ...] = ()
    smallest: tuple[str, ...] = ()
    words: Mapping[str, int] = field(default_factory=dict)
    headings: tuple[str, ...] = ()
    sheet_names: tuple[str, ...] = ()
    fill: int = 0
    lead: bool = False
    mixed: tuple[str, ...] = ()
    families: int = 0
    no_bores: tuple[str, ...] = ()
    price_note: str = ""


class RefusedError(Exception):
    """A row that is not understood: at which field, and why."""

    def __init__(self, field: str, reason: str) -> None:
        self.field, self.reason = field, reason
        super().__init__(reason)


def left_out(entry: Entry, field: str, reason: str) -> Unclear:
    """Return a row as one that is not taken in."""
    return Unclear(
        sheet=entry.sheet,
        row=entry.row,
        number=entry.number,
        description=entry.description,
        field=field,
        reason=reason,
    )


def sized(
    entries: Sequence[Entry], mapping: ListMapping, sheet_bores: Mapping[str, int]
) -> tuple[list[Article], list[Unclear], Open]:
    """Return the articles with the bore each is made for, those whose bore cannot be told, and why.

    What a row says is taken where another figure confirms it: the standard bore of its family,
    the row of oversizes that parts are made in, the sheet of the family.
    """
    articles: list[Article] = []
    left: list[Unclear] = []
    families: dict[str, list[Entry]] = defaultdict(list)
    overs = Counter(e.overs[0] for e in entries if e.overs and e.kind not in NO_BORE)
    units = oversize_units(list(overs.items()), mapping.units)
    unit = mapping.oversize_unit or (units[0] if len(units) == 1 else None)
    for entry in entries:
        if entry.kind in NO_BORE:
            articles.append(_article(entry, None, None))
            continue
        try:
            entry.oversize = _oversize(entry, unit)
        except RefusedError as refused:
            left.append(left_out(entry, refused.field, refused.reason))
        else:
            families[entry.family].append(entry)
    rest = _Families(families, mapping, sheet_bores)
    for family, members in families.items():
        rest.take(family, members)
    smallest = () if mapping.smallest_is_standard is not None else tuple(rest.smallest)
    unclear = () if unit else tuple(text for text in overs if not has_own_unit(text))
    open_ = Open(unclear[:8], units, smallest, mixed=tuple(rest.mixed), families=len(families))
    return [*articles, *rest.articles], [*left, *rest.left], open_


class _Families:
    """Takes in the articles of one family after the other."""

    def __init__(
        self,
        families: Mapping[str, Sequence[Entry]],
        mapping: ListMapping,
        sheet_bores: Mapping[str, int],
    ) -> None:
        self._mapping, self._sheet_bores = mapping, sheet_bores
        self._common, self._own = _common(families), _own_bores(families)
        self.articles: list[Article] = []
        self.left: list[Unclear] = []
        self.smallest: list[str] = []
        self.mixed: list[str] = []

    def take(self, family: str, members: Sequence[Entry]) -> None:
        """Take in the articles of a family whose sizes confirm each other."""
        if _spread(members) > STEPS[1]:
            self.mixed.append(family)
            reason = f"the bores of {family} lie further apart than oversizes of one engine"
            self.left += [left_out(entry, "bore", reason) for entry in members]
            return
        standard = self._standard(family, members)
        counted, beyond = _counted(members, standard), _beyond(members)
        for entry in members:
            try:
                nominal, oversize = _nominal(entry, standard, self._own)
                if entry.nth and not counted:
                    raise RefusedError("oversize", "counted oversizes do not rise with their bores")
                _is_made(oversize, self._common, beyond)
            except RefusedError as refused:
                self.left.append(left_out(entry, refused.field, refused.reason))
            else:
                self.articles.append(_article(entry, nominal, oversize))

    def _standard(self, family: str, members: Sequence[Entry]) -> int | None:
        told = self._mapping.standard_bore.get(family) or self._sheet_bores.get(family)
        standard = standard_bore(members, told, self._own)
        if standard is None and not any(e.overs for e in members):
            self.smallest.append(family)
            if self._mapping.smallest_is_standard:
                return min((e.bore for e in members if e.bore is not None), default=None)
        return standard


def _oversize(entry: Entry, unit: OversizeUnit | None) -> int | None:
    """Return the oversize that column and description name, None where neither does."""
    found: set[int] = set()
    for text in entry.overs:
        if unit is None and not has_own_unit(text):
            raise RefusedError("oversize", f"the unit of the oversize '{text}' is not known")
        ticks = oversize(text, unit or "mm")
        if ticks is None:
            raise RefusedError("oversize", f"'{text}' is no size")
        found.add(ticks)
    if len(found) > 1:
        raise RefusedError(
            "oversize", f"the column says {entry.overs[0]}, the description {entry.overs[1]}"
        )
    if entry.standard is not None and entry.bore is not None:
        found.add(entry.bore - entry.standard)
        if len(found) > 1:
            raise RefusedError("oversize", "bore less standard bore is another oversize")
    return found.pop() if found else None


def _counted(members: Sequence[Entry], standard: int | None) -> bool:
    """Tell whether the first, second, third oversizes of a family rise with their bores."""
    found: dict[int, set[int]] = defaultdict(set)
    for entry in members:
        if entry.nth and entry.bore is not None:
            found[entry.nth].add(entry.bore)
    bores = [bore for nth in sorted(found) for bore in found[nth]]
    rising = all(low < high for low, high in pairwise(bores))
    return rising and len(bores) == len(found) and (standard or 0) < min(bores, default=0)


def _spread(members: Sequence[Entry]) -> int:
    bores = [e.bore for e in members if e.bore is not None]
    bores += [e.standard for e in members if e.standard is not None]
    return max(bores, default=0) - min(bores, default=0)


def _common(families: Mapping[str, Sequence[Entry]]) -> frozenset[int]:
    """Return the oversizes that stand in several families: the list's own row of sizes."""
    seen: Counter[int] = Counter()
    for members in families.values():
        seen.update({e.oversize for e in members if e.oversize is not None})
    return frozenset(size for size, times in seen.items() if times > 2)


def _beyond(members: Sequence[Entry]) -> int:
    """Return the oversize above which those of a family lie far off: slips of the pen."""
    sizes = sorted(
        {e.oversize for e in members if e.oversize is not None and 0 <= e.oversize <= STEPS[1]}
    )
    gaps = [high - low for low, high in pairwise(sizes)]
    for at in range(_GAPS, len(gaps)):
        if gaps[at] > max(_GAP, _FAR * max(gaps[:at])):
            return sizes[at]
    return STEPS[1]


#: Steps between oversizes by which a gap is judged, a gap that is none, and how many times the
#: largest other step one is.
_GAPS: Final = 2
_GAP: Final = 60_000
_FAR: Final = 2.5


def _is_made(oversize: int, common: Collection[int], beyond: int) -> None:
    if beyond < oversize <= STEPS[1]:
        shown = format_length(oversize, "mm", symbol=True)
        raise RefusedError("oversize", f"{shown} lies far beyond the family's other oversizes")
    if not is_step(oversize) and not (0 <= oversize <= STEPS[1] and oversize in common):
        shown = format_length(oversize, "mm", symbol=True)
        raise RefusedError("oversize", f"{shown} is no oversize that parts are made in")


def _own_bores(families: Mapping[str, Sequence[Entry]]) -> bool | None:
    """Tell whether the bores of a list are the oversizes' own (True) or the standard bores.

    All families that can tell must say the same; None where they do not, or none can.
    """
    told = {
        kind for members in families.values() if (kind := bores_are_standard(members)) is not None
    }
    return not told.pop() if len(told) == 1 else None


def _article(entry: Entry, nominal: int | None, oversize: int | None) -> Article:
    return Article(
        number=entry.number,
        kind=entry.kind,
        family=entry.family,
        description=entry.description,
        nominal_bore=nominal,
        oversize=oversize,
        grade=entry.grade,
        place=entry.place,
        thickness=entry.thickness,
        price=entry.price,
        stock=entry.stock,
        lead_days=entry.lead_days,
        sheet=entry.sheet,
        row=entry.row,
    )


def bores_are_standard(members: Sequence[Entry]) -> bool | None:
    """Tell whether the bore beside an oversize is the standard bore (True) or the oversize's own.

    One bore for several oversizes is the standard one; bores that grow with the oversize are
    their own. None where the rows of a family cannot tell.
    """
    both = {(e.bore, e.oversize) for e in members if e.bore is not None and e.oversize is not None}
    sizes = {oversize for _, oversize in both}
    if len(sizes) < 2:
        return None
    if len({bore for bore, _ in both}) == 1:
        return True
    if (
        len(
            {
                bore - oversize
                for bore, oversize in both
                if bore is not None and oversize is not None
            }
        )
        == 1
    ):
        return False
    return None


def standard_bore(members: Sequence[Entry], told: int | None, own: bool | None) -> int | None:
    """Return the bore of oversize 0 of a family, None where its rows cannot tell.

    `own`: the bores of the list are the oversizes' own.
    """
    if told is not None:
        return told
    stated = Counter(e.standard for e in members if e.standard is not None)
    for e in members:
        if e.bore is not None and e.oversize is not None and (own is not None or not e.oversize):
            stated[e.bore - e.oversize if own else e.bore] += 1
    ((bore, times), *_) = stated.most_common(1) or [(0, 0)]
    return bore if times and times >= _MOST * stated.total() else None


#: Share of the rows of a family that must agree on its standard bore; the others are named.
_MOST: Final = 0.75


def _nominal(entry: Entry, standard: int | None, own: bool | None) -> tuple[int, int]:
    bore, oversize = entry.bore, entry.oversize
    if standard is None:
        raise RefusedError("bore", f"the standard bore of {entry.family} is not known")
    if bore is None and oversize is None:
        raise RefusedError("bore", "no size stands here")
    if oversize is None:
        assert bore is not None
        if bore < standard:
            shown = format_length(standard, "mm", symbol=True)
            raise RefusedError("bore", f"it is below the standard bore of {shown}")
        return bore, bore - standard
    either = {None: (standard, standard + oversize), True: (standard + oversize,)}
    fits = either.get(own, (standard,)) if entry.standard is None else (standard + oversize,)
    if bore is None or bore in fits:
        return standard + oversize, oversize
    shown = format_length(standard, "mm", symbol=True)
    raise RefusedError("bore", f"bore and oversize do not go with the standard bore of {shown}")


def standard_bores(articles: Iterable[Article]) -> Mapping[str, int]:
    """Return the standard bore of every family that has pistons."""
    return {
        article.family: article.nominal_bore - article.oversize
        for article in articles
        if article.nominal_bore is not None and article.oversize is not None
    }
