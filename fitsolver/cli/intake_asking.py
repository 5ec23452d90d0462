"""What a price or stock list leaves open, answered by options or asked on a terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Final, cast, get_args

import typer

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.cli.output import say
from fitsolver.reading.hints import unknown

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
    standard_bore: Sequence[str] = field(default_factory=tuple)
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
        standard_bore=dict(_bore(text, given.unit or "mm") for text in given.standard_bore),
        **_days(given.lead_days),
        **dict(map(_answer, given.answers)),
    )


def _answer(text: str) -> tuple[str, Any]:
    """Return an answer as `oversize_unit=thou`: its key and its value."""
    from fitsolver.reading.list_mapping import ANSWERED
    from fitsolver.usecases.intake_told import answer_of_text

    key, _, value = text.partition("=")
    key = key.strip()
    if key not in ANSWERED:
        raise InputError(
            "nothing of this name is asked", field="--answer", found=key,
            allowed=", ".join(ANSWERED),
        )  # fmt: skip
    with _of_option(f"--answer {key}"):
        return key, answer_of_text(key, value.strip())


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
    from fitsolver.usecases.intake_told import clearance_of_text

    family, _, figures = text.rpartition(":")
    with _of_option("--clearance", text):
        return family.strip(), clearance_of_text(figures, unit)


def _bore(text: str, unit: Unit) -> tuple[str, int]:
    """Return a family and its standard bore, typed as `P54: 54.00`."""
    from fitsolver.usecases.intake_told import bore_of_text

    family, colon, figure = text.rpartition(":")
    if not colon or not family.strip():
        raise InputError(
            "this names no engine type",
            field="--standard-bore",
            found=text,
            allowed='"P54: 54.00"',
        )
    with _of_option("--standard-bore", text):
        return family.strip(), bore_of_text(figure, unit)


@contextmanager
def _of_option(option: str, found: str | None = None) -> Iterator[None]:
    """Tell of a refused answer at the option that it was typed at."""
    try:
        yield
    except InputError as error:
        raise InputError(
            error.message, field=option, found=found or error.found, allowed=error.allowed
        ) from error


def answered(
    given: Given, asked: Asked, answer: str, headings: Sequence[str] | None = None
) -> Given:
    """Return what is given and the answer to a question; raises InputError for a wrong one.

    The error speaks of the question, not of the option; `headings` are those of the list.
    """
    from fitsolver.usecases.intake_asked import yes_no

    said = yes_no(asked)
    if said is not None and answer.casefold() in _SAID:
        answer = said[0 if _SAID[answer.casefold()] else 1]
        if not answer:
            return given
    try:
        new = _with(given, asked, answer, headings)
        told_by(new)
    except InputError as error:
        of_words = asked.key.partition(" ")[0] in ("kind", "skip")
        raise InputError(
            "this is no answer" if of_words else error.message,
            found=None if error.found is None else answer,
            allowed=_allowed(asked, error.allowed),
        ) from error
    return new


def _with(given: Given, asked: Asked, answer: str, headings: Sequence[str] | None) -> Given:
    from fitsolver.reading.list_mapping import ANSWERED
    from fitsolver.usecases.intake_told import check_headings, currency_code

    what, _, rest = asked.key.partition(" ")
    none = answer == _NOTHING
    if what == "column":
        if none and rest in _ALWAYS:
            raise InputError(f"every row needs {_ALWAYS[rest]}", allowed="a heading")
        if headings is not None and not none:
            check_headings({cast(Any, rest): answer}, headings)
        field, new = "column", [f"{rest}={'' if none else answer}"]
    elif what == "skip":
        field, new = ("skip", [rest]) if none else ("column", [f"{answer}={rest}"])
    elif what == "words":
        field, new = "skip", [] if none else [*filter(None, map(str.strip, answer.split(",")))]
    elif what in ANSWERED:
        field, new = "answers", [f"{what}={answer}"]
    elif what == "kind":
        field, new = what, [f"{rest}={'none' if none else answer}"]
    elif what == "clearance":
        field, new = what, [answer]
    elif what == "standard_bore":
        field, new = what, [f"{rest}: {answer}"]
    else:
        one = "none" if none and what == "lead_days" else answer
        if what == "currency":
            one = currency_code(answer)
        return replace(given, **cast(Any, {"unit" if what == "units" else what: one}))
    return replace(given, **cast(Any, {field: (*getattr(given, field), *new)}))


def _allowed(asked: Asked, allowed: str) -> str:
    """Return what may be answered at the prompt, where an option is typed in another form."""
    from fitsolver.reading.list_headings import Role
    from fitsolver.reading.list_kinds import ANSWERS, KINDS
    from fitsolver.usecases.intake_asked import yes_no

    what, _, rest = asked.key.partition(" ")
    if yes_no(asked) is not None:
        return "y, n"
    if what == "skip":
        return ", ".join((_NOTHING, *get_args(Role), _REMARK))
    if what == "kind":
        return ", ".join(ANSWERS if rest else KINDS)
    return allowed


def ask_all(given: Given, look: Callable[[Given], IntakeAnswer]) -> tuple[Given, IntakeAnswer]:
    """Ask on standard error what a list leaves open, until nothing is; Enter takes a proposal.

    Raises typer.Abort at the end of the input.
    """
    found = look(given)
    if found.asked:
        _preview(found)
    if given.unit is None:
        given = replace(given, unit=found.unit)
    done: set[str] = set()
    while True:
        open_ = [asked for asked in found.asked if asked.key not in done]
        if not open_:
            return given, found
        for asked in open_:
            given = _ask(given, asked, found)
            if asked.key != "clearance":  # it may be told of one family after the other
                done.add(asked.key)
        found = look(given)


def _preview(found: IntakeAnswer) -> None:
    """Show on standard error how the first rows are understood before the first answer."""
    from fitsolver.records.figures import Figures
    from fitsolver.reporting.intake_view import article_row

    say(f"{len(found.articles)} of {found.rows} rows understood so far, the first:", error=True)
    for article in found.articles[:_PREVIEWED]:
        row = "  ".join(article_row(article, Figures(found.unit)))
        say(f"  row {article.row}: {row}", error=True)
    for item in () if found.articles else found.unclear[:_PREVIEWED]:
        text = " ".join(filter(None, (item.number, item.description)))
        say(f"  row {item.row}: {text}: {item.reason}", error=True)


def _ask(given: Given, asked: Asked, found: IntakeAnswer) -> Given:
    sure = f" ({asked.sure:.0%} sure)" if asked.proposed else ""
    hint = _hint(asked)
    text = f"{asked.question}{f' ({hint})' if hint and asked.key not in _SAY_IT else ''}{sure}"
    headings = [*(column.heading for column in found.columns), *found.unread]
    while True:
        answer = typer.prompt(
            text,
            default=asked.proposed,
            show_default=bool(asked.proposed),
            prompt_suffix=" " if text.endswith("?") and not asked.proposed else ": ",
            type=str,
            err=True,
        ).strip()
        if not answer and not asked.needed:
            return given
        if not answer:
            say(
                f"  An answer is needed: {hint or 'one of those that the question names'}.",
                error=True,
            )
            continue
        try:
            if asked.key == "clearance":
                _known_family(answer, found)
            return answered(given, asked, answer, headings)
        except InputError as error:
            say(f"  {error}", error=True)


def _hint(asked: Asked) -> str:
    """Return how a question is answered where its own words do not say it."""
    from fitsolver.usecases.intake_asked import yes_no

    what, _, rest = asked.key.partition(" ")
    if yes_no(asked) is not None:
        return "y or n"
    if what == "column":
        return "type one of the headings" if rest in _ALWAYS else "a heading, or - for none of them"
    if what == "words":
        return "commas between, or - for none of them"
    if what == "kind" and rest:
        return "one of these" + ("" if asked.needed else ", or Enter to leave its rows out")
    return _HINTS.get(what, "")


def _known_family(answer: str, found: IntakeAnswer) -> None:
    """Raise InputError for a clearance of an engine type that is not in the list."""
    family, colon, _ = answer.rpartition(":")
    known = list(dict.fromkeys(article.family for article in found.articles))
    if colon and family.strip() not in known:
        raise unknown("engine type", family.strip(), known, file="")


#: Rows that are shown before the first question.
_PREVIEWED: Final = 3
_SAID: Final = {"y": True, "yes": True, "n": False, "no": False}
#: Columns that every list has, and what every row needs of them.
_ALWAYS: Final = {"number": "a part number", "family": "an engine type"}
#: Questions that say themselves how they are answered.
_SAY_IT: Final = ("lead_days", "decimal")
_HINTS: Final = {
    "lead_days": "a number of days, or none",
    "clearance": "LOW HIGH for all, or FAMILY: LOW HIGH for one",
    "standard_bore": "with its unit where it is another than the list's",
    "currency": "three letters, as EUR",
    "decimal": "point or comma",
}
