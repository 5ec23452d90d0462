"""The list of jobs: the name of each, its progress, and the time of its last change."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Hashable, Sequence
from typing import Final, NamedTuple

from fitsolver.base.errors import InputError
from fitsolver.page.bench import Bench, Benches, content_of
from fitsolver.page.content import Content, shown, tables
from fitsolver.page.drafts import Draft, Drafts

#: Most jobs listed at once; a search finds the older ones.
MOST: Final = 100


class Listed(NamedTuple):
    """A listed job; `cylinders` is None if the job cannot be read. `step` is the next step of the
    work, `state` its progress.
    """

    key: str
    name: str
    about: str
    cylinders: tuple[str, ...] | None
    changed: str
    state: str
    step: str = ""


class Found(NamedTuple):
    """The jobs with all the words searched for, the last one changed first; and their number."""

    jobs: tuple[Listed, ...]
    total: int


def listed(drafts: Drafts, benches: Benches, words: str = "", most: int = MOST) -> Found:
    """Return the jobs on the bench whose listed texts contain every one of `words`."""
    wanted = words.lower().split()
    keys, stamps = drafts.keys(), dict[str, Hashable]()
    if not wanted:
        items = (_listed(drafts, benches, key, stamps) for key in keys[:most])
        return Found(tuple(item for item in items if item is not None), len(keys))
    every = (_listed(drafts, benches, key, stamps) for key in keys)
    found = [item for item in every if item is not None and _has(item, wanted)]
    return Found(tuple(found[:most]), len(found))


def removed(drafts: Drafts) -> list[Listed]:
    """Return the jobs that can be restored, the last one removed first."""
    found = []
    for key in drafts.removed()[:MOST]:
        try:
            draft = drafts.read_removed(key)
        except InputError:  # given back meanwhile
            continue
        name, about, cylinders, _ = _told(draft)
        when = _said(drafts.when_removed(key))
        found.append(Listed(key, name, about, cylinders, when, "removed"))
    return found


def _has(item: Listed, wanted: Sequence[str]) -> bool:
    text = " ".join((item.name, item.about, item.changed, item.state, *(item.cylinders or ())))
    return all(word in text.lower() for word in wanted)


def _listed(
    drafts: Drafts, benches: Benches, key: str, stamps: dict[str, Hashable]
) -> Listed | None:
    try:
        draft, changed = drafts.read(key), _said(drafts.when_changed(key))
    except InputError as error:
        return None if not drafts.is_there(key) else Listed(key, "", str(error), None, "", "")
    name, about, cylinders, data = _told(draft)
    state, step = _state(drafts, draft, data, lambda: benches.of(draft.text, stamps))
    return Listed(key, name, about, cylinders, changed, state, step)


def _told(draft: Draft) -> tuple[str, str, tuple[str, ...] | None, Content]:
    """Return a job's name, its family and bore markings, its cylinders and its content."""
    try:
        data = content_of(draft.text)
    except InputError:  # a damaged file: the others are there all the same
        return "", "", None, {}
    items = tables(data, "cylinder")
    names = tuple(shown(item.get("name")) for item in items)
    marks = (shown(item.get("marking")) for item in items)
    about = (shown(data.get("family") or data.get("catalogue")), *marks)
    return shown(data.get("name")), "; ".join(dict.fromkeys(filter(None, about))), names, data


def _state(
    drafts: Drafts, draft: Draft, data: Content, bench: Callable[[], Bench]
) -> tuple[str, str]:
    """Return the progress of a job, and its next step."""
    checked = drafts.checked(draft.key)
    if checked:
        return f"checked: {checked}", "/check"
    if passes := drafts.passes(draft.key):
        return f"machining, {passes} pass{'es' if passes > 1 else ''}", "/machine"
    if drafts.ticks(draft.key):
        return "machining", "/machine"
    if drafts.ordered(draft.key) is not None:
        return "ordered", "/order"
    whole = bool(data) and bench().job is not None
    return ("chosen", "/order") if whole else ("measure", "")


def _said(when: dt.datetime) -> str:
    return f"{when.day} {when:%b %Y, %H:%M}"
