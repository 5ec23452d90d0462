"""Questions on a terminal for what a new job file starts with; each has a default."""

from __future__ import annotations

import os
from collections.abc import Collection
from dataclasses import replace
from pathlib import Path
from typing import Any, Final, get_args

import typer

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.cli.output import say
from fitsolver.reading.job_template import NewJob, job_template
from fitsolver.records.job import Finishing

#: Field of a new job, and the question for it. Two lengths are asked for in one line.
QUESTIONS: Final = {
    "name": "Name of the job",
    "units": f"Units of the file ({', '.join(get_args(Unit))})",
    "catalogue": "Catalogue folder (empty: none yet)",
    "family": "Family of engines (empty: any)",
    "cylinders": "Number of cylinders",
    "material": "Material of the bores (iron, steel, plated)",
    "finishing": f"How it is finished ({', '.join(get_args(Finishing))})",
    "stroke": "Stroke (empty: not needed)",
    "clearance": "Clearance, lowest and highest (empty: later)",
    "end_gap": "End gap, lowest and highest (empty: later)",
}
_PAIRS: Final = ("clearance", "end_gap")


def ask(new: NewJob, given: Collection[str]) -> NewJob:
    """Return the job with every field that is not `given` asked for, on standard error.

    What is not allowed is refused with what is, and asked for again. Raises typer.Abort at
    the end of the input.
    """
    for field, question in QUESTIONS.items():
        while field not in given:
            default = str(getattr(new, field) or "")
            answer = typer.prompt(
                question, default=default, show_default=bool(default), type=str, err=True
            )
            try:
                asked = replace(new, **{field: _value(field, answer.strip())})
                job_template(asked)  # refuses what it cannot write
            except InputError as error:
                say(f"  {error}", error=True)
                continue
            new = asked
            break
    return new


def _value(field: str, answer: str) -> Any:
    if field in _PAIRS:
        return _pair(field, answer)
    if field == "cylinders":
        if not answer.isdecimal():
            raise InputError("this is no whole number", field=field, found=answer, allowed="1, 2")
        return int(answer)
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


def given_options(ctx: typer.Context) -> set[str]:
    """Return the fields of a new job that the command line gave."""
    named = {
        option
        for option in ctx.params
        if (source := ctx.get_parameter_source(option)) and source.name == "COMMANDLINE"
    }
    return {"finishing" if option == "finish" else option for option in named}


def seen_from(job_file: Path, catalogue: str) -> str:
    """Return a catalogue folder given from the working folder as the job file has to name it."""
    if not catalogue or Path(catalogue).is_absolute():
        return catalogue
    return Path(os.path.relpath(catalogue, job_file.parent)).as_posix()
