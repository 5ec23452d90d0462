"""A look through a catalogue of several families: each summed up, doubts of all told once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from fitsolver.base.errors import InputError
from fitsolver.fits.availability import from_stock
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.review import CatalogueReview, Counts, FamilySummary, kind_of
from fitsolver.usecases.catalogue_review import most_serious_first, review

#: A family as it was read, or why it cannot be.
Read = tuple[str, Catalogue | InputError]


def review_families(read: Sequence[Read], version: str = "") -> CatalogueReview:
    """Return the summary of every family, and the doubtful entries of all, each once.

    Raises the InputError of the first where no family can be read.
    """
    catalogues = [each for _, each in read if isinstance(each, Catalogue)]
    if not catalogues:
        raise next(each for _, each in read if isinstance(each, InputError))
    looked = {each.family: review(each, version) for each in catalogues}
    kinds = [{kind_of(doubt) for doubt in one.doubtful} for one in looked.values()]
    common = set.intersection(*kinds) if len(kinds) > 1 else set()
    first = catalogues[0]
    doubts = dict.fromkeys(doubt for one in looked.values() for doubt in one.doubtful)
    return CatalogueReview(
        program_version=version,
        catalogue=first.name,
        family="",
        unit=first.unit,
        counts=_counts(catalogues),
        sizes=(),
        doubtful=most_serious_first(doubts),
        families=tuple(_summary(family, each, looked, common) for family, each in read),
    )


def _counts(catalogues: Iterable[Catalogue]) -> Counts:
    """Return the entries of all families; one of several families counts once."""
    found: dict[str, set[str]] = {name: set() for name in Counts.model_fields}
    for catalogue in catalogues:
        for name in ("pistons", "rings", "gaskets", "kits"):
            found[name] |= {article.number for article in getattr(catalogue, name)}
        found["routes"] |= {route.name for route in catalogue.routes}
    return Counts(**{name: len(numbers) for name, numbers in found.items()})


def _summary(
    family: str,
    each: Catalogue | InputError,
    looked: dict[str, CatalogueReview],
    common: set[tuple[str, ...]],
) -> FamilySummary:
    """Return a family summed up; `common` are kinds of doubtful entries that all families have."""
    if isinstance(each, InputError):
        return FamilySummary(family=family, note=each.message.partition("\n")[0])
    one = looked[family]
    bores = [step.nominal_bore for step in one.sizes]
    return FamilySummary(
        family=family,
        pistons=len(each.pistons),
        kits=len(each.kits),
        in_stock=sum(from_stock(article) > 0 for article in (*each.pistons, *each.kits)),
        sizes=len(bores),
        smallest_bore=min(bores, default=None),
        largest_bore=max(bores, default=None),
        skipped=sum(len(step.skipped) for step in one.sizes),
        doubts=len(one.doubtful),
        own_doubts=sum(kind_of(doubt) not in common for doubt in one.doubtful),
    )
