"""The counter's answer: part sets, best first."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

from fitsolver.records.verdicts import FitsAnswer, PartSet
from fitsolver.reporting.show import NONE, Show, bullets, heading, money, table


def fits_view(answer: FitsAnswer, show: Show, first: int | None) -> Iterator[RenderableType]:
    """Yield the sets of every cylinder; `first` limits how many are shown."""
    for name in dict.fromkeys(item.cylinder for item in answer.sets):
        sets = [item for item in answer.sets if item.cylinder == name]
        good = sum(item.holds for item in sets)
        yield heading(f"Cylinder {name}: {good} of {len(sets)} part sets fit the bore as it is")
        shown = sets[:first]
        yield _table(shown, answer.currency, show)
        yield bullets(_verdict(item) for item in shown if not item.holds)
        if len(shown) < len(sets):
            yield Text(f" {len(sets) - len(shown)} more: --first 0 shows all", style="dim")


def _table(sets: list[PartSet], currency: str, show: Show) -> RenderableType:
    price = f"price {currency}".strip()
    columns = ("verdict", "kit", "piston", "rings", "clearance", "margin", price)
    found = table(columns, right=("margin", price))
    found.columns[3].no_wrap = False
    for item in sets:
        clearance = next((fit for fit in item.fits if fit.fit == "clearance"), None)
        found.add_row(
            "fits" if item.holds else "fails",
            item.kit or NONE,
            item.piston,
            " ".join(item.rings) or NONE,
            NONE if clearance is None else show.expected(clearance.least, clearance.most),
            show.size(item.worst, "down"),
            NONE if item.price is None else money(item.price),
        )
    return Padding(found, (1, 0, 1, 2))


def _verdict(item: PartSet) -> str:
    failed = "; ".join(f"{v.rule}: {v.sentence}" for v in item.verdicts if not v.holds)
    return f"{item.kit or item.piston}: {failed}"
