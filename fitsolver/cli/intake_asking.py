"""What a price or stock list leaves open, answered by options or asked on a terminal."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Final, cast, get_args

import typer

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit, parse_length
from fitsolver.cli.output import say

if TYPE_CHECKING:
    from fitsolver.records.intake import Asked, IntakeAnswer
    from fitsolver.usecases.intake import Told

_MARKS: Final = {"comma": ",", "point": ".", ",": ",", ".": "."}
#: What a person types who has no answer.
_NOTHING: Final = "-"


@dataclass(frozen=True)
class Given:
    """What the options say, as typed."""

    unit: Unit | None = None
    decimal: str | None = None
    currency: str | None = None
    lead_days: str | None = None
    family: str | None = None
    column: Sequence[str] = field(default_factory=tuple)
    kind: Sequence[str] = field(default_factory=tuple)
    clearance: Sequence[str] = field(default_factory=tuple)
    skip: Sequence[str] = field(default_factory=tuple)
    answers: Sequence[str] = field(default_factory=tuple)


def told_by(given: Given) -> Told:
    """Return what was typed; raises InputError with the option, what was found, what is allowed."""
    from fitsolver.usecases.intake import Told

    decimal = given.decimal
    if decimal is not None and decimal not in _MARKS:
        raise InputError("no such mark", field="--decimal", found=decimal, allowed="point, comma")
    columns = list(map(_column, given.column))
    kinds = dict(map(_kind, given.kind))
    return Told(
        units=given.unit,
        decimal=None if decimal is None else cast(Any, _MARKS[decimal]),
        currency=given.currency,
        family=given.family,
        columns={role: heading for role, heading in columns if role != _REMARK},
        remarks=tuple(heading for role, heading in columns if role == _REMARK),
        skip=tuple(given.skip),
        kinds={words: kind for words, kind in kinds.items() if words},
        kind=cast(Any, kinds.get("")),
        clearance=dict(_clearance(text, given.unit or "mm") for text in given.clearance),
        **_days(given.lead_days),
        **dict(map(_answer, given.answers)),
    )


def _answer(text: str) -> tuple[str, Any]:
    """Return an answer as `oversize_unit=thou`: its key and its value."""
    from fitsolver.reading.list_mapping import ANSWERED, WORDS

    key, _, value = text.partition("=")
    key, value = key.strip(), value.strip()
    allowed = {**WORDS, "smallest_is_standard": _YES, "fill_down": _YES}.get(key, ())
    if key not in ANSWERED:
        raise InputError(
            "nothing of this name is asked", field="--answer", found=key,
            allowed=", ".join(ANSWERED),
        )  # fmt: skip
    if key == "price_for":
        if not value.isdecimal() or not 0 < int(value) <= 1_000:
            raise InputError("this is no number of pieces", field="--answer", found=value)
        return key, int(value)
    if value not in allowed:
        raise InputError(
            "this is no answer", field=f"--answer {key}", found=value, allowed=", ".join(allowed)
        )
    return key, _YES.get(value, value)


_YES: Final = {"yes": True, "no": False}
_REMARK: Final = "remark"


def _days(text: str | None) -> dict[str, Any]:
    if text is None:
        return {}
    if text == "none":
        return {"stock_only": True}
    if not text.isdecimal() or len(text) > 4:
        raise InputError(
            "this is no number of days", field="--lead-days", found=text, allowed="6, none"
        )
    return {"lead_days": int(text)}


def _column(text: str) -> tuple[Any, str]:
    from fitsolver.reading.list_headings import Role

    role, mark, heading = text.partition("=")
    roles = (*get_args(Role), _REMARK)
    if not mark or role.strip() not in roles:
        raise InputError(
            "this names no column",
            field="--column",
            found=text,
            allowed=f"ROLE=HEADING; roles: {', '.join(roles)}",
        )
    return role.strip(), heading.strip()


def _kind(text: str) -> tuple[str, str]:
    from fitsolver.reading.list_kinds import ANSWERS, KINDS

    words, mark, kind = text.rpartition("=")
    if kind.strip() not in (ANSWERS if mark and words.strip() else KINDS):
        raise InputError(
            "this does not say what words name",
            field="--kind",
            found=text,
            allowed=f"WORDS=KIND, or KIND of all rows; kinds: {', '.join(ANSWERS)}",
        )
    return words.strip(), kind.strip()


def _clearance(text: str, unit: Unit) -> tuple[str, tuple[int, int]]:
    """Return a clearance as `0.045 0.055`, or with its family before: `P62: 0.045 0.055`."""
    family, colon, figures = text.rpartition(":")
    parts = figures.split()
    try:
        low, high = (parse_length(part, unit) for part in parts)
    except ValueError as error:
        raise InputError(
            "this is no clearance",
            field="--clearance",
            found=text,
            allowed='two lengths, as "0.045 0.055" or "P62: 0.045 0.055"',
        ) from error
    if low > high:
        raise InputError("the lowest is above the highest", field="--clearance", found=text)
    return family.strip() if colon else "", (low, high)


def answered(given: Given, asked: Asked, answer: str) -> Given:
    """Return what is given and the answer to a question; raises InputError for a wrong one."""
    from fitsolver.reading.list_mapping import ANSWERED

    what, _, rest = asked.key.partition(" ")
    none = answer == _NOTHING
    if what == "column":
        if none and rest == "family":
            raise InputError("every row needs an engine type", found=answer, allowed=asked.option)
        new = replace(given, column=(*given.column, f"{rest}={'' if none else answer}"))
    elif what == "skip":
        new = (
            replace(given, skip=(*given.skip, rest))
            if none
            else replace(given, column=(*given.column, f"{answer}={rest}"))
        )
    elif what == "words":
        words = () if none else map(str.strip, answer.split(","))
        new = replace(given, skip=(*given.skip, *filter(None, words)))
    elif what in ANSWERED:
        new = replace(given, answers=(*given.answers, f"{what}={answer}"))
    elif what == "kind":
        new = replace(given, kind=(*given.kind, f"{rest}={'none' if none else answer}"))
    elif what == "clearance":
        new = replace(given, clearance=(*given.clearance, answer))
    elif what == "lead_days":
        new = replace(given, lead_days="none" if none else answer)
    else:
        new = replace(given, **cast(Any, {what: answer}))
    told_by(new)
    return new


def ask_all(given: Given, look: Callable[[Given], IntakeAnswer]) -> tuple[Given, IntakeAnswer]:
    """Ask on standard error what a list leaves open, until nothing is; Enter takes a proposal.

    Raises typer.Abort at the end of the input.
    """
    found = look(given)
    done: set[str] = set()
    while True:
        open_ = [asked for asked in found.asked if asked.key not in done]
        if not open_:
            return given, found
        for asked in open_:
            given = _ask(given, asked)
            done.add(asked.key)
        found = look(given)


def _ask(given: Given, asked: Asked) -> Given:
    sure = f" ({asked.sure:.0%} sure)" if asked.proposed else ""
    while True:
        answer = typer.prompt(
            f"{asked.question}{sure}",
            default=asked.proposed or None,
            type=str,
            err=True,
        )
        try:
            return answered(given, asked, answer.strip())
        except InputError as error:
            say(f"  {error}", error=True)
