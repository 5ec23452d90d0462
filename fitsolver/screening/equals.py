"""The choice among combinations of equal cut and filing: by price, days and part numbers.

Without kits every part is bought singly, so each choice has one price and its least days;
enumeration finds the best. The solver takes kits and very many choices.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, product
from typing import Final

from fitsolver.fits.availability import from_stock, ready_in
from fitsolver.reading.columns import Ints
from fitsolver.records.base import LEVELS, Level
from fitsolver.records.catalogue import Piston, Ring, Route
from fitsolver.screening.combinations import Combinations
from fitsolver.screening.pattern import Pattern

#: The most choices enumerated; beyond this the solver is faster.
_MOST: Final = 2_000


@dataclass(frozen=True)
class Choice:
    """The output of a row: parts, route, money in hundredths. Without a piston nothing fits."""

    piston: str = ""
    rings: tuple[str, ...] = ()
    route: str = ""
    price: int = 0
    days: int = 0


Equal = tuple[Route, Combinations, Ints]


class Equals:
    """Breaks ties between combinations in the order of a pattern's job."""

    def __init__(self, pattern: Pattern) -> None:
        catalogue = pattern.catalogue
        self.finishing = pattern.job.finishing
        best = pattern.job.best
        self.order: tuple[Level, ...] = (*best, *(each for each in LEVELS if each not in best))
        self.articles: dict[str, Piston | Ring] = {
            part.number: part for table in (catalogue.pistons, catalogue.rings) for part in table
        }
        self.in_kits = {item.number for kit in catalogue.kits for item in kit.contents}

    def settle(self, equals: Sequence[Equal]) -> Choice | None:
        """Return the best choice; None where kits, or the number of choices, need the solver."""
        choices = list(islice(self._choices(equals), _MOST + 1))
        if len(choices) > _MOST:
            return None
        if any(number in self.in_kits for c in choices for number in (c.piston, *c.rings)):
            return None
        return min(choices, key=self._rank)

    def _choices(self, equals: Sequence[Equal]) -> Iterator[Choice]:
        for route, table, rows in equals:
            for row in rows.tolist():
                for pistons, rings in table.parts[row]:
                    for piston, *chosen in product(pistons, *rings):
                        yield self._choice(piston, tuple(chosen), route)

    def _choice(self, piston: str, rings: tuple[str, ...], route: Route) -> Choice:
        price, waits = route.cost, []
        for number, count in Counter((piston, *rings)).items():
            article = self.articles[number]
            price += count * (article.price or 0)
            if count > from_stock(article):
                waits.append(article.lead_days or 0)
        return Choice(
            piston, rings, route.name, price, ready_in(self.finishing, waits, [route.days])
        )

    def _rank(self, choice: Choice) -> tuple[object, ...]:
        named = choice.piston, choice.route, choice.rings
        ranks = {"price": choice.price, "days": choice.days, "part_number": named}
        return tuple(ranks[level] for level in self.order if level in ranks)
