"""What is told beside a list that was read."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from difflib import get_close_matches
from typing import Final

from fitsolver.reading.list_catalogue import UNCLEAR, is_counted_gasket
from fitsolver.reading.list_own import OTHERS, PISTON_KINDS
from fitsolver.records.intake import Article, Unclear
from fitsolver.records.words import counted
from fitsolver.usecases.intake_asked import alike
from fitsolver.usecases.intake_proposal import Proposal, currency_said


def cautions(
    found: Proposal,
    articles: Sequence[Article],
    unclear: Sequence[Unclear],
    known: Sequence[str],
    waiting: Sequence[str],
) -> Iterator[str]:
    """Yield what a list leaves open for a person.

    `known` are the families with a sheet, `waiting` numbers of the last list whose rows are not
    understood now.
    """
    if waiting:
        yield (
            f"These stand in the list, but their rows are not understood: {_some(waiting)}. Until "
            "they are put right they are not in the catalogue."
        )
    said = currency_said(found.sheets)
    if said and said != found.mapping.currency:
        yield (
            f"The prices of the list are in {said}, as they or their heading say; "
            f"{found.mapping.currency} was told, and is taken."
        )
    yield from _misspelt(articles)
    if any(item.kind in PISTON_KINDS for item in articles):
        yield (
            "Skirt sizes are not in this list: every piston stands as made for its bore with the "
            "maker's clearance. Measure it before the last pass."
        )
        yield (
            "The window of clearance is the one of a new bore: put the highest that the maker "
            "permits in a used one into the family sheet, or a bore that has run in fits nothing."
        )
        yield "Rings of piston kits are not in this list: their gaps were not looked at."
    if any(item.kind in ("rings", "pin", "circlip") for item in articles):
        yield (
            f"Rings, pins and circlips stand in {OTHERS} with price and stock. No plan counts "
            "them: a ring needs gap and width, in rings.csv."
        )
    bare = sum(item.kind == "gasket" and not is_counted_gasket(item) for item in articles)
    if bare:
        yield (
            f"{counted(bare, 'gasket', 'gaskets')} without a thickness or a place in {OTHERS}, "
            "with price and stock. No plan counts them: put them into gaskets.csv."
        )
    groups = alike(articles)
    if groups:
        first = ", ".join(item.number for item in groups[0][:3])
        yield (
            f"{sum(map(len, groups))} articles are alike in all that was read of them but number, "
            f"price and stock, as {first}: is there a grade that was not read?"
        )
    yield from _of_families(articles, known)
    if found.left_out:
        yield f"Sheets without a part number were left out: {', '.join(found.left_out)}."
    if found.repeats:
        yield f"Hidden sheets with the numbers of others were left out: {', '.join(found.repeats)}."
    hidden = [sheet.name for sheet, _ in found.sheets if sheet.hidden]
    if hidden:
        yield f"Hidden sheets were read too: {', '.join(hidden)}."
    yield from _of_workbook(found)
    if unclear:
        yield f"Rows that are not taken in stand in {UNCLEAR}, each with its reason."


def _of_families(articles: Sequence[Article], known: Sequence[str]) -> Iterator[str]:
    """Yield the engine types that no sheet of a catalogue knows, each with those nearest to it."""
    new = [name for name in dict.fromkeys(a.family for a in articles) if name not in known]
    if not (known and new):
        return
    shown = []
    for name in new[:_NAMED]:
        near = get_close_matches(name, known, n=2, cutoff=0.6)
        shown.append(f"{name} (nearest: {', '.join(near)})" if near else name)
    more = f" and {len(new) - _NAMED} more" if len(new) > _NAMED else ""
    yield f"Engine types that no family sheet of this catalogue knew: {', '.join(shown)}{more}."


def _misspelt(articles: Sequence[Article]) -> Iterator[str]:
    """Yield engine types of few rows that are nearly one of many, with the same standard bore."""
    rows: dict[str, list[Article]] = {}
    bores: dict[str, int] = {}
    for item in articles:
        rows.setdefault(item.family, []).append(item)
        if item.nominal_bore is not None and item.oversize is not None:
            bores[item.family] = item.nominal_bore - item.oversize
    few = [name for name, items in rows.items() if len(items) <= _FEW]
    for name in few[:_LOOKED_AT]:
        others = [
            other
            for other, items in rows.items()
            if len(items) >= _MANY * len(rows[name])
            and bores.get(name, bores.get(other)) == bores.get(other)
            and _FIGURES.findall(other) == _FIGURES.findall(name)
        ]
        for near in get_close_matches(name, others, n=1, cutoff=_NEAR):
            numbers = _some([item.number for item in rows[name]])
            yield (
                f"'{name}' ({numbers}) has the bores of '{near}': is it the same engine, misspelt? "
                "Then put it right in the list."
            )


#: An engine type of this many rows at most may be a slip of one that has as many times more.
_FEW: Final = 2
_MANY: Final = 3
_NEAR: Final = 0.85
#: Engine types of few rows that are compared with the others.
_LOOKED_AT: Final = 200
#: What tells two engine types apart that are otherwise alike: figures, and letters by themselves.
_FIGURES: Final = re.compile(r"\d+|\b[A-Za-z]\b")


def _of_workbook(found: Proposal) -> Iterator[str]:
    """Yield the hidden or merged cells of a workbook that were read."""
    for sheet, layout in found.sheets:
        at = f" of '{sheet.name}'" if sheet.name and len(found.sheets) > 1 else ""
        if sheet.hidden_rows:
            yield f"Hidden rows{at} were read too: {_some(sheet.hidden_rows)}."
        columns = [layout.title(column - 1) for column in sheet.hidden_columns]
        if columns:
            yield f"Hidden columns{at} were read too: {_some(columns)}."
        rows = sorted({row for row, _ in sheet.merged})
        if rows:
            yield f"Merged cells{at} count in each of their rows: {_some(rows)}."


def _some(values: Sequence[object]) -> str:
    shown = ", ".join(map(str, values[:_NAMED]))
    return shown + (f" and {len(values) - _NAMED} more" if len(values) > _NAMED else "")


#: Rows or columns that are named in one line.
_NAMED: Final = 8
