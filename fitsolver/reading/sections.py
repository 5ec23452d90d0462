"""One section of a TOML file: each key by its kind, or one clear message."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from datetime import date, datetime
from typing import Any, Final, TypeVar, cast, get_args

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import UNIT_NAMES, Unit, parse_length
from fitsolver.reading.hints import shown, unknown
from fitsolver.reading.owned import Owned, Source
from fitsolver.reading.quantities import parse_count, parse_mass, parse_money
from fitsolver.reading.refusals import Refusals
from fitsolver.records.base import RECORD_FORMAT, Owner

T = TypeVar("T")
W = TypeVar("W", bound=str)
UNITS: Final[tuple[Unit, ...]] = get_args(Unit)


class Section:
    """A table of a TOML file, or of several (`Owned`), with the keys it may have.

    Every method takes a key and returns its value, or None (or the default) where the key is
    left out; each raises InputError with file, section, key, what was found and what is allowed.
    """

    def __init__(
        self, data: object, keys: Iterable[str], *, file: str, place: str, unit: Unit = "mm"
    ) -> None:
        self.file, self.place, self.unit = file, place, unit
        if not isinstance(data, dict):
            raise InputError(
                "this is not a section",
                file=file,
                row=place or None,
                found=shown(data),
                allowed="a section with keys",
            )
        self.data: dict[str, Any] = data
        self.owner: Owner = "job"
        allowed = tuple(keys)
        refused = Refusals(file)
        for key in data:
            if key not in allowed:
                refused.add(self._unknown("key", key, key, allowed))
        refused.check()

    def __contains__(self, key: str) -> bool:
        return key in self.data

    @property
    def stands(self) -> str:
        """File and section of a section that is not the job's own, for messages; else empty."""
        return "" if self.owner == "job" else f"{self.file}, {self.place}"

    def source(self, key: str) -> Source:
        """Return the place of a key's value."""
        own = Source(self.file, self.unit, self.owner, self.place)
        return self.data.sources.get(key, own) if isinstance(self.data, Owned) else own

    def _at(self, key: str) -> tuple[str, str | None]:
        """Return file and section of a key, for messages."""
        source = self.source(key)
        return source.file, source.place or self.place or None

    def _unknown(self, what: str, word: str, key: str, allowed: Iterable[str]) -> InputError:
        file, row = self._at(key)
        return unknown(what, word, allowed, file=file, row=row, field=key)

    def error(
        self, key: str, message: str, *, found: object = None, allowed: str = ""
    ) -> InputError:
        """Return the refusal of a key of this section."""
        if found is None and key in self.data:
            found = shown(self.data[key])
        file, row = self._at(key)
        return InputError(message, file=file, row=row, field=key, found=found, allowed=allowed)

    def need(self, key: str, value: T | None, allowed: str = "a length") -> T:
        """Return a value that must be there."""
        if value is None:
            raise self.error(key, "this key is missing", found="nothing", allowed=allowed)
        return value

    def text(self, key: str, default: str = "") -> str:
        """Return any text."""
        value = self.data.get(key, default)
        if not isinstance(value, str):
            raise self.error(key, "this is not a text", allowed="a text in quotes")
        return value

    def word(self, key: str) -> str | None:
        """Return a name or part number; a whole number counts as its digits."""
        return self._name(key, self.data[key]) if key in self.data else None

    def words(self, key: str) -> tuple[str, ...]:
        """Return a list of names."""
        return tuple(self._name(key, value) for value in self.items(key))

    def _name(self, key: str, value: object) -> str:
        if isinstance(value, int) and not isinstance(value, bool):
            return str(value)
        if not isinstance(value, str) or not value or value != value.strip():
            raise self.error(key, "this is not a name", found=shown(value), allowed="a short text")
        if not value.isprintable():
            raise self.error(key, "a name is one line of printable text", found=shown(value))
        return value

    def choice(self, key: str, allowed: Sequence[W], default: W | None = None) -> W:
        """Return one of the allowed words."""
        if key not in self.data and default is not None:
            return default
        if key not in self.data:
            raise self.error(
                key, "this key is missing", found="nothing", allowed=", ".join(allowed)
            )
        return self.one_of(key, self.data[key], allowed)

    def one_of(self, key: str, value: object, allowed: Sequence[W]) -> W:
        """Return the allowed word that `value` is, in any letter case; hyphens count as blanks."""
        if value in allowed:
            return cast(W, value)
        alike = [word for word in allowed if plain(word) == plain(value)]
        if tuple(allowed) == UNITS:
            alike = [word for word in allowed if word == UNIT_NAMES.get(str(value).strip().lower())]
        if not alike:
            raise self._unknown("word", str(value), key, allowed)
        return alike[0]

    def flag(self, key: str, default: bool = False) -> bool:
        value = self.data.get(key, default)
        if not isinstance(value, bool):
            raise self.error(key, "this is neither true nor false", allowed="true, false")
        return value

    def length(self, key: str, *, least: int | None = None, above: int | None = None) -> int | None:
        """Return a length in ticks, at least `least` and above `above` where these are given."""
        if key not in self.data:
            return None
        return self.to_length(key, self.data[key], least=least, above=above)

    def lengths(self, keys: Iterable[str]) -> dict[str, Any]:
        """Return lengths above 0 (ticks), or None, by their keys."""
        return {key: self.length(key, above=0) for key in keys}

    def to_length(
        self, key: str, value: Any, *, least: int | None = None, above: int | None = None
    ) -> int:
        """Return `value`, found at `key`, as a length in ticks."""
        unit = self.source(key).unit
        allowed = f'a length in {unit}, or a text with its unit as "12 thou"'
        try:
            ticks = parse_length(value, unit)
        except ValueError as error:
            raise self.error(key, str(error), found=shown(value), allowed=allowed) from error
        if least is not None and ticks < least:
            raise self.error(
                key, "this length cannot be negative", found=shown(value), allowed="0 or more"
            )
        if above is not None and ticks <= above:
            raise self.error(
                key, "this length must be above zero", found=shown(value), allowed="above 0"
            )
        return ticks

    def count(self, key: str, default: int | None = None, *, least: int = 0) -> int | None:
        allowed = f"a whole number from {least}"
        value = self.parsed(key, parse_count, allowed)
        if value is None:
            return default
        if value < least:
            raise self.error(key, "this number is too small", allowed=allowed)
        return value

    def money(self, key: str) -> int | None:
        return self.parsed(key, parse_money, 'an amount with two decimals at most, as "240.00"')

    def mass(self, key: str) -> int | None:
        return self.parsed(key, parse_mass, 'a mass in grams, or a text with its unit as "182.4 g"')

    def day(self, key: str) -> date | None:
        value = self.data.get(key)
        if value is None:
            return None
        if not isinstance(value, date) or isinstance(value, datetime):
            raise self.error(key, "this is not a date", allowed="a date without quotes: 2027-03-01")
        return value

    def parsed(self, key: str, parse: Callable[[Any], T], allowed: str) -> T | None:
        """Return the value parsed by `parse`; its ValueError becomes the refusal."""
        if key not in self.data:
            return None
        try:
            return parse(self.data[key])
        except ValueError as error:
            raise self.error(key, str(error), allowed=allowed) from error

    def items(self, key: str) -> list[Any]:
        value = self.data.get(key, [])
        if not isinstance(value, list):
            raise self.error(key, "this is not a list", allowed="a list in [ ]")
        return value

    def section(self, key: str, keys: Iterable[str]) -> Section | None:
        """Return the section of that name within this one."""
        if key not in self.data:
            return None
        return self._of(self.data[key], keys, f"[{key}]", self.source(key))

    def sections(self, key: str, keys: Iterable[str]) -> list[Section]:
        """Return the repeated sections ([[key]]) of that name."""
        allowed, found = tuple(keys), []
        for number, value in enumerate(self.items(key), start=1):
            source = self.source(key)
            if isinstance(value, Owned):
                source, number = value.source or source, value.number or number  # noqa: PLW2901
            found.append(self._of(value, allowed, f"[[{key}]] {number}", source))
        return found

    def inner(self, data: object, keys: Iterable[str], place: str) -> Section:
        return self._of(data, keys, place, Source(self.file, self.unit, self.owner))

    def _of(self, data: object, keys: Iterable[str], place: str, source: Source) -> Section:
        place = f"{self.place}, {place}" if self.place else place
        found = Section(data, keys, file=source.file, place=place, unit=source.unit)
        found.owner = source.owner
        return found


def plain(word: object) -> str:
    """Return a word as it counts: `Out-of-round` is `out of round`, and so is `out_of_round`."""
    return " ".join(re.split(r"[\s_-]+", str(word).strip().casefold()))


def check_format(top: Section, known: str = str(RECORD_FORMAT)) -> None:
    """Refuse a file of a later format than this program knows; `known` is for the message."""
    value = top.data.get("format", RECORD_FORMAT)
    if value != RECORD_FORMAT or isinstance(value, bool):
        raise top.error("format", "this format is not known here", allowed=known)
