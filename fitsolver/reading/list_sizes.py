"""Rows of a list as articles with the bore each is made for; which bore is a family's standard."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence

from fitsolver.base.lengths import format_length
from fitsolver.reading.list_cells import (
    STEPS,
    OversizeUnit,
    has_own_unit,
    is_step,
    oversize,
    oversize_units,
    unit_of_heading,
)
from fitsolver.reading.list_entries import NO_BORE, Entry, Open, RefusedError, left_out
from fitsolver.reading.list_mapping import ListMapping
from fitsolver.reading.list_standard import (
    beyond_of,
    common_of,
    grades_apart,
    is_counted,
    own_bores,
    roundness_of,
    skirts_of,
    spread_of,
    standard_bore,
)
from fitsolver.records.intake import Article, Unclear


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
    said = unit_of_heading(mapping.columns.get("oversize", ""))
    if said in units:
        units = (said,)
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
    skirts = skirts_of(rest.standards) if mapping.bores_are is None else ()
    smallest = () if mapping.smallest_is_standard is not None else tuple(rest.smallest)
    unclear = () if unit else tuple(text for text in overs if not has_own_unit(text))
    open_ = Open(
        unclear[:8], units, smallest, mixed=tuple(rest.mixed), families=len(families),
        skirts=skirts, unsized=tuple(rest.unsized), blank=rest.blank,
    )  # fmt: skip
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
        self._common, self._own = common_of(families), own_bores(families)
        self._round = roundness_of(families)
        self.standards: list[int] = []
        self.articles: list[Article] = []
        self.left: list[Unclear] = []
        self.smallest: list[str] = []
        self.mixed: list[str] = []
        self.unsized: list[str] = []
        self.blank = 0
        self._nought_said = any(e.oversize == 0 for one in families.values() for e in one)

    def take(self, family: str, members: Sequence[Entry]) -> None:
        """Take in the articles of a family whose sizes confirm each other."""
        if spread_of(members) > STEPS[1]:
            self.mixed.append(family)
            reason = f"the bores of {family} lie further apart than oversizes of one engine"
            self.left += [left_out(entry, "bore", reason) for entry in members]
            return
        standard = self._standard(family, members)
        if standard is not None:
            self.standards.append(standard)
        elif not any(e.bore for e in members) and any(e.oversize is not None for e in members):
            self.unsized.append(family)
        self._fill_blanks(members, standard)
        graded = grades_apart(members)
        counted, beyond = is_counted(members, standard), beyond_of(members)
        for entry in members:
            try:
                nominal, oversize = _nominal(entry, standard, self._own)
                if entry.nth and not counted:
                    raise RefusedError("oversize", "counted oversizes do not rise with their bores")
                _is_made(oversize, self._common, beyond)
                if entry.bare_grade and not graded:
                    raise RefusedError("grade", f"'{entry.grade}' may be a grade or a number")
            except RefusedError as refused:
                self.left.append(left_out(entry, refused.field, refused.reason))
            else:
                self.articles.append(_article(entry, nominal, oversize))

    def _fill_blanks(self, members: Sequence[Entry], standard: int | None) -> None:
        """Take rows without any size as of oversize 0 where a person said so."""
        blank = [e for e in members if e.bore is None and e.oversize is None and not e.nth]
        said = self._nought_said or len(blank) == len(members)
        if standard is None or said:
            return  # a list that writes out oversize 0 means something else by a blank
        self.blank += len(blank) if self._mapping.blank_is_standard is None else 0
        for entry in blank if self._mapping.blank_is_standard else ():
            entry.oversize = 0

    def _standard(self, family: str, members: Sequence[Entry]) -> int | None:
        told = self._mapping.standard_bore.get(family) or self._sheet_bores.get(family)
        standard = standard_bore(members, told, self._own)
        if standard is None and not any(e.overs for e in members):
            self.smallest.append(family)
            if self._mapping.smallest_is_standard:
                least = min((e.bore for e in members if e.bore is not None), default=None)
                return None if least is None or least % self._round else least
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


def _is_made(oversize: int, common: Collection[int], beyond: int) -> None:
    if beyond < oversize <= STEPS[1] and oversize not in common:
        shown = format_length(oversize, "mm", symbol=True)
        raise RefusedError("oversize", f"{shown} lies far beyond the family's other oversizes")
    if not is_step(oversize) and not (0 <= oversize <= STEPS[1] and oversize in common):
        shown = format_length(oversize, "mm", symbol=True)
        raise RefusedError("oversize", f"{shown} is no oversize that parts are made in")


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
