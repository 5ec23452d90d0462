"""Readings as people lay them out: a row each, or a grid of depths against cylinders and axes.

A layout is known by its words (depth, axis, cylinder, thrust, pin), never guessed from figures.
Rows above it are titles; rows below it that hold no figure are notes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Final, NamedTuple

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit, parse_length, parse_unit
from fitsolver.reading.hints import shown
from fitsolver.reading.reading_words import (
    FIGURE,
    NOISE,
    NUMBER_WORDS,
    PIN_WORD,
    REMARKS,
    THRUST_WORD,
    in_english,
)

NumberedRow = tuple[int, list[str]]
#: Rows at the top among which the headings are looked for.
_TOP: Final = 20
_UNIT: Final = re.compile(r"[\[(]\s*([^\[\]()]*?)\s*[\])]")
#: A unit without brackets behind a column's word: `depth mm`, `size, in`.
_BARE_UNIT: Final = re.compile(r"(?<=\w)[\s,]+(mm|um|µm|thou|in|inch)$", re.IGNORECASE)
_ANGLE: Final = re.compile(r"[-_]?(\d{1,3})\s*(?:°|deg)")
_SPLIT: Final = re.compile(r"[\s/,;:|]+")
_JOINED: Final = re.compile(r"(.+)[-_](.+)")
_AXES: Final = (THRUST_WORD, PIN_WORD)
_WORDS: Final = ("cylinder", "depth", "axis", "diameter", "dial", "unit", FIGURE)
_KINDS: Final = ("diameter", "dial")
_UNIT_WORDS: Final = ("mm", "um", "µm", "thou", "inch", "inches")


class Heading(NamedTuple):
    """The subject of a heading's cell; empty if it names none."""

    cylinder: str = ""
    axis: str = ""
    kind: str = ""
    unit: str = ""
    words: frozenset[str] = frozenset()


class Laid(NamedTuple):
    """Rows of one reading each, their header first, and the titles that stood above them."""

    rows: list[NumberedRow]
    titles: str
    #: What the titles say that figures are whose headings and sizes do not tell it.
    kind: str = ""


def laid_out(file: str, rows: Sequence[NumberedRow]) -> Laid | None:
    """Return a sheet's rows as one reading each; None if no row is a heading of readings.

    Raises InputError for a layout that says too little, and for a title in another unit.
    """
    rows = _without_remarks(rows)
    for at in range(min(_TOP, len(rows))):
        found = _long(rows, at) or _by_depth(file, rows, at) or _by_place(file, rows, at)
        if found is not None:
            return found
    return None


def _without_remarks(rows: Sequence[NumberedRow]) -> Sequence[NumberedRow]:
    """Return the rows without columns of remarks: their heading says so, and no figure is there."""
    headed = {
        at
        for _, cells in rows[:_TOP]
        for at, cell in enumerate(cells)
        if at and cell.strip(".:").casefold() in REMARKS
    }
    figures = {at for _, cells in rows for at in headed if at < len(cells) and is_length(cells[at])}
    left_out = headed - figures
    if not left_out:
        return rows
    return [(n, [c for at, c in enumerate(cells) if at not in left_out]) for n, cells in rows]


def heading(cell: str) -> Heading:
    """Return what a cell of a heading names: `cyl 1 thrust`, `depth [mm]`, `2/pin (in)`."""
    unit = _UNIT.search(cell) or _BARE_UNIT.search(cell)
    bare = _UNIT.sub(" ", cell) if _UNIT.search(cell) else _BARE_UNIT.sub("", cell)
    tokens = list(_tokens(_ANGLE.sub(r" \1° ", bare)))
    axes = [t for t in tokens if t.casefold() in _AXES or t.endswith("°")]
    words = {token.casefold() for token in tokens}
    known = {*_WORDS, *NOISE, *(NUMBER_WORDS if "cylinder" in words else ())}
    names = [t for t in tokens if t not in axes and t.casefold() not in known]
    kinds = words & {*_KINDS}
    return Heading(
        cylinder=" ".join(names),
        axis=axes[0] if len(axes) == 1 else "",
        kind=kinds.pop() if len(kinds) == 1 else "",
        unit=unit[1] if unit else "",
        words=frozenset(words),
    )


def _tokens(bare: str) -> Iterator[str]:
    """Yield the words of a heading, in the program's own where they mean one of these."""
    for token in filter(None, _SPLIT.split(bare)):
        joined = _JOINED.fullmatch(token)
        parts = [in_english(part) for part in joined.groups()] if joined else []
        if any(part.casefold() in _AXES for part in parts):
            yield from parts
        else:
            yield in_english(token)


def _long(rows: Sequence[NumberedRow], at: int) -> Laid | None:
    """Return rows of one reading each, where this row heads them."""
    number, cells = rows[at]
    known = [column_of(cell) for cell in cells]
    names = {column.partition(" ")[0] for column in known}
    if not {"depth", "axis"} <= names:
        return None
    columns = [column or cell for column, cell in zip(known, cells, strict=True)]
    figures = [i for i, name in enumerate(known) if name.partition(" ")[0] in {*_KINDS, FIGURE}]
    body = [row for row in rows[at + 1 :] if not _leaves_out(row[1], cells, figures)]
    if "cylinder" not in names:
        columns = ["cylinder", *columns]
        body = [(row, ["", *values]) for row, values in body]
    return Laid([(number, columns), *body], _titles(rows[:at]))


def column_of(cell: str) -> str:
    """Return the column of a sheet with a reading a row that a heading names: `depth [mm]`.

    It is empty for a heading that names none, or an axis or cylinder.
    """
    head = heading(cell)
    noise = NOISE | NUMBER_WORDS if head.words & {"cylinder"} else NOISE
    names = {word if word in _WORDS else "" for word in head.words - noise}
    name = names.pop() if len(names) == 1 else ""
    return f"{name} [{head.unit}]" if name and head.unit else name


def _is_note(cells: Sequence[str]) -> bool:
    """Tell whether a row has words in one cell and nothing else."""
    filled = [cell for cell in cells if cell]
    return len(filled) == 1 and not is_length(filled[0]) and " " in filled[0]


def _leaves_out(cells: Sequence[str], headings: Sequence[str], figures: Sequence[int]) -> bool:
    """Tell whether a row has no reading: a note, the headings again, or a place not read."""
    if _is_note(cells) or _again(cells, headings):
        return True
    return bool(figures) and all(i < len(cells) and not cells[i] for i in figures)


def _again(cells: Sequence[str], headings: Sequence[str]) -> bool:
    """Tell whether a row is one of headings once more, as at the top of a second page."""
    return [cell.casefold() for cell in cells] == [cell.casefold() for cell in headings]


def _titles(rows: Sequence[NumberedRow]) -> str:
    return "\n".join(cell for _, cells in rows for cell in cells if cell)


def _by_depth(file: str, rows: Sequence[NumberedRow], at: int) -> Laid | None:
    """Return a grid with a row for each depth, where this row has the heading of the depths."""
    number, cells = rows[at]
    place = next((i for i, cell in enumerate(cells) if heading(cell).words & {"depth"}), None)
    if place is None or any(cells[:place]):
        return None
    found = _two_rows(rows, at, place)
    if found is None:
        return None
    heads, first, above = found
    if not any(head.axis for head in heads):
        return None
    _check_twice(file, number, [(head, place + 1 + i) for i, head in enumerate(heads)])
    of_depth = heading(cells[place]).unit
    body = []
    for row, values in rows[first:]:
        if any(_again(values, row_of) for _, row_of in rows[above:first]):
            continue
        depth, *figures = [*values[place:], ""]
        filled = [(i, figure) for i, figure in enumerate(figures) if figure]
        if not filled and not is_length(depth):
            continue  # a note
        for i, figure in filled:
            head = heads[i] if i < len(heads) else Heading()
            if not head.axis:
                raise _no_heading(file, row, figure)
            body.append((row, [head.cylinder, depth, head.axis, figure, head.unit]))
    return _made(file, number, heads, of_depth, body, _titles(rows[:above]))


def _check_twice(file: str, row: int, heads: Sequence[tuple[Heading, int]]) -> None:
    """Refuse two columns for one cylinder and axis: one of their headings is missing or wrong."""
    seen: dict[tuple[str, str], int] = {}
    for head, at in heads:
        place = head.cylinder.casefold(), head.axis.casefold()
        if head.axis and place in seen:
            of = f"cylinder {head.cylinder}, {head.axis}" if head.cylinder else head.axis
            raise InputError(
                f"two columns are of {of}: is the heading of one missing?",
                file=file,
                row=row,
                found=f"columns {seen[place] + 1} and {at + 1}",
                allowed="one column for each cylinder and axis",
            )
        seen[place] = at


def _two_rows(
    rows: Sequence[NumberedRow], at: int, place: int
) -> tuple[list[Heading], int, int] | None:
    """Return what stands over the columns behind the depths; headings stand in one row or two.

    With it the first row of figures, and the first row of headings.
    """
    own = rows[at][1][place + 1 :]
    if all(heading(cell).axis for cell in own if cell):
        if any(heading(cell).cylinder for cell in own):
            return [heading(cell) for cell in own], at + 1, at
        over = _carried(rows[at - 1][1][place + 1 :]) if at else []
        if any(over):
            return _both(over, own), at + 1, at - 1
        return [heading(cell) for cell in own], at + 1, at
    if at + 1 < len(rows):
        below = [*rows[at + 1][1]]
        axes = below[place + 1 :]
        if not any(below[: place + 1]) and any(axes) and all(heading(c).axis for c in axes if c):
            return _both(_carried(own), axes), at + 2, at
    if at:
        over = _carried(rows[at - 1][1][place + 1 :])
        if any(over) and all(heading(cell).axis for cell in over if cell):
            return _both(over, own), at + 1, at - 1
    return None


def _carried(cells: Sequence[str]) -> list[str]:
    """Return the cells of a heading with those that are empty as the one before them."""
    found: list[str] = []
    for cell in cells:
        found.append(cell or (found[-1] if found else ""))
    return found


def _both(over: Sequence[str], under: Sequence[str]) -> list[Heading]:
    last = over[-1] if over else ""
    pairs = [(over[i] if i < len(over) else last, cell) for i, cell in enumerate(under)]
    return [heading(f"{one} {other}") if other else Heading() for one, other in pairs]


def _by_place(file: str, rows: Sequence[NumberedRow], at: int) -> Laid | None:
    """Return a grid with a row for each cylinder and axis, where this row has the depths."""
    number, cells = rows[at]
    depths = [_depth(cell) for cell in cells]
    first = next((i for i, depth in enumerate(depths) if depth), 0)
    labels = [heading(cell) for cell in cells[:first]]
    known = {"depth", "axis", "cylinder"}
    if not 1 <= first <= 2 or not any(label.words & known for label in labels):
        return None
    if not all(depths[i] for i, cell in enumerate(cells) if cell and i >= first):
        return None
    of_depth = next((label.unit for label in labels if label.words & {"depth"}), "")
    body: list[NumberedRow] = []
    heads, cylinder = list(labels), ""
    seen: set[tuple[str, str]] = set()
    for row, values in [one for one in rows[at + 1 :] if not _again(one[1], cells)]:
        names = [cell for cell in values[:first] if cell]
        head = heading(" ".join(names))
        if head.words & {"depth"}:
            return None  # another row of headings
        cylinder = head.cylinder if head.axis and head.cylinder else cylinder
        filled = [(i, figure) for i, figure in enumerate(values) if figure and i >= first]
        if not filled:
            continue  # a note, or a place that was not read
        if not head.axis:
            if not body:
                return None
            raise _no_heading(file, row, filled[0][1])
        if (cylinder.casefold(), head.axis.casefold()) in seen:
            raise InputError(
                "two rows are of one cylinder and axis: is the cylinder before one missing?",
                file=file,
                row=row,
                found=f"cylinder {cylinder}, {head.axis}" if cylinder else head.axis,
                allowed="one row for each cylinder and axis",
            )
        seen.add((cylinder.casefold(), head.axis.casefold()))
        heads.append(head)
        for i, figure in filled:
            if i >= len(depths) or not depths[i]:
                raise _no_heading(file, row, figure)
            body.append((row, [cylinder, depths[i], head.axis, figure, head.unit]))
    if not body and rows[at + 1 :]:
        return None
    return _made(file, number, heads, of_depth, body, _titles(rows[:at]))


def _depth(cell: str) -> str:
    """Return the depth that a heading states: `8`, `8 mm`, `depth 8 mm`; empty where none."""
    words = [word for word in cell.split() if in_english(word).casefold() not in ("depth", "at")]
    text = " ".join(words)
    return text if is_length(text) else ""


def is_length(text: str) -> bool:
    """Tell whether a cell is a length, with a decimal comma too."""
    try:
        parse_length(text.replace(",", "."), "mm")
    except ValueError:
        return False
    return True


def _no_heading(file: str, row: int, figure: str) -> InputError:
    return InputError(
        "a figure of which neither depth, cylinder nor axis is said",
        file=file,
        row=row,
        found=shown(figure),
        allowed="thrust, pin or an angle as 45° in the heading of every column (or row) of figures",
    )


def _made(
    file: str,
    number: int,
    heads: Sequence[Heading],
    of_depth: str,
    body: list[NumberedRow],
    titles: str,
) -> Laid:
    """Return the grid as a table of one reading a row."""
    told = heading(titles)
    kinds = {head.kind for head in heads if head.kind}
    if len(kinds) > 1:
        raise InputError("diameters and dial figures in one grid", file=file, row=number)
    named = {bool(cells[0]) for _, cells in body}
    if len(named) > 1:
        raise InputError(
            "only some of these readings have a cylinder",
            file=file,
            row=number,
            allowed="the cylinder over every column (or before every row), or over none",
        )
    if told.kind and told.unit and not any(head.unit for head in heads):
        body = [(row, [*cells[:4], told.unit]) for row, cells in body]
    depth = f"depth [{of_depth}]" if of_depth else "depth"
    kind = kinds.pop() if kinds else FIGURE
    return Laid([(number, ["cylinder", depth, "axis", kind, "unit"]), *body], titles, told.kind)


def check_titles(file: str, titles: str, units: Iterator[Unit]) -> None:
    """Refuse titles that name a unit in which neither a depth nor a figure was read."""
    used = sorted(set(units))
    titled = other_unit(titles, used)
    if titled is not None:
        raise InputError(
            "a title names another unit than the readings are taken in",
            file=file,
            field="unit",
            found=f"{titled} in the title, {', '.join(used)} here",
            allowed="the unit in the heading, as diameter [mm], or a job in the same unit",
        )


def other_unit(titles: str, used: Iterable[Unit]) -> Unit | None:
    """Return the unit that titles name, if it is not one of those in use."""
    words = {word.strip(".,;:()[]").casefold() for word in titles.split()}
    own = set(used)
    named = (parse_unit({"inches": "inch"}.get(word, word)) for word in words & {*_UNIT_WORDS})
    return min((unit for unit in named if unit not in own), default=None)
