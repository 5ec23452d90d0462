"""Questions on a terminal for what a new job file starts with; each has a default."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection
from dataclasses import replace
from pathlib import Path
from typing import Any, Final, TypeVar, get_args

import typer

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.cli.output import say
from fitsolver.reading.job_template import NewJob, job_template
from fitsolver.reading.unanswered import UnansweredError
from fitsolver.records.job import Finishing

T = TypeVar("T")

#: Field of a new job, and the question for it. Two lengths are asked for in one line.
QUESTIONS: Final = {
    "name": "Name of the job",
    "catalogue": "Catalogue folder (empty: none yet)",
    "family": "Family of engines ({families}; empty: any)",
    "units": f"Units of the file ({', '.join(get_args(Unit))})",
    "readings": "File of readings (empty: none)",
    "cylinders": "Number of cylinders",
    "material": "Material of the bores (iron, steel, plated)",
    "finishing": f"How it is finished ({', '.join(get_args(Finishing))})",
    "stroke": "Stroke (empty: not needed)",
    "clearance": "Clearance, lowest and highest (empty: later)",
    "end_gap": "End gap, lowest and highest (empty: later)",
    "places": "Depths to type readings at, from the top face, as 8 40 74 (empty: later)",
}
_PAIRS: Final = ("clearance", "end_gap")
#: The field of a new job that has a word's meaning for each question.
_WORDS: Final = "words"
#: What a family's sheet states.
_OF_SHEET: Final = ("material", "finishing", "stroke", "clearance", "end_gap")
#: Families that a question lists.
_LISTED: Final = 12


def ask(new: NewJob, given: Collection[str], folder: Path) -> NewJob:
    """Return the job with every field that is not `given` asked for, on standard error.

    What the sheet of its family, or the shop of its `folder`, states is not asked for. What is not
    allowed is refused with what is, and asked for again. Raises typer.Abort at the end of input.
    """
    from fitsolver.usecases.beginning import families_in, named_families

    families: dict[str, Unit] = {}
    names: list[str] = []
    if "catalogue" not in given:
        new = replace(new, catalogue=_catalogue_here())
    for field, question in QUESTIONS.items():
        if field == "family" and new.catalogue:
            families = families_in(Path(new.catalogue))
            names = [*named_families(Path(new.catalogue))]
            new = _family_proposed(new, given, names)
        if field == "units" and field not in given:
            new = replace(new, units=families.get(new.family, new.units))
        if field in given or _is_needless(field, new, families, folder):
            continue
        listed = ", ".join(names[:_LISTED]) or "as its catalogue names it"
        new = _asked(new, field, question.format(families=listed), names)
    return new


def of_its_family(new: NewJob, given: Collection[str]) -> NewJob:
    """Return the job with its family as the sheet has it, and in the unit of that sheet.

    Without a family it is the only one that the catalogue has a sheet of; a unit that is given
    stands.
    """
    from fitsolver.usecases.beginning import families_in

    families = families_in(Path(new.catalogue)) if new.catalogue else {}
    if "family" not in given and len(families) == 1:
        new = replace(new, family=next(iter(families)))
    elif new.family.strip() and families:
        new = replace(new, family=_family(new.family.strip(), list(families)))
    return new if "units" in given else replace(new, units=families.get(new.family, new.units))


def _catalogue_here() -> str:
    """Return the catalogue that a counter would take here, "" where there is none."""
    from fitsolver.reading.owners import nearest_shop
    from fitsolver.usecases.counter_files import catalogue_here

    try:
        found = catalogue_here(nearest_shop(Path()))
    except InputError:
        return ""
    return "" if found is None else found.as_posix()


def _family_proposed(new: NewJob, given: Collection[str], families: list[str]) -> NewJob:
    """Return the job with the name of a family given, or with the only one there is."""
    if "family" in given and families:
        return replace(new, family=_family(new.family, families))
    return replace(new, family=families[0]) if len(families) == 1 else new


def _is_needless(field: str, new: NewJob, families: Collection[str], folder: Path) -> bool:
    from fitsolver.usecases.beginning import needs_material

    if field == "material" and new.family in families:
        return not needs_material(Path(new.catalogue), new.family, folder)
    if field in {"cylinders", "places"} and new.readings:
        return True
    return field in _OF_SHEET and new.family in families


def _asked(new: NewJob, field: str, question: str, families: list[str]) -> NewJob:
    """Ask for one field until it is allowed."""
    while True:
        default = str(getattr(new, field) or "")
        answer = typer.prompt(
            question, default=default, show_default=bool(default), type=str, err=True
        ).strip()
        try:
            if field == "places":
                return _typed(new, answer) if answer else new
            if field == "family" and families:
                answer = _family(answer, families)
            asked = replace(new, **{field: _value(field, answer)})
            job_template(asked)  # refuses what it cannot write
        except InputError as error:
            say(f"  {error}", error=True)
            continue
        return asked


def _family(word: str, families: list[str]) -> str:
    from fitsolver.reading.counter_words import family_named

    return family_named(word, families) if word else word


def _value(field: str, answer: str) -> Any:
    from fitsolver.reading.hints import missing_file
    from fitsolver.usecases.beginning import check_catalogue

    if field in _PAIRS:
        return _pair(field, answer)
    if field == "cylinders":
        if not answer.isdecimal():
            raise InputError("this is no whole number", field=field, found=answer, allowed="1, 2")
        return int(answer)
    if field == "readings" and answer and not Path(answer).is_file():
        raise InputError(missing_file(Path(answer)), field=field, found=answer)
    if field == "catalogue" and answer:
        check_catalogue(Path(answer))
    return answer


def _pair(field: str, answer: str) -> tuple[str, str] | None:
    """Return lowest and highest value: `0.05 0.08`, or with units `2 thou to 4 thou`."""
    if not answer:
        return None
    parts = answer.split(" to ") if " to " in answer else answer.split()
    if len(parts) != 2:
        raise InputError(
            "these are not two values", field=field, found=answer, allowed="0.05 0.08, or none"
        )
    return parts[0].strip(), parts[1].strip()


def _typed(new: NewJob, depths: str) -> NewJob:
    """Return the job with readings asked for at each depth, on both axes, bore after bore."""
    from fitsolver.reading.new_readings import places_of

    each = _depths(depths)
    text = ", ".join(f"{depth} {axis}" for depth in each for axis in ("thrust", "pin"))
    places = places_of(text, new.units)
    say(_KEYS, error=True)
    wanted = [
        f"  cylinder {number}, {depth} {axis}"
        for number in range(1, new.cylinders + 1)
        for depth, axis in places
    ]
    return replace(new, places=text, figures=tuple(_figures(wanted, new.units)))


def _depths(text: str) -> list[str]:
    """Return the depths typed: with blanks between, a comma within one is a decimal mark."""
    apart = text.replace(", ", " ").split()
    return [one.replace(",", ".") for one in apart] if len(apart) > 1 else text.split(",")


_KEYS: Final = "At each place the figure; Enter: not read; 'back': one place back."


def _figures(wanted: list[str], unit: Unit) -> list[str]:
    from fitsolver.reading.new_readings import NOT_READ
    from fitsolver.reading.quantities import length_of

    found: list[str] = []
    while len(found) < len(wanted):
        said = typer.prompt(wanted[len(found)], default="", show_default=False, type=str, err=True)
        figure = said.strip().replace(",", ".")
        if figure == "back":
            del found[-1:]
            continue
        try:
            if figure:
                length_of(figure, unit)
        except ValueError as error:
            say(f"  {error}", error=True)
            continue
        found.append(figure or NOT_READ)
    return found


def settled(new: NewJob, write: Callable[[NewJob], T]) -> tuple[NewJob, T]:
    """Return a job and what writing it gives; what it leaves open is asked on standard error.

    An answer that is refused is asked for again. Raises InputError for what no answer helps, and
    typer.Abort at the end of the input.
    """
    asked: UnansweredError | None = None
    before = new
    while True:
        try:
            return new, write(new)
        except UnansweredError as error:
            if asked is not None and asked.answers == error.answers != _WORDS:
                say(f"  {error}", error=True)
            asked, before = error, new
        except InputError as error:
            if asked is None:
                raise
            say(f"  {error}", error=True)
        new = _answered(before, asked)


def _answered(new: NewJob, asked: UnansweredError) -> NewJob:
    """Return a job with the answers to a question about its readings."""
    words = list(new.words)
    for word in asked.asked:
        question, proposed = asked.question.format(word), asked.proposed.get(word, "")
        if asked.answers != _WORDS:
            said: dict[str, Any] = {asked.answers: _said(question, proposed)}
            return replace(new, **said)
        words.append((word, _meaning_said(word, question, proposed)))
    return replace(new, words=tuple(words))


def _said(question: str, proposed: str) -> str:
    """Ask until something is said: Enter takes what is proposed, if anything is."""
    while not (answer := _prompted(question, proposed)):
        say("  Nothing is proposed here: type an answer.", error=True)
    return answer


def _meaning_said(word: str, question: str, proposed: str) -> str:
    """Ask for the meaning of a word of a sheet until it is one."""
    from fitsolver.reading.sheet_words import MEANINGS, NOTHING, meaning_of

    while True:
        answer = _prompted(question, proposed)
        try:
            meaning_of(word, answer)
        except InputError:
            found = f"'{answer}' is no meaning" if answer else "Nothing is proposed"
            say(f"  {found}: {MEANINGS}. '{NOTHING}' leaves it out.", error=True)
            continue
        return answer


def _prompted(question: str, proposed: str) -> str:
    return str(
        typer.prompt(question, default=proposed, show_default=bool(proposed), err=True)
    ).strip()


def meaning(text: str) -> tuple[str, str]:
    """Return a word of a sheet and what it means: `Lage=axis`."""
    word, mark, means = text.partition("=")
    if not mark or not word.strip():
        raise InputError(
            "this does not say what a word means",
            field="--word",
            found=text,
            allowed='WORD=MEANING, as "Lage=axis"',
        )
    return word.strip(), means.strip()


def given_options(ctx: typer.Context) -> set[str]:
    """Return the fields of a new job that the command line gave."""
    named = {
        option
        for option in ctx.params
        if (source := ctx.get_parameter_source(option)) and source.name == "COMMANDLINE"
    }
    return {_FIELDS.get(option, option) for option in named}


_FIELDS: Final = {"finish": "finishing", "word": "words"}


def seen_from(job_file: Path, catalogue: str) -> str:
    """Return a catalogue folder given from the working folder as the job file has to name it."""
    if not catalogue or Path(catalogue).is_absolute():
        return catalogue
    return Path(os.path.relpath(catalogue, job_file.parent)).as_posix()
