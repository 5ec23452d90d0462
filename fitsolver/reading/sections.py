"""One section of a TOML file: each key by its kind, or one clear message."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date, datetime
from typing import Any, TypeVar, cast

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit, parse_length
from fitsolver.reading.hints import shown, unknown
from fitsolver.reading.quantities import parse_count, parse_mass, parse_money

T = TypeVar("T")
W = TypeVar("W", bound=str)


class Section:
    """A table of a TOML file with the keys it may have.

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
        allowed = tuple(keys)
        for key in data:
            if key not in allowed:
                raise unknown("key", key, allowed, file=file, row=place or None, field=key)

    def __contains__(self, key: str) -> bool:
        return key in self.data

    def error(
        self, key: str, message: str, *, found: object = None, allowed: str = ""
    ) -> InputError:
        """Return the refusal of a key of this section."""
        if found is None and key in self.data:
            found = shown(self.data[key])
        return InputError(
            message, file=self.file, row=self.place or None, field=key, found=found, allowed=allowed
        )

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
        """Return `value` when it is among the allowed words."""
        if value not in allowed:
            raise unknown(
                "word", str(value), allowed, file=self.file, row=self.place or None, field=key
            )
        return cast(W, value)

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
        allowed = f'a length in {self.unit}, or a text with its unit as "12 thou"'
        try:
            ticks = parse_length(value, self.unit)
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
        """Return what `parse` makes of the value; its ValueError becomes the refusal."""
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
        return self.inner(self.data[key], keys, f"[{key}]") if key in self.data else None

    def sections(self, key: str, keys: Iterable[str]) -> list[Section]:
        """Return the repeated sections ([[key]]) of that name."""
        allowed = tuple(keys)
        return [
            self.inner(value, allowed, f"[[{key}]] {number}")
            for number, value in enumerate(self.items(key), start=1)
        ]

    def inner(self, data: object, keys: Iterable[str], place: str) -> Section:
        place = f"{self.place}, {place}" if self.place else place
        return Section(data, keys, file=self.file, place=place, unit=self.unit)
