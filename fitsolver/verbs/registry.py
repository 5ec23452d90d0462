"""All verbs, in the order in which they are offered where no other is stated."""

from __future__ import annotations

from typing import Any, Final

from fitsolver.verbs.many import OF_MANY
from fitsolver.verbs.one_job import OF_A_JOB
from fitsolver.verbs.verb import Verb

VERBS: Final[tuple[Verb[Any], ...]] = (*OF_A_JOB, *OF_MANY)
_BY_NAME: Final = {verb.name: verb for verb in VERBS}
_BY_ANSWER: Final = {verb.answer: verb for verb in VERBS if verb.answer}
#: The page's titles of the reports of a job, in the order of its tabs.
TABS: Final = {
    name: words
    for _, words, name in sorted((*verb.tab, verb.name) for verb in VERBS if verb.tab is not None)
}
#: Record of every document, `module:name`, by the name of its schema.
DOCUMENTS: Final = {verb.document: verb.answer for verb in VERBS if verb.document}
#: Locations of the library's functions, `module:name`, by their names.
LIBRARY: Final = {
    place.partition(":")[2]: place
    for verb in VERBS
    for place in (verb.on_files, verb.on_records, verb.drawing_of_files)
    if place
}


def registered(name: str) -> Verb[Any]:
    """Return the verb of a command; KeyError for an unknown one."""
    return _BY_NAME[name]


def verb_of(answer: object) -> Verb[Any]:
    """Return the verb of an answer; KeyError if no verb gives it."""
    kind = type(answer)
    return _BY_ANSWER[f"{kind.__module__}:{kind.__qualname__}"]
