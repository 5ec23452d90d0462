"""How a list is read: kept beside the catalogue (`intake.toml`), for a person to change."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, Literal, cast, get_args

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit, exact_text, parse_length
from fitsolver.reading.hints import shown
from fitsolver.reading.list_cells import OVERSIZE_UNITS, OversizeUnit
from fitsolver.reading.list_figures import Mark
from fitsolver.reading.list_headings import ROLES, Role
from fitsolver.reading.list_kinds import ANSWERS, KINDS, STANDARD, Kind, phrase
from fitsolver.reading.list_patterns import compiled
from fitsolver.reading.list_unfold import ACROSS, JOINTS, Across, Joint
from fitsolver.reading.list_words import plain
from fitsolver.reading.sections import Section
from fitsolver.reading.toml_file import read_toml
from fitsolver.reading.toml_text import toml_text

MAPPING: Final = "intake.toml"
#: Answers to questions that only some lists leave open.
ANSWERED: Final = (
    "oversize_unit", "smallest_is_standard", "family_by", "fill_down", "price_for", "lead_unit",
    "sizes_across", "number_joint", "bores_are", "blank_is_standard",
)  # fmt: skip
#: Those of them that are yes or no.
YES_OR_NO: Final = ("smallest_is_standard", "fill_down", "blank_is_standard")
FamilyBy = Literal["headings", "sheets"]
LeadUnit = Literal["days", "weeks"]
BoresAre = Literal["bores", "pistons"]
_KEYS: Final = (
    "format", "units", "decimal", "currency", "lead_days", "stock_only", "kind", "family",
    "columns", "patterns", "kinds", "clearance", "standard_bore", "headings", *ANSWERED, "skip",
    "remarks",
)  # fmt: skip
_MARKS: Final[tuple[Mark, ...]] = (".", ",")
_UNITS: Final[tuple[Unit, ...]] = ("mm", "um", "in", "thou")
_HEAD: Final = (
    "# How this list is read. Change what is wrong: the next list is read the same way.\n"
)


@dataclass(frozen=True)
class ListMapping:
    """What a list does not say by itself.

    `columns` tells which heading holds what ('' = no column does), `kinds` what the words of an
    article mean that are not known (`none` = no part of a catalogue). `clearance` is what the maker
    gives between piston and the bore it is made for, by family ('' = all), lowest and highest in
    ticks; `standard_bore` the bore of oversize 0. `stock_only`: what is not in stock cannot be had.
    `headings` are those of the list that it was made from. `skip` names columns and words of
    which a person said that they say nothing here; `remarks` columns whose rows, where they are
    filled, are for a person to look at. The rest answers what only some lists leave open.
    """

    units: Unit = "mm"
    decimal: Mark | None = None
    currency: str = ""
    lead_days: int | None = None
    stock_only: bool = False
    kind: Kind | None = None
    family: str = ""
    columns: Mapping[Role, str] = field(default_factory=dict)
    patterns: tuple[str, ...] = ()
    kinds: Mapping[str, str] = field(default_factory=dict)
    clearance: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    standard_bore: Mapping[str, int] = field(default_factory=dict)
    headings: tuple[str, ...] = ()
    skip: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    oversize_unit: OversizeUnit | None = None
    smallest_is_standard: bool | None = None
    family_by: FamilyBy | None = None
    fill_down: bool | None = None
    price_for: int | None = None
    lead_unit: LeadUnit | None = None
    sizes_across: Across | None = None
    number_joint: Joint | None = None
    bores_are: BoresAre | None = None
    blank_is_standard: bool | None = None

    @property
    def articles(self) -> Mapping[str, str]:
        """What phrases name, as a person said."""
        return {words: kind for words, kind in self.kinds.items() if kind != STANDARD}

    @property
    def standard_words(self) -> frozenset[str]:
        """Words that stand for no oversize, as a person said."""
        return frozenset(words for words, kind in self.kinds.items() if kind == STANDARD)


def read_mapping(path: Path) -> ListMapping:
    """Return the mapping that a file holds; raises InputError with file, key and what may be."""
    section = Section(read_toml(path), _KEYS, file=str(path), place="")
    units = section.choice("units", _UNITS, "mm")
    section.unit = units
    columns = Section(section.data.get("columns", {}), ROLES, file=str(path), place="columns")
    patterns = section.data.get("patterns", [])
    if not isinstance(patterns, list) or not all(isinstance(one, str) for one in patterns):
        raise section.error("patterns", "these are no patterns", allowed="a list of texts")
    for one in patterns:
        compiled(one)
    decimal = section.data.get("decimal")
    return ListMapping(
        units=units,
        decimal=None if decimal is None else section.one_of("decimal", decimal, _MARKS),
        currency=section.text("currency"),
        lead_days=section.count("lead_days"),
        stock_only=section.flag("stock_only"),
        kind=section.choice("kind", KINDS) if "kind" in section else None,
        family=section.text("family"),
        columns={cast(Role, role): columns.text(role) for role in columns.data},
        patterns=tuple(patterns),
        kinds=_kinds(section),
        clearance=_clearances(section, units),
        standard_bore=_bores(section, units),
        headings=section.words("headings"),
        skip=section.words("skip"),
        remarks=section.words("remarks"),
        **_answered(section),
    )


def _answered(section: Section) -> dict[str, Any]:
    """Return the answers that a mapping holds to what only some lists leave open."""
    found: dict[str, Any] = {}
    for key, words in WORDS.items():
        if key in section:
            found[key] = section.choice(key, words)
    for key in YES_OR_NO:
        if key in section:
            found[key] = section.flag(key)
    if "price_for" in section:
        found["price_for"] = section.count("price_for") or None
    return found


#: Words that answer what only some lists leave open.
WORDS: Final[Mapping[str, tuple[str, ...]]] = {
    "oversize_unit": OVERSIZE_UNITS,
    "family_by": get_args(FamilyBy),
    "lead_unit": get_args(LeadUnit),
    "sizes_across": ACROSS,
    "number_joint": tuple(JOINTS),
    "bores_are": get_args(BoresAre),
}


def _table(section: Section, key: str) -> dict[str, Any]:
    found = section.data.get(key, {})
    if not isinstance(found, dict):
        raise section.error(key, "this is not a section", allowed="families with their figures")
    return found


def _kinds(section: Section) -> dict[str, str]:
    return {
        phrase(words): section.one_of("kinds", kind, ANSWERS)
        for words, kind in _table(section, "kinds").items()
    }


def _clearances(section: Section, unit: Unit) -> dict[str, tuple[int, int]]:
    allowed = 'two lengths, lowest first: ["0.045", "0.055"]'
    found: dict[str, tuple[int, int]] = {}
    for family, pair in _table(section, "clearance").items():
        if not isinstance(pair, list) or len(pair) != 2:
            raise section.error("clearance", "these are no two lengths", allowed=allowed)
        low, high = (_length(section, "clearance", value, unit) for value in pair)
        if low > high:
            raise section.error("clearance", "the lowest is above the highest", allowed=allowed)
        found[family] = low, high
    return found


def _bores(section: Section, unit: Unit) -> dict[str, int]:
    return {
        family: _length(section, "standard_bore", value, unit)
        for family, value in _table(section, "standard_bore").items()
    }


def _length(section: Section, key: str, value: Any, unit: Unit) -> int:
    try:
        return parse_length(value, unit)
    except ValueError as error:
        raise section.error(key, str(error), found=shown(value), allowed="a length") from error


def mapping_text(mapping: ListMapping) -> str:
    """Return a mapping as the text of its file."""
    data: dict[str, Any] = {"format": 1, "units": mapping.units}
    if mapping.decimal:
        data["decimal"] = mapping.decimal
    if mapping.currency:
        data["currency"] = mapping.currency
    if mapping.lead_days is not None:
        data["lead_days"] = mapping.lead_days
    if mapping.stock_only:
        data["stock_only"] = True
    if mapping.kind:
        data["kind"] = mapping.kind
    if mapping.family:
        data["family"] = mapping.family
    data |= {key: value for key in ANSWERED if (value := getattr(mapping, key)) is not None}
    data |= {key: list(texts) for key in ("skip", "remarks") if (texts := getattr(mapping, key))}
    data["headings"] = list(mapping.headings)
    data["patterns"] = list(mapping.patterns)
    data["columns"] = dict(mapping.columns)
    if mapping.kinds:
        data["kinds"] = dict(mapping.kinds)
    if mapping.standard_bore:
        data["standard_bore"] = {f: _mm(b) for f, b in mapping.standard_bore.items()}
    if mapping.clearance:
        data["clearance"] = {f: [_mm(a), _mm(b)] for f, (a, b) in mapping.clearance.items()}
    return _HEAD + toml_text(data) + "\n"


def _mm(ticks: int) -> str:
    """Return a length in millimetres, exactly, with its unit."""
    return f"{exact_text(ticks)} mm"


def check_layout(mapping: ListMapping, titles: Sequence[str], file: str) -> None:
    """Raise InputError where a mapping is of another layout: columns of it are not there."""
    known = {plain(title) for title in titles}
    missing = [
        shown(heading)
        for heading in dict.fromkeys(mapping.columns.values())
        if heading and plain(heading) not in known and not _BY_PLACE.fullmatch(plain(heading))
    ]
    if missing:
        raise InputError(
            "its headings differ from those of the list taken in before: "
            f"{', '.join(missing)} {'is' if len(missing) == 1 else 'are'} missing",
            file=file,
            found=shown(", ".join(filter(None, titles))),
            allowed="a list of the same layout, or another folder for this one",
        )


#: A column without a heading of its own is named by its place.
_BY_PLACE: Final = re.compile(r"column \d{1,3}")
