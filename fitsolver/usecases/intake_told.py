"""A person's answers about a list; they take precedence over the list and its mapping file."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from typing import Any, Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit, parse_length
from fitsolver.reading.list_cells import BORES, OversizeUnit
from fitsolver.reading.list_figures import Mark, currency_of
from fitsolver.reading.list_headings import ROLES, Role
from fitsolver.reading.list_kinds import ANSWERS, KINDS, NO_PART, Kind, phrase
from fitsolver.reading.list_mapping import (
    ANSWERED,
    WORDS,
    BoresAre,
    FamilyBy,
    LeadUnit,
    ListMapping,
)
from fitsolver.reading.list_unfold import Across, Joint
from fitsolver.reading.list_words import plain


@dataclass(frozen=True)
class Told:
    """A person's answers: each takes precedence over the list and the mapping file.

    `clearance` by family, '' = all, lowest and highest, and `standard_bore` by family, in ticks.
    """

    units: Unit | None = None
    decimal: Mark | None = None
    currency: str | None = None
    lead_days: int | None = None
    stock_only: bool | None = None
    family: str | None = None
    kind: Kind | None = None
    columns: Mapping[Role, str] = field(default_factory=dict)
    kinds: Mapping[str, str] = field(default_factory=dict)
    clearance: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    standard_bore: Mapping[str, int] = field(default_factory=dict)
    skip: Sequence[str] = ()
    remarks: Sequence[str] = ()
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


def with_told(mapping: ListMapping, told: Told) -> ListMapping:
    """Return a mapping with what a person answered in its place.

    Raises InputError for a currency that is none.
    """
    single = {
        name: value
        for name in (
            "units", "decimal", "currency", "lead_days", "stock_only", "family", "kind", *ANSWERED
        )
        if (value := getattr(told, name)) is not None
    }  # fmt: skip
    if told.currency:
        single["currency"] = currency_code(told.currency)
    return replace(
        mapping,
        **single,
        columns={**mapping.columns, **told.columns},
        kinds={**mapping.kinds, **{phrase(words): kind for words, kind in told.kinds.items()}},
        clearance={**mapping.clearance, **told.clearance},
        standard_bore={**mapping.standard_bore, **told.standard_bore},
        skip=tuple(dict.fromkeys((*mapping.skip, *told.skip))),
        remarks=tuple(dict.fromkeys((*mapping.remarks, *told.remarks))),
    )


def currency_code(text: str) -> str:
    """Return a currency as its three letters; `€` and `euro` have them, too."""
    bare = text.strip()
    code = currency_of(bare) if len(bare) < _LONGEST else ""
    if code or re.fullmatch(r"[A-Za-z]{3}", bare):
        return code or bare.upper()
    raise InputError(
        "this is no currency", field="currency", found=text[:20], allowed="three letters, as EUR"
    )


#: Longest sign of a currency, and one more: `euro.`
_LONGEST: Final = 6
#: What stands for an answer that there is none, and what says that a column holds remarks.
NONE: Final = "-"
REMARK: Final = "remark"
YES_NO: Final = {"yes": True, "no": False}
_MOST_DAYS: Final = 9999
_MOST_PIECES: Final = 1_000


def told_of(answers: Iterable[tuple[str, str]], unit: Unit) -> Told:
    """Return the answers to the questions of a list, each by its key, as an intake takes them.

    Raises InputError for an invalid answer.
    """
    columns: dict[Role, str] = {}
    kinds: dict[str, str] = {}
    clearance: dict[str, tuple[int, int]] = {}
    bores: dict[str, int] = {}
    skip: list[str] = []
    remarks: list[str] = []
    single: dict[str, Any] = {"units": unit}
    for key, text in answers:
        what, _, rest = key.partition(" ")
        if what == "column" and rest in ROLES:
            columns[rest] = "" if text == NONE else text
        elif what == "skip" and text in (NONE, REMARK):
            (skip if text == NONE else remarks).append(rest)
        elif what == "skip":
            columns[_one_of(text, ROLES)] = rest
        elif what == "words":
            skip += [] if text == NONE else filter(None, map(str.strip, text.split(",")))
        elif what == "kind" and not rest:
            single[what] = _one_of(text, KINDS)
        elif what == "kind":
            kinds[rest] = NO_PART if text == NONE else _one_of(text, ANSWERS)
        elif what == "clearance":
            clearance[rest] = clearance_of_text(text, unit)
        elif what == "standard_bore":
            bores[rest] = bore_of_text(text, unit)
        else:
            single |= _single(what, text)
    return Told(
        columns=columns, kinds=kinds, clearance=clearance, standard_bore=bores, skip=skip,
        remarks=remarks, **single,
    )  # fmt: skip


def _single(what: str, text: str) -> dict[str, Any]:
    """Return an answer of one word as the field of `Told` that it fills; {} for another key."""
    if what == "lead_days":
        return _days(text)
    if what == "currency":
        return {what: currency_code(text)}
    if what == "family":
        return {what: text.strip()}
    if what == "units":
        return {what: _one_of(text, ("mm", "in", "um"))}
    if what == "decimal":
        return {what: _one_of(text, (",", "."))}
    return {what: answer_of_text(what, text)} if what in ANSWERED else {}


def answer_of_text(key: str, text: str) -> object:
    """Return the answer to a question of `ANSWERED`; raises InputError for an invalid one."""
    if key == "price_for":
        if not text.isdecimal() or not 0 < int(text) <= _MOST_PIECES:
            raise InputError(
                "this is no number of pieces", found=text[:20], allowed=f"1 to {_MOST_PIECES}"
            )
        return int(text)
    found = _one_of(text, WORDS.get(key, tuple(YES_NO)))
    return YES_NO.get(found, found)


def _one_of(text: str, allowed: Sequence[Any]) -> Any:
    if text not in allowed:
        raise InputError("this is no answer", found=text[:40], allowed=", ".join(allowed))
    return text


def _days(text: str) -> dict[str, Any]:
    if text == NONE:
        return {"stock_only": True}
    bare = text.strip()
    if not (bare.isdecimal() and bare.isascii() and int(bare) <= _MOST_DAYS):
        raise InputError("this is no number of days", found=bare[:20], allowed="0 to 9999")
    return {"lead_days": int(bare)}


def bore_of_text(text: str, unit: Unit) -> int:
    """Return a standard bore as `54.00` in ticks; raises InputError for one that is none."""
    try:
        found = parse_length(text.strip(), unit)
    except ValueError:
        found = 0
    if not BORES[0] <= found <= BORES[1]:
        raise InputError(
            "this is no standard bore",
            found=text[:40],
            allowed=f'20 to 250 mm; a figure without a unit is in {unit}: "4.000 in", "54 mm"',
        )
    return found


def check_headings(columns: Mapping[Role, str], headings: Sequence[str]) -> None:
    """Raise InputError for a column that no heading of the list names, with the nearest one."""
    known = {plain(one) for one in headings}
    for role, heading in columns.items():
        if heading and plain(heading) not in known:
            raise no_heading(heading, headings, role)


def no_heading(heading: str, headings: Sequence[str], role: str = "") -> InputError:
    """Return the refusal of a heading that the list has not; `role` is what was read from it."""
    near = {one.casefold(): one for one in headings}
    meant = get_close_matches(heading.casefold(), near, n=1)
    return InputError(
        f"no such heading: {heading[:40]}"
        + (f" (did you mean '{near[meant[0]]}'?)" if meant else ""),
        field=role and f"column {role}",
        allowed=", ".join(headings),
    )


def clearance_of_text(text: str, unit: Unit) -> tuple[int, int]:
    """Return a clearance as `0.045 0.055`, lowest and highest in ticks."""
    try:
        low, high = (parse_length(part, unit) for part in text.replace(",", ".").split())
    except ValueError as error:
        raise InputError(
            "this is no clearance",
            found=text[:40],
            allowed="its lowest and its highest, as 0.045",
        ) from error
    if low < 0:
        raise InputError(
            "a clearance is not below 0", found=text[:40], allowed="its lowest, 0 or more"
        )
    if low > high:
        raise InputError("the lowest clearance is above the highest", found=text[:40])
    return low, high
