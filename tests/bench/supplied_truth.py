"""What becomes of lists that somebody else wrote, against a table of what their rows mean.

    python -m tests.bench.supplied_truth FOLDER [NOTES]

FOLDER holds lists and three tables: `truth.csv` (a line an article), `owner.csv` (what the owner of
a list answers) and `columns.csv` (what each column holds). A row is understood, rightly named (a
person would not take it in either), named, lost (neither taken in nor named) or wrong; what is no
article and was taken in is invented. NOTES are the rows told of each list.
"""

from __future__ import annotations

import csv
import re
import sys
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

from fitsolver.base.errors import InputError
from fitsolver.reading.list_kinds import kind_of, names_article, phrase
from fitsolver.reading.list_sheets import read_sheets
from fitsolver.reading.list_words import plain
from fitsolver.records.intake import Article, Asked, IntakeAnswer
from fitsolver.usecases.intake import Told, intake
from fitsolver.usecases.intake_told import told_of

Line = Mapping[str, str]
KINDS = {"kit": "piston kit", "piston": "piston", "ring": "rings", "pin": "pin",
         "circlip": "circlip", "gasket": "gasket"}  # fmt: skip
ROLES = {"standard_bore": "standard", "lead": "lead_days", "pack": "pieces"}
NOTHING = ("ignore", "other_price", "old_number", "page", "")
REMARKS = ("replaced_by", "status", "remark")
#: What an owner answers of whom the table says nothing.
USUAL = {"lead_days": "7", "clearance": "0.040 0.060", "price_for": "1", "lead_unit": "days",
         "fill_down": "no", "blank_is_standard": "yes", "smallest_is_standard": "no",
         "bores_are": "bores", "units": "mm", "oversize_unit": "mm", "decimal": ".",
         "currency": "EUR"}  # fmt: skip
WORDS = ("understood", "rightly named", "named", "lost", "wrong", "invented")


@dataclass(frozen=True)
class Owner:
    """What the owner of a list knows of it."""

    says: Mapping[str, str]
    columns: Sequence[Line]
    truth: Sequence[Line]
    path: Path

    def answer(self, asked: Asked) -> tuple[str, str] | None:
        """Return key and answer to a question, None where the owner has none."""
        what, _, rest = asked.key.partition(" ")
        if what == "column":
            return self._column(rest)
        said = self._said(what, rest, asked.question)
        return (asked.key, said) if said else None

    def _said(  # noqa: PLR0911 (a question a line)
        self, what: str, rest: str, question: str
    ) -> str:
        """Return the answer to a question that names no column, '' where the owner has none."""
        if what == "skip":
            return self._held(rest)
        if what == "words":
            return ",".join([*self.says.get("words", "").split(";"), *self._silent()]) or "-"
        if what == "kind":
            return self._kind(rest) if rest else self._kind_of_all()
        if what == "sizes_across":
            rows = self._rows()
            stand = sum(line["number"] in _cells(rows, line) for line in self.truth)
            many = len({line["number"] for line in self.truth}) == len(self.truth)
            priced = any(one["meaning"] == "price" for one in self.columns)
            in_cells = "stock" if priced else "price"
            return "number" if many and 2 * stand > len(self.truth) else in_cells
        if what == "number_joint":
            numbers = {line["number"] for line in self.truth}
            made = [part.split(": ") for part in question.partition("? ")[2].split(", ")]
            return next((word for number, word in made if number in numbers), "")
        if what == "oversize_unit":
            return self._unit(question)
        if what == "family_by":
            by = self.says.get("family_by", "")
            return by if by in ("headings", "sheets") else ""
        return self.says.get(what) or self._stated(what) or USUAL.get(what, "")

    def _column(self, role: str) -> tuple[str, str] | None:
        found = [one for one in self.columns if ROLES.get(one["meaning"], one["meaning"]) == role]
        if found:
            return f"column {role}", self._name(found[0])
        if role != "family":
            return None if role == "number" else (f"column {role}", "-")
        if self.says.get("family"):
            return "family", self.says["family"]
        texts = [one for one in self.columns if one["meaning"] == "description"]
        by = self.says.get("family_by") == "description" and texts
        return (f"column {role}", self._name(texts[0])) if by else None

    def _name(self, column: Line) -> str:
        sheet = [one for one in self.columns if one["sheet"] == column["sheet"]]
        same = [one for one in sheet if plain(one["heading"]) == plain(column["heading"])]
        beside = self.says.get("layout") == "side_by_side"
        if (len(same) > 1 and not beside) or column["heading"].startswith("col "):
            return f"column {sheet.index(column) + 1}"
        return column["heading"]

    def _held(self, heading: str) -> str:
        at = heading.removeprefix("column ")
        for one in self.columns:
            sheet = [other for other in self.columns if other["sheet"] == one["sheet"]]
            counted = at.isdecimal() and heading != at and sheet.index(one) + 1 == int(at)
            if counted or plain(one["heading"]) == plain(heading):
                meaning = one["meaning"]
                if meaning in REMARKS:
                    return "remark"
                texts = [other for other in sheet if other["meaning"] == "description"]
                if meaning == "description" and one != texts[0]:
                    return "more"
                known = meaning not in (*NOTHING, "size_list")
                return ROLES.get(meaning, meaning) if known else "-"
        return "-"

    def _unit(self, question: str) -> str:
        """Return the unit in which the oversizes of a question are those of the list."""
        overs = {Fraction(line["oversize"]) for line in self.truth if line["oversize"]}
        shown = re.findall(r"\d+(?:[.,]\d+)?", question.partition(")")[0])
        figures = {Fraction(text.replace(",", ".")) for text in shown} - {0}
        units = {"mm": Fraction(1), "hundredths": Fraction(1, 100), "thou": Fraction(254, 10_000),
                 "in": Fraction(254, 10), "um": Fraction(1, 1000)}  # fmt: skip
        found = (u for u, size in units.items() if {f * size for f in figures} <= overs)
        return next(found, self.says.get("oversize_unit", "mm"))

    def _stated(self, what: str) -> str:
        name = {"currency": "currency", "price_for": "per"}.get(what, "")
        stated = {line[name] for line in self.truth if line[name]} if name else set()
        return stated.pop() if len(stated) == 1 else ""

    def _kind(self, words: str) -> str:
        for key, value in self.says.items():
            what, _, rest = key.partition(" ")
            if what == "kind" and rest and phrase(rest) == words:
                return KINDS.get(value, "-")
        rows = self._rows()
        of = [line for line in self.truth if words in map(plain, _cells(rows, line))]
        if of and all(line["oversize"] == "0" for line in of) and not _names(words):
            return "standard"
        kinds = {
            line["kind"]
            for line in self.truth
            if any(_begins(cell, words) for cell in _cells(rows, line))
        }
        if not kinds:  # a heading above a table
            bare = {KINDS.get(line["kind"]) for line in self.truth}
            said = (kind_of(words) or "-", "piston kit")
            return next((kind for kind in said if kind in bare), "-")
        return KINDS.get(kinds.pop(), "-") if len(kinds) == 1 else "-"

    def _rows(self) -> Mapping[tuple[str, int], Sequence[str]]:
        sheets = read_sheets(self.path)
        return {(s.name, number): cells for s in sheets for number, cells in s.rows}

    def _silent(self) -> list[str]:
        """Return the words of rows that are all as they seem: they change nothing."""
        rows = self._rows()
        words: dict[bool, set[str]] = {True: set(), False: set()}
        for line in self.truth:
            text = " ".join(_cells(rows, line))
            found = {plain(word) for word in re.findall(r"[^\W\d_][^\s,;()]*", text)}
            words[_is_odd(line)] |= found
        return sorted(words[False] - words[True])

    def _kind_of_all(self) -> str:
        kinds = {line["kind"] for line in self.truth}
        return KINDS.get(kinds.pop(), "") if len(kinds) == 1 else ""


def _names(words: str) -> bool:
    return any(map(names_article, words.split()))


def _begins(cell: str, words: str) -> bool:
    """Tell whether a cell names what the words name: they stand there, no other article does."""
    text = phrase(re.sub(r"\d[\d.,]*", " ", cell))
    rest = f" {text} ".replace(f" {words} ", " ", 1)
    return f" {words} " in f" {text} " and not _names(rest)


def _cells(rows: Mapping[tuple[str, int], Sequence[str]], line: Line) -> Sequence[str]:
    return rows.get((line["sheet"], int(line["row"])), ())


def answered(path: Path, into: Path, owner: Owner) -> tuple[IntakeAnswer, int]:
    """Return what a list comes to when its owner answers, and how many questions that took."""
    given: dict[str, str] = {}
    seen: set[str] = set()

    def told() -> Told:
        return told_of(given.items(), "mm")

    for _ in range(12):
        found = intake(path, into, told=told())
        new = [asked for asked in found.asked if asked.key not in seen]
        if not new:
            break
        for asked in new:
            seen.add(asked.key)
            answer = owner.answer(asked)
            if answer is not None:
                given[answer[0]] = answer[1]
    return intake(path, into, told=told(), agreed=True), len(seen)


@dataclass
class Score:
    """What became of the rows of a list."""

    told: Counter[str] = field(default_factory=Counter)
    notes: list[str] = field(default_factory=list)
    numbers: frozenset[str] = frozenset()

    def add(self, word: str, note: str = "") -> None:
        """Count a row, and tell of it."""
        self.told[word] += 1
        if note:
            self.notes.append(f"{word}: {note}")


def differs(line: Line, got: Article) -> str:
    """Return what was taken in otherwise than it is meant, '' if nothing."""
    if line["status"] or line["kind"] in ("set", "other"):
        return line["status"] or line["kind"]
    if int(line["pieces"] or 1) > 1 and line["kind"] in ("kit", "piston"):
        return "pieces"
    other = [] if KINDS[line["kind"]] == got.kind else ["kind"]
    if not got.number.startswith(line["number"]):
        other.append("number")
    for key, ticks, near in (
        ("bore", got.nominal_bore, 2_000),
        ("oversize", got.oversize, 1_000),
        ("thickness", got.thickness, 1_000),
    ):
        if line[key] and ticks is not None and abs(Fraction(line[key]) * 100_000 - ticks) > near:
            other.append(key)
    if line["bore"] and got.kind in ("piston", "piston kit") and got.nominal_bore is None:
        other.append("bore")
    cents = Fraction(line["price"]) * 100 / int(line["per"] or 1) if line["price"] else None
    if (got.price is None) != (cents is None) or (cents is not None and round(cents) != got.price):
        other.append("price")
    if line["stock"] and int(line["stock"]) != got.stock:
        other.append("stock")
    if line["lead_days"] and int(line["lead_days"]) != got.lead_days:
        other.append("lead_days")
    if line["family"] and _families(line["family"]) != _families(got.family):
        other.append("family")
    if plain(line["grade"]) != plain(got.grade):
        other.append("grade")
    return ", ".join(other)


def _families(text: str) -> frozenset[str]:
    parts = text.replace("/", ";").replace(",", ";").replace("+", ";").split(";")
    return frozenset(plain(part).replace(" ", "") for part in parts)


def judged(path: Path, owner: Owner) -> Score:
    """Return what became of the rows of a list."""
    score = Score()
    with TemporaryDirectory() as folder:
        try:
            found, asked = answered(path, Path(folder) / "into", owner)
        except InputError as error:
            score.told["refused"] = 1
            for line in owner.truth:
                score.add("rightly named" if _is_odd(line) else "named")
            score.notes.append(f"refused: {error}")
            return score
    score.told["questions"] = asked
    score.notes += [
        f"still asked: {one.key}: {one.question[:160]}" for one in found.asked if one.needed
    ]
    score.numbers = frozenset(plain(line["number"]) for line in owner.truth)
    taken = _by_row(found.articles if found.taken_in else ())
    named = _by_row([*found.unclear, *(() if found.taken_in else found.articles)])
    for line in owner.truth:
        _judge(line, taken, named, score)
    for left in taken.values():
        for got in left:
            score.add("invented", str(got))
    return score


def _by_row(items: Iterable[object]) -> dict[tuple[str, int], list[object]]:
    found: dict[tuple[str, int], list[object]] = defaultdict(list)
    for item in items:
        found[item.sheet, item.row].append(item)  # type: ignore[attr-defined]
    return found


def _is_odd(line: Line) -> bool:
    """Tell whether a person would not take a row in either."""
    return bool(line["status"]) or line["kind"] in ("set", "other") or int(line["pieces"] or 1) > 1


def _judge(
    line: Line,
    taken: dict[tuple[str, int], list[object]],
    named: dict[tuple[str, int], list[object]],
    score: Score,
) -> None:
    place = line["sheet"], int(line["row"])
    said = (line[key] for key in ("number", "kind", "bore", "oversize", "price", "family"))
    shown = " ".join((str(place), *said))
    got = _match(line, taken.get(place, []), score.numbers)
    if isinstance(got, Article):
        taken[place].remove(got)
        other = differs(line, got)
        score.add("wrong" if other else "understood", f"{other}: {shown} -> {got}" if other else "")
        return
    left = _match(line, named.get(place, []), score.numbers)
    if left is None:
        score.add("rightly named" if line["kind"] == "other" else "lost", shown)
    elif _is_odd(line):
        score.add("rightly named")
    else:
        field_, reason = getattr(left, "field", "list"), getattr(left, "reason", "not taken in")
        score.add("named", f"{field_}: {reason}: {shown}: {getattr(left, 'description', '')}")


def _match(line: Line, found: Sequence[object], numbers: Collection[str]) -> object | None:
    """Return what a row became: by its number, else by its oversize, else the only one there."""
    for item in found:
        if plain(item.number) == plain(line["number"]) and line["number"]:  # type: ignore[attr-defined]
            return item
    for item in found:
        if plain(item.number) in numbers and line["number"]:  # type: ignore[attr-defined]
            continue
        over = getattr(item, "oversize", None)
        if over is None or not line["oversize"]:
            continue
        if abs(Fraction(line["oversize"]) * 100_000 - over) <= 1_000:
            return item
    others = [item for item in found if plain(item.number) not in numbers]  # type: ignore[attr-defined]
    return others[0] if others and (len(others) == 1 or not line["number"]) else None


def tables(folder: Path, name: str) -> dict[str, list[Line]]:
    """Return the rows of a table of a folder by the list that they are of."""
    found: dict[str, list[Line]] = defaultdict(list)
    with (folder / name).open(encoding="utf-8-sig", newline="") as stream:
        for row in csv.DictReader(stream):
            found[row["file"]].append(row)
    return found


def run(folder: Path) -> dict[str, Score]:
    """Return what became of the rows of each list of a folder."""
    truth, owners, columns = (tables(folder, f"{n}.csv") for n in ("truth", "owner", "columns"))
    found = {}
    for name in sorted(truth):
        says = {row["key"]: row["value"] for row in owners[name]}
        found[name] = judged(folder / name, Owner(says, columns[name], truth[name], folder / name))
    return found


def main() -> None:
    """Print what became of the lists of a folder, list by list and in all."""
    folder, notes = Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 2
    total: Counter[str] = Counter()
    for name, score in run(folder).items():
        rows = sum(score.told[word] for word in WORDS[:5])
        counts = ", ".join(f"{score.told[word]} {word}" for word in WORDS if score.told[word])
        refused = " REFUSED" if score.told["refused"] else ""
        print(f"{name}: {rows} rows: {counts}; {score.told['questions']} questions{refused}")
        print(*(f"    {note[:420]}" for note in score.notes[:notes]), sep="\n")
        total += score.told
    rows = sum(total[word] for word in WORDS[:5])
    for word in (*WORDS, "refused"):
        print(f"{word}: {total[word]}" + (f" ({total[word] / rows:.1%})" if word in WORDS else ""))


if __name__ == "__main__":
    main()
