"""Rows of a list as articles with the bore each is made for; which bore is a family's standard."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from fitsolver.base.lengths import format_length
from fitsolver.reading.list_kinds import Kind
from fitsolver.reading.list_mapping import ListMapping
from fitsolver.records.intake import Article, Unclear

#: Kinds without a bore of their own, and those of which nothing but number and price is read.
NO_BORE: Final = ("gasket", "pin", "circlip")


@dataclass(frozen=True)
class Entry:
    """A row on its way: what its cells and its description say, sizes in ticks."""

    sheet: str
    row: int
    number: str
    description: str
    family: str
    kind: Kind
    bore: int | None
    oversize: int | None
    grade: str
    place: str
    thickness: int | None
    price: int | None
    stock: int
    lead_days: int | None


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


def sized(entries: Sequence[Entry], mapping: ListMapping) -> tuple[list[Article], list[Unclear]]:
    """Return the articles with the bore each is made for, and those whose bore cannot be told."""
    articles: list[Article] = []
    left: list[Unclear] = []
    families: dict[str, list[Entry]] = defaultdict(list)
    for entry in entries:
        if entry.kind in NO_BORE:
            articles.append(_article(entry, None, None))
        else:
            families[entry.family].append(entry)
    for family, members in families.items():
        standard = standard_bore(members, mapping.standard_bore.get(family))
        for entry in members:
            try:
                nominal, oversize = _nominal(entry, standard, members)
            except RefusedError as refused:
                left.append(left_out(entry, refused.field, refused.reason))
            else:
                articles.append(_article(entry, nominal, oversize))
    return articles, left


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


def standard_bore(members: Sequence[Entry], told: int | None) -> int | None:
    """Return the bore of oversize 0 of a family, None where its rows cannot tell."""
    if told is not None:
        return told
    plain_ones = {e.bore for e in members if e.oversize == 0 and e.bore is not None}
    if len(plain_ones) == 1:
        return plain_ones.pop()
    kind = bores_are_standard(members)
    both = [e for e in members if e.bore is not None and e.oversize is not None]
    if kind is True:
        return both[0].bore
    if kind is False:
        first = both[0]
        assert first.bore is not None and first.oversize is not None
        return first.bore - first.oversize
    if not any(e.oversize is not None for e in members):
        return min((e.bore for e in members if e.bore is not None), default=None)
    return None


def _nominal(entry: Entry, standard: int | None, members: Sequence[Entry]) -> tuple[int, int]:
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
    if bore is None or bore in (standard, standard + oversize):
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
