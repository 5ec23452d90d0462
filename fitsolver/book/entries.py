"""Entries of the book, made from the project's own records; nothing here knows a database."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Sequence
from hashlib import sha256
from typing import Any, Final

from fitsolver.base.errors import InputError
from fitsolver.base.version import __version__
from fitsolver.book.lines import bore_lines, checked, planned
from fitsolver.reading.hints import shown
from fitsolver.records.base import Record
from fitsolver.records.book import BookEntry, BookKind, BookLine, FittedParts
from fitsolver.records.final import FinalAnswer
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer, CylinderPlan

#: The documents of each kind of entry: those it must have, and those it may have.
DOCUMENTS: Final[dict[BookKind, tuple[set[str], set[str]]]] = {
    "job": ({"job"}, {"plan"}),
    "fitted": ({"fitted"}, set()),
    "pass": ({"pass"}, set()),
    "final": ({"job", "final"}, set()),
    "withdrawal": ({"withdrawal"}, set()),
}


def canonical(entry: BookEntry) -> str:
    """Return an entry as one line of JSON."""
    return _one_line(entry.model_dump(mode="json"))


def key_of(content: dict[str, Any]) -> str:
    """Return the key of an entry's content: SHA-256 of all but the key, 32 hexadecimal digits."""
    rest = {name: value for name, value in content.items() if name != "key"}
    return sha256(_one_line(rest).encode()).hexdigest()[:32]


def keyed(**content: Any) -> BookEntry:
    """Return the entry with its key."""
    entry = BookEntry(key="0" * 32, program_version=__version__, **content)
    return entry.model_copy(update={"key": key_of(entry.model_dump(mode="json"))})


def document(record: Record) -> dict[str, Any]:
    """Return the JSON document of a record, as `to_json` writes it."""
    return record.model_dump(mode="json")


def job_entry(job: Job, answer: Answer | None, date: dt.date) -> BookEntry:
    """Return the entry of a job with its readings and its plan (None: not planned).

    Raises InputError for a plan of another job, and for cylinders without a marking.
    """
    documents = {"job": document(job)}
    plans: dict[str, CylinderPlan] = {}
    if answer is not None:
        if (answer.job, answer.job_fingerprint) != (job.name, job.fingerprint):
            raise InputError(
                "this plan is of another job, or of other readings",
                file=job.name,
                field="plan",
                found=f"{answer.job}, {answer.job_fingerprint[:10]}",
                allowed=f"{job.name}, {job.fingerprint[:10]}",
            )
        documents["plan"] = document(answer)
        plans = {item.cylinder: item for item in answer.plan.cylinders} if answer.plan else {}
    lines = [
        line.model_copy(update=planned(plans[line.name])) if line.name in plans else line
        for line in bore_lines(job)
    ]
    return _entry("job", job, date, lines, documents)


def final_entry(job: Job, answer: FinalAnswer, date: dt.date, of: str | None) -> BookEntry:
    """Return the entry of a final check: the finished bores, the parts, whether all passes."""
    found = {item.cylinder: item for item in answer.cylinders}
    if answer.job != job.name or set(found) != {cylinder.name for cylinder in job.cylinders}:
        raise InputError(
            "this final check is of another job", file=job.name, found=answer.job, field="final"
        )
    lines = [line.model_copy(update=checked(found[line.name], answer)) for line in bore_lines(job)]
    documents = {"job": document(job), "final": document(answer)}
    return _entry("final", job, date, lines, documents, of)


def fitted_entry(
    marking: str, parts: FittedParts, date: dt.date, of: BookEntry | None
) -> BookEntry:
    """Return the entry of the parts that went into a cylinder, with the job `of` or without one."""
    lines = () if of is None else tuple(line for line in of.lines if line.marking == marking)
    known = {key: getattr(line, key) for line in lines for key in ("name", "family", "material")}
    return keyed(
        kind="fitted",
        date=date,
        title="" if of is None else of.title,
        unit="mm" if of is None else of.unit,
        job=None if of is None else of.key,
        lines=(BookLine(marking=marking, parts=parts, **known),),
        documents={"fitted": document(parts)},
    )


def withdrawal(of: BookEntry, reason: str, date: dt.date) -> BookEntry:
    """Return the entry that withdraws another one, with the reason."""
    if not reason.strip():
        raise InputError("say why it is withdrawn", field="reason", found="nothing")
    return keyed(
        kind="withdrawal",
        date=date,
        title=of.title,
        unit=of.unit,
        withdraws=of.key,
        documents={"withdrawal": {"reason": reason.strip()}},
    )


def check_entry(entry: BookEntry) -> None:
    """Raise InputError for an imported entry that this program would not have written."""
    content = entry.model_dump(mode="json")
    if key_of(content) != entry.key:
        raise InputError("this entry was changed: its key is not that of its content", field="key")
    must, may = DOCUMENTS[entry.kind]
    there = set(entry.documents)
    if not must <= there <= must | may:
        raise InputError(
            f"these are not the documents of a {entry.kind}",
            field="documents",
            found=", ".join(sorted(there)) or "none",
            allowed=", ".join(sorted(must | may)),
        )
    withdraws, markings = entry.kind == "withdrawal", [line.marking for line in entry.lines]
    one = entry.kind in ("pass", "fitted")
    sound = (
        (entry.withdraws is not None) == withdraws
        and (entry.number is not None) == (entry.kind == "pass")
        and (entry.job is None or entry.kind in ("fitted", "pass", "final"))
        and (entry.job is not None or entry.kind != "pass")
        and len(set(markings)) == len(markings)
        and (len(markings) == 1 if one else bool(markings) != withdraws)
    )
    if not sound:
        raise InputError(f"this is no whole entry of a {entry.kind}", field="lines")


def _entry(
    kind: BookKind,
    job: Job,
    date: dt.date,
    lines: Iterable[BookLine],
    documents: dict[str, dict[str, Any]],
    of: str | None = None,
) -> BookEntry:
    return keyed(
        kind=kind,
        date=date,
        title=job.name,
        unit=job.unit,
        lines=tuple(lines),
        documents=documents,
        job=of,
    )


def words_of(entry: BookEntry, line: BookLine) -> str:
    """Return all words that a line can be found by, folded to one case."""
    parts = line.parts or FittedParts()
    said: Sequence[str | None] = (
        line.marking,
        line.name,
        entry.title,
        line.family,
        line.material,
        line.route,
        parts.piston,
        *parts.rings,
        *parts.gaskets,
        parts.note,
    )
    text = "\n".join(word for word in said if word).casefold()
    return "".join(letter if letter.isprintable() else "\n" for letter in text)


def _one_line(content: object) -> str:
    # Keys stay in the order of the record, so that documents come out as they went in.
    return json.dumps(content, separators=(",", ":"), allow_nan=False)


def document_text(entry: BookEntry, name: str | None = None) -> str:
    """Return a document of an entry, the bytes that were added; without a name all of them.

    Raises InputError for a document that the entry does not have.
    """
    if name is None:
        return json.dumps(entry.documents, indent=2) + "\n"
    if name not in entry.documents:
        raise InputError(
            "the entry has no such document",
            field="document",
            found=shown(name),
            allowed=", ".join(entry.documents),
        )
    return json.dumps(entry.documents[name], indent=2) + "\n"
