"""The record of a verb in the registry, shared by all front ends.

Code that is loaded on demand is named as text, `module:name`; a test loads and runs all of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from importlib import import_module
from inspect import signature
from typing import TYPE_CHECKING, Any, Generic, Literal, NamedTuple, TypeVar

from fitsolver.base.exit_codes import DONE, code_of

if TYPE_CHECKING:
    from fitsolver.records.catalogue import Catalogue
    from fitsolver.records.job import Job

A = TypeVar("A")


def loaded(name: str) -> Any:
    """Return the object of a name, `module:name`, after loading its module."""
    module, _, inside = name.partition(":")
    return getattr(import_module(module), inside)


class Tab(NamedTuple):
    """The place and the title of a verb's report among a job's reports on the page."""

    place: int
    words: str


class More(NamedTuple):
    """Another answer that an answer carries: the heading it begins under, if any, and its line."""

    heading: str
    line: str
    answer: Any


def job_of(answer: Any) -> str:
    """Return the title of a report about a job: its name."""
    return str(answer.job)


def done(_: object) -> int:
    """Return the exit code of an answer that cannot be a refusal."""
    return DONE


def by_status(answer: Any) -> int:
    """Return the exit code of the status of an answer."""
    return code_of(answer.status)


@dataclass(frozen=True, slots=True, kw_only=True)
class Verb(Generic[A]):
    """A verb, by the name of its command.

    `answer` is the record it answers with, `document` the name of that record's schema (empty
    where it is no document). `on_files` takes paths, `on_records` records: both are names of the
    library. `of_job` answers about a job and a catalogue alone, where `on_records` asks for more or
    for something else. `view` writes the body of the report below `title` and `facts`; `sections`
    are those of its parts that may be left out, and `attends` tells whether it has the cautions
    that a job calls for. `later`: asked of a job that was picked, it refers to the general cautions
    of that report. `drawing` draws an answer in a unit; `drawing_of_files` draws from what
    `on_files` is given. `route` tells whether the API asks for no more than a job and a catalogue,
    or for something of its own.
    """

    name: str
    answer: str
    document: str = ""
    on_files: str = ""
    on_records: str = ""
    of_job: str = ""
    title: Callable[[A], str] = job_of
    facts: Callable[[A], tuple[str, ...]] = lambda _: ()
    view: str = ""
    sections: tuple[str, ...] = ()
    attends: bool = False
    later: bool = False
    more: Callable[[A], Iterable[More]] = lambda _: ()
    drawing: str = ""
    drawing_of_files: str = ""
    code: Callable[[A], int] = done
    tab: Tab | None = None
    route: Literal["", "job", "own"] = ""
    summary: str = ""

    @property
    def all_sections(self) -> tuple[str, ...]:
        """The sections of its report, the cautions last."""
        return (*self.sections, "cautions")

    def about(self, job: Job, catalogue: Catalogue, time_limit: float | None = None) -> A:
        """Return its answer about a job; `time_limit` (seconds) applies if the verb takes one."""
        function = loaded(self.of_job or self.on_records)
        given = {"job": job, "catalogue": catalogue, "time_limit": time_limit}
        taken = signature(function).parameters
        found: A = function(**{name: value for name, value in given.items() if name in taken})
        return found
