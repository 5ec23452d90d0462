"""The verbs on tables and folders: paths in, records out.

Nothing here prints. Heavy imports happen in the verb that needs them.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from fitsolver.base.deadline import Progress, seconds
from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.base.version import __version__
from fitsolver.usecases.allot import allot_shop
from fitsolver.usecases.gauge import gauge_study_of
from fitsolver.usecases.loading import length_given, load, load_job

if TYPE_CHECKING:
    from fitsolver.records.allotment import AllotmentAnswer
    from fitsolver.records.gauge import GaugeStudy
    from fitsolver.records.pairing import PairAnswer
    from fitsolver.records.review import CatalogueReview
    from fitsolver.records.screening import ScreenAnswer


def allot(
    shop: str | Path,
    *,
    start: str | Path | None = None,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
    time_limit: float | None = None,
    progress: Progress | None = None,
    scheduler: str | None = None,
    workers: int | None = None,
) -> AllotmentAnswer:
    """Return the allotment of a shop folder's shelf; see `allot_shop`.

    `start` is the document of an earlier run: unchanged parts of it are reused. Raises
    InputError for bad input, for a start that is another document, and for a scheduler that does
    not answer.
    """
    from fitsolver.allotment.last import read_allotment
    from fitsolver.doubts.accepting import check_somewhere
    from fitsolver.reading.shop import read_shop
    from fitsolver.usecases.loading import holding

    last = None if start is None else read_allotment(Path(start))
    whole = read_shop(Path(shop), holding(accept), accept_outliers=accept_outliers)
    check_somewhere(accept, whole.catalogues, str(shop))
    return allot_shop(
        whole,
        time_limit=time_limit,
        progress=progress,
        last=last,
        scheduler=scheduler,
        workers=workers,
    )


def gauge_study(
    table: str | Path, window: str | None = None, *, permissible_error: str | None = None
) -> GaugeStudy:
    """Return what repeated readings of a few bores tell of a gauge and the people who read it.

    `window` (a width) and `permissible_error` are lengths as text, in the table's unit or with
    one of their own. Raises InputError for bad input.
    """
    from fitsolver.reading.gauge_table import read_gauge_table

    read = read_gauge_table(Path(table))
    return gauge_study_of(
        read.readings,
        read.unit,
        length_given(window, read.unit, "window"),
        length_given(permissible_error, read.unit, "permissible error") or 0,
        file=read.file,
    )


def screen(
    bores: str | Path,
    catalogue: str | Path,
    like: str | Path,
    *,
    out: str | Path | None = None,
    bad_rows: str | Path | None = None,
    scheduler: str | None = None,
    workers: int | None = None,
    progress: Progress | None = None,
) -> ScreenAnswer:
    """Return how many bores of a table fit, and write what each takes to the table `out`.

    Every row stands for a job of one cylinder with the windows, routes, finishing and pins of the
    job file `like`. The work runs on this machine in `workers` processes (None: one for each core),
    or on the Dask scheduler at the address `scheduler`. Raises InputError as `load` does, for an
    invalid table or address, and at the first bad row unless there is a file `bad_rows` for them.
    """
    from fitsolver.screening.pattern import pattern
    from fitsolver.screening.table import Places, screen_table

    places = Places(
        None if out is None else Path(out),
        None if bad_rows is None else Path(bad_rows),
        scheduler,
        workers,
    )
    return screen_table(Path(bores), pattern(*load(like, catalogue)), places, progress)


def pair(  # noqa: PLR0913
    bores: str | Path,
    pieces: str | Path,
    *,
    low: str | None = None,
    high: str | None = None,
    like: str | Path | None = None,
    out: str | Path | None = None,
    unit: Unit | None = None,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> PairAnswer:
    """Return the best pairing of a table of measured bores with one of measured pieces.

    The most pairs within the window; then the smallest largest deviation from its middle; then the
    smallest sum of deviations. The window on bore minus piece is `low` to `high` (lengths as text),
    or the clearance window of the job file `like`. Lengths are in `unit` (None: that of the job,
    else mm) where neither column nor cell names one. The pairs are also written to the new table
    `out`. Without `time_limit` (seconds) the answer is proven. Raises InputError for bad input.
    """
    from fitsolver.pairing.answer import answer_of, paired
    from fitsolver.pairing.clock import until
    from fitsolver.pairing.read import read_sides
    from fitsolver.pairing.window import stated_window, window_like
    from fitsolver.pairing.writing import check_table, write_table

    if like is not None and (low, high) != (None, None):
        raise InputError(
            "a window is stated, or like that of a job",
            field="like",
            found="both",
            allowed="--low and --high, or --like JOB",
        )
    expired = until(seconds(time_limit), progress)
    table = None if out is None else Path(out)
    if table is not None:
        check_table(table)
    job = None if like is None else load_job(like)
    of_rows = unit or ("mm" if job is None else job.unit)
    window = stated_window(low, high, of_rows) if job is None else window_like(job)
    sides = read_sides(Path(bores), Path(pieces), of_rows)
    found = paired(*sides, window, of_rows, expired)
    if table is not None:
        write_table(table, found)
    name = None if job is None else job.name
    return answer_of(found, of_rows, name, None if table is None else str(table))


def review_catalogue(folder: str | Path, *, family: str | None = None) -> CatalogueReview:
    """Return what a catalogue holds, its missing sizes and its doubtful entries.

    Of a folder with several families that of `family`, or where it is left out of all of them.
    """
    from fitsolver.reading.catalogue_folder import families_of, read_catalogue, read_families
    from fitsolver.reading.counter_words import family_named
    from fitsolver.usecases.catalogue_review import review

    known = families_of(Path(folder))
    if family is not None and known:
        family = family_named(family, known)
    if len(known) < 2 or family is not None:  # a folder without a head is refused by reading it
        return review(read_catalogue(Path(folder), family), __version__)
    from fitsolver.usecases.catalogue_review.families import review_families

    return review_families(list(read_families(Path(folder), known)), __version__)
