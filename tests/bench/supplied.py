"""What becomes of the lists of `suppliers`, asked and answered as by their owners.

    python -m tests.bench.supplied [FAMILIES [SEED]]

Each row is understood, rightly left out, named, wrong or lost.
"""

from __future__ import annotations

import csv
import random
import re
import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.reading.list_kinds import phrase
from fitsolver.reading.list_mapping import ANSWERED
from fitsolver.reading.list_words import plain
from fitsolver.records.intake import IntakeAnswer
from fitsolver.usecases.intake import Told, intake
from tests.bench.suppliers import FIRST, KINDS, Line, Supplier, cells_of, differs, drawn, sheets_of
from tests.bench.suppliers_fourth import FOURTH
from tests.bench.suppliers_second import SECOND
from tests.bench.suppliers_third import THIRD


def write(folder: Path, items: Sequence[Line], layout: Supplier) -> Path:
    """Write a list; returns its file."""
    sheets = sheets_of(items, layout)
    path = folder / f"list{'.xlsx' if len(sheets) > 1 else layout.ending}"
    if path.suffix == ".xlsx":
        from openpyxl import Workbook

        book = Workbook()
        book.remove(book.active)
        for name, rows in sheets.items():
            sheet = book.create_sheet(name)
            for row in rows:
                sheet.append([None if cell == "" else _typed(cell) for cell in row])
        book.save(path)
        return path
    with path.open("w", encoding=layout.encoding, newline="") as stream:
        csv.writer(stream, delimiter=layout.mark).writerows(next(iter(sheets.values())))
    return path


def _typed(cell: Any) -> Any:
    """Return a figure as a spreadsheet holds it."""
    if not isinstance(cell, str):
        return cell
    try:
        figure = float(cell)
    except ValueError:
        return cell
    return cell if cell[0] in "+.0" and cell != "0" else int(figure) if cell.isdigit() else figure


def answer(asked: str, items: Sequence[Line], layout: Supplier) -> Any:
    """Return what the owner of a list answers to a question."""
    what, _, rest = asked.partition(" ")
    if what == "column":
        if rest == "family" and layout.families == "text":
            return next(h for h, _, role in layout.columns if role == "description")
        said = layout.facts.get(rest, "") if rest not in {"price"} or layout.book else ""
        return said or next((h for h, _, role in layout.columns if role == rest), "")
    if what == "kind":
        return _meant(rest, items, layout)
    if what == "skip":
        return next((role for h, _, role in layout.columns if h == rest), "") or "-"
    return {
        "oversize_unit": _oversizes(layout),
        "smallest_is_standard": True, "fill_down": layout.families == "first",
        "family_by": "sheets" if layout.families == "sheet" else "headings",
        "lead_unit": "days", "price_for": int(layout.facts.get("price_for", 100)),
        "units": "in" if layout.inches else "mm", "currency": "EUR", "sizes_across": "number",
        "bores_are": "bores",
        "words": _silent(layout),
    }.get(what)  # fmt: skip


def _units(layout: Supplier) -> Unit | None:
    """Return the unit that the owner gives before it is asked for."""
    return "in" if layout.inches and "units" not in layout.facts else None


def _oversizes(layout: Supplier) -> str | None:
    """Return the unit of a list's oversizes, None where they are no lengths."""
    named = next((unit for unit in ("thou", "hundredths") if unit in layout.facts), "mm")
    return None if layout.lost else named


def _silent(layout: Supplier) -> tuple[str, ...]:
    """Return the words of a layout's descriptions that change nothing; the others are figures."""
    texts = " ".join(re.sub(r"{\w*}", " ", text) for text in layout.texts.values())
    words = {plain(word) for word in re.findall(r"[^\W\d_]+", texts)}
    return tuple(words | {plain(word) for word in texts.split()})


def _meant(words: str, items: Iterable[Line], layout: Supplier) -> str:
    kinds = set()
    for item in items:
        if f" {words} " in f" {phrase(' '.join(cells_of(item, layout)))} ":
            place = f"{item.kind} " if item.kind in {"head", "base"} else ""
            kinds.add("none" if item.pieces > 1 else place + KINDS[item.kind])
    return kinds.pop() if len(kinds) == 1 else "none"


def answered(
    path: Path, into: Path, items: Sequence[Line], layout: Supplier
) -> tuple[IntakeAnswer, int]:
    """Return what a list comes to when its owner answers, and how many questions that took."""
    given: dict[str, Any] = {}
    for _ in range(10):
        found = intake(path, into, told=_told(given, layout))
        new = {a.key: answer(a.key, items, layout) for a in found.asked if a.key not in given}
        if not new:
            break
        given |= new
    return intake(path, into, told=_told(given, layout), agreed=True), len(given)


def _told(given: dict[str, Any], layout: Supplier) -> Told:
    parts: dict[str, dict[str, Any]] = {"column": {}, "kind": {}}
    skip = [*given.get("words", ())]
    remarks = []
    for key, value in given.items():
        what, _, rest = key.partition(" ")
        if what in parts:
            parts[what][rest] = value
        elif what == "skip" and value == "-":
            skip.append(rest)
        elif what == "skip" and value == "remark":
            remarks.append(rest)
        elif what == "skip":
            parts["column"].setdefault(value, rest)
    return Told(
        units=given.get("units") or _units(layout),
        decimal="," if layout.comma else ".",
        currency=given.get("currency"), lead_days=7, clearance={"": (4_500, 5_500)},
        columns=parts["column"], kinds=parts["kind"], skip=skip, remarks=remarks,
        **{key: given[key] for key in ANSWERED if given.get(key) is not None},
    )  # fmt: skip


def judged(items: Sequence[Line], layout: Supplier, folder: Path) -> tuple[Counter[str], list[str]]:
    """Count what became of the articles of a list, and tell of those that are not understood."""
    path = write(folder, items, layout)
    try:
        found, asked = answered(path, folder / "into", items, layout)
    except InputError as error:
        return Counter({"named": len(items)}), [f"refused: {error}"]
    taken = {item.number: item for item in found.articles} if found.taken_in else {}
    named = {item.number: item for item in found.unclear}
    told: Counter[str] = Counter({"questions": asked})
    notes: list[str] = []
    for key in [a.key for a in found.asked if a.needed]:
        notes.append(f"still asked: {key}")
    real = {item.number for item in items}
    for number in taken.keys() - real:
        told["wrong"] += 1
        notes.append(f"wrong: no article at all: {taken[number]}")
    for item in items:
        got, out = taken.get(item.number), item.pieces > 1 or item.ended or bool(item.replaced)
        other = differs(item, got, layout) if got is not None else ""
        word = "understood" if got is not None and not other else "wrong" if other else "named"
        if got is None and found.taken_in and item.number not in named:
            word = "lost"
        if word == "named" and out:
            word = "left out"
        told[word] += 1
        if word not in {"understood", "left out"}:
            notes.append(
                f"{word} {other}: {cells_of(item, layout)} -> {got or named.get(item.number)}"
            )
    return told, notes


def run(
    layouts: Sequence[Supplier], families: int, seed: int
) -> list[tuple[Counter[str], list[str]]]:
    """Return what became of the rows of each layout."""
    found = []
    for at, layout in enumerate(layouts):
        items = drawn(random.Random(f"{seed} {at}"), layout, families)
        with TemporaryDirectory() as folder:
            found.append(judged(items, layout, Path(folder)))
    return found


def main() -> None:
    families, seed, shown = (
        int(a) for a in (*sys.argv[1:4], *("6", "1", "2")[len(sys.argv) - 1 :])
    )
    for name, layouts in (
        ("first", FIRST),
        ("second", SECOND),
        ("astray", THIRD),
        ("fourth", FOURTH),
    ):
        found = run(layouts, families, seed)
        total: Counter[str] = sum((told for told, _ in found), Counter())
        rows = total.total() - total["questions"]
        print(
            name, {k: f"{v / rows:.1%}" for k, v in total.items() if k != "questions"}, f"of {rows}"
        )
        for at, (told, notes) in enumerate(found):
            print("  layout", at + 1, dict(told), *(n[:600] for n in notes[:shown]), sep="\n     ")


if __name__ == "__main__":
    main()
