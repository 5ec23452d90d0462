"""Words typed at the counter: a family by a part of its name, and bores as people write them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from difflib import get_close_matches
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit, exact_text, format_length, parse_length, parse_unit
from fitsolver.reading.hints import shown, unknown
from fitsolver.reading.readings_grid import is_length

STANDARD: Final = ("std", "standard")
#: A bore is no smaller than its standard size less this, and no larger than the largest size made
#: and this (parts in 1000): common practice, no source.
_BELOW, _ABOVE = 5, 20
#: A bore below standard as an undersize: the minus sign is slipped too easily.
BELOW: Final = "a bore below standard is typed whole, as it measures"
_ALIKE: Final = 0.75
_COMMA: Final = re.compile(r"[+-]?\d*,\d+\D*")
_DIGITS: Final = re.compile(r"\D+")


def family_named(word: str, families: Sequence[str]) -> str:
    """Return the family that a word names: its name, the beginning of it or of one of its words.

    Letter case, spaces and hyphens count for nothing. Else it is the only one spelled nearly so,
    with the same figures. Raises InputError for a word that names none, or several: they are named.
    """
    own = _plain(word)
    tests: tuple[Callable[[str], bool], ...] = (
        lambda family: family == word,
        lambda family: _plain(family) == own,
        lambda family: _plain(family).startswith(own),
        lambda family: any(_plain(part).startswith(own) for part in family.split()),
    )
    for test in tests if own else ():
        found = [family for family in families if test(family)]
        if found:
            return _only(word, found)
    near = _spelled_alike(own, families)
    if near:
        return _only(word, near)
    raise unknown("family", word, families, file="", field="family")


def _plain(text: str) -> str:
    return "".join(letter for letter in text.casefold() if letter.isalnum())


def _spelled_alike(own: str, families: Sequence[str]) -> list[str]:
    """Return the families spelled nearly so; a figure is never taken for another one."""
    figures = _DIGITS.sub("", own)
    known = {_plain(name): name for name in families if _DIGITS.sub("", _plain(name)) == figures}
    return [known[name] for name in get_close_matches(own, known, n=3, cutoff=_ALIKE)]


def _only(word: str, found: Sequence[str]) -> str:
    if len(found) == 1:
        return found[0]
    raise InputError(
        f"this may be one of {len(found)} families",
        field="family",
        found=shown(word),
        allowed=f"more of the name: {', '.join(found[:12])}" + (" ..." if len(found) > 12 else ""),
    )


def family_and_sizes(words: Sequence[str], families: Sequence[str]) -> tuple[str, tuple[str, ...]]:
    """Return the family that the first words name, and the sizes behind it.

    A unit by itself belongs to the size before it. Raises InputError as `family_named`, and
    without a size.
    """
    for count in range(len(words) - 1, 1, -1):  # a name of several words, typed without quotes
        whole = _plain("".join(words[:count]))
        named = [family for family in families if _plain(family) == whole]
        if len(named) == 1:
            return named[0], joined_units(words[count:])
    _check_order(words, families)
    family = family_named(words[0], families)
    if len(words) < 2:
        raise InputError("the bore is missing", field="size", allowed="a size, as 62.31")
    return family, joined_units(words[1:])


def _check_order(words: Sequence[str], families: Sequence[str]) -> None:
    """Refuse a bore that stands before the family."""
    if not is_length(words[0]) or any(_plain(f).startswith(_plain(words[0])) for f in families):
        return
    others = " ".join(word for word in words[1:] if not is_length(word))
    sizes = " ".join(word for word in words if is_length(word))
    raise InputError(
        "the family comes first, then the bores",
        field="family",
        found=shown(words[0]),
        allowed=f"{others or 'FAMILY'} {sizes}",
    )


def joined_units(words: Iterable[str]) -> tuple[str, ...]:
    """Return sizes with the units that stood by themselves joined to them: `62.31 mm`."""
    found: list[str] = []
    for word in words:
        if found and _is_unit(word):
            found[-1] = f"{found[-1]} {word}"
        else:
            found.append(word)
    return tuple(found)


def _is_unit(word: str) -> bool:
    try:
        parse_unit(word)
    except ValueError:
        return False
    return True


def bore_typed(text: str, unit: Unit, standard: int, bounds: tuple[int, int]) -> int:
    """Return a bore as it was typed, in ticks: `62.31`, `62,31`, `2.4531in`, `std`, `+0.50`.

    A bare figure is in `unit`; `+0.50` is the standard bore and so much oversize. Raises InputError
    for an invalid size, and one outside of `bounds` (lowest and highest size that its family has).
    """
    word = text.strip()
    if word.casefold() in STANDARD:
        return standard
    figure = word.replace(",", ".") if _COMMA.fullmatch(word) else word
    if word.isalpha():
        raise _refused("unknown unit", text, unit, bounds, "; units: mm, um, in, thou")
    if "," in word and "." in word:
        raise _refused("several bores stand apart, with blanks", text, unit, bounds)
    try:
        size = parse_length(figure, unit)
    except ValueError as error:
        raise _refused(str(error), text, unit, bounds) from error
    if word.startswith("-"):
        raise _refused(BELOW, text, unit, bounds)
    if word.startswith("+"):
        size += standard
    if not bounds[0] <= size <= bounds[1]:
        raise _refused("this size is nowhere near the family's bores", text, unit, bounds,
                       _other_unit(figure, unit, bounds))  # fmt: skip
    return size


def _other_unit(figure: str, unit: Unit, bounds: tuple[int, int]) -> str:
    """Return a figure without a unit, read in the other unit, if that is near the family."""
    other: Unit = "in" if unit in ("mm", "um") else "mm"
    try:
        size = parse_length(figure, other)
    except ValueError:
        return ""
    if figure[-1:].isdigit() and bounds[0] <= size <= bounds[1]:
        return f"; or is it {figure} {other}? Then write {figure}{other}"
    return ""


def _refused(
    message: str, text: str, unit: Unit, bounds: tuple[int, int], more: str = ""
) -> InputError:
    low, high = (format_length(bound, unit, symbol=True) for bound in bounds)
    oversize = exact_text(_quarter(unit), unit)
    return InputError(
        message,
        field="size",
        found=shown(text),
        allowed=f"{low} to {high}, std, or an oversize as +{oversize}{more}",
    )


def _quarter(unit: Unit) -> int:
    """Return an oversize to show: a quarter of a millimetre, or ten thousandths of an inch."""
    return 25_000 if unit in ("mm", "um") else 25_400


def near_family(sizes: Iterable[int]) -> tuple[int, int]:
    """Return the lowest and highest bore that is near a family made in these sizes (ticks)."""
    made = sorted(sizes)
    low, high = made[0], made[-1]
    return low - low * _BELOW // 1000, high + high * _ABOVE // 1000
