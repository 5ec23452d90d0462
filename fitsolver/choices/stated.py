"""Windows that the makers of parts state, among those of a job (docs/decision.md, "Windows")."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from fitsolver.base.errors import InputError
from fitsolver.records.catalogue import Catalogue, Piston, Ring, StatedWindow
from fitsolver.records.job import Job
from fitsolver.records.windows import Window, place_words

Part = Piston | Ring


def with_stated(job: Job, catalogue: Catalogue) -> Job:
    """Return the job with the windows that the makers of the catalogue's parts state for its use.

    A job's own window for the same fit takes precedence over them; they take precedence over those
    of the sheets. Raises InputError where a part has windows for several uses and the job names
    none, and for a use that no maker names.
    """
    if not catalogue.windows:
        if job.use:
            raise _use(job, "no maker of these parts states a window by use", "a job without it")
        return job
    held = [one for one in catalogue.windows if not _outranked(one.window, job.windows)]
    _check_use(job, catalogue, held)
    # A window for this use precedes one for every use: the first that applies is taken.
    chosen = [one.window for use in dict.fromkeys((job.use, "")) for one in held if one.use == use]
    plain = tuple(window for window in job.windows if not window.part)
    return job.model_copy(update={"windows": (*plain, *chosen)})


def _outranked(stated: Window, windows: Iterable[Window]) -> bool:
    """Tell whether a window of the job replaces a part's window entirely."""
    return any(
        not (window.part or window.yields)
        and window.fit == stated.fit
        and window.groove in (None, stated.groove)
        for window in windows
    )


def _check_use(job: Job, catalogue: Catalogue, held: Iterable[StatedWindow]) -> None:
    uses = sorted({one.use for one in catalogue.windows if one.use})
    if job.use and job.use not in uses:
        if not uses:
            raise _use(job, "no maker of these parts states a window by use", "a job without it")
        from fitsolver.reading.hints import unknown

        raise unknown("use", job.use, uses, file=f"job '{job.name}'", field="use")
    if job.use:
        return
    for part, place, known in _by_use_only(catalogue, held):
        raise InputError(
            f"{part}: its maker states the {place} by use",
            file=f"job '{job.name}'",
            field="use",
            found="nothing",
            allowed=", ".join(sorted(known)),
        )


def _by_use_only(
    catalogue: Catalogue, held: Iterable[StatedWindow]
) -> Iterator[tuple[str, str, set[str]]]:
    """Yield each part whose maker states a fit for certain uses only, with these uses."""
    by_name: dict[str, list[StatedWindow]] = defaultdict(list)
    for one in held:
        by_name[one.window.part].append(one)
    parts: tuple[Part, ...] = (*catalogue.pistons, *catalogue.rings)
    for part in parts:
        places: dict[tuple[str, int | None], set[str]] = defaultdict(set)
        for name in part.stated:
            for one in by_name[name]:
                places[one.window.fit, one.window.groove].add(one.use)
        for (fit, groove), uses in places.items():
            if "" not in uses:
                yield part.number, place_words(fit, groove), uses


def _use(job: Job, message: str, allowed: str) -> InputError:
    return InputError(
        message, file=f"job '{job.name}'", field="use", found=job.use, allowed=allowed
    )


def overruled(job: Job, catalogue: Catalogue, part: Part) -> Iterator[Window]:
    """Yield the windows stated by a part's maker that a window of the job replaces."""
    windows = [window for window in job.windows if not window.part]
    for one in catalogue.windows:
        of_this = one.window.part in part.stated and one.use in ("", job.use)
        if of_this and _outranked(one.window, windows):
            yield one.window
