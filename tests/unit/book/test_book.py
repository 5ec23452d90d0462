"""The verbs of an open book: what is kept, what is refused, and that a refusal leaves no trace."""

from __future__ import annotations

import datetime as dt

import pytest
from rich.console import Console

from fitsolver.base.errors import InputError
from fitsolver.book.book import Book
from fitsolver.book.entries import document_text
from fitsolver.records.book import FittedParts
from fitsolver.records.final import FinalAnswer
from fitsolver.records.job import Job
from fitsolver.records.windows import Window
from fitsolver.reporting.schema import to_json
from fitsolver.usecases.final_check import final_check
from fitsolver.verbs.report import report as report_of
from tests.unit.rules import small

from .made import BORE, DAY, cylinder, finished, job, planned, strokes

NEXT = DAY + dt.timedelta(days=1)
PARTS = FittedParts(piston="P-2", skirt=6_195_510, rings=("R", "R-2"), note="by hand")


def checked(done: Job) -> FinalAnswer:
    found = final_check(done, small.catalogue())
    return FinalAnswer(
        program_version="0",
        job=done.name,
        catalogue="small",
        unit=done.unit,
        cylinders=found.cylinders,
        together=found.together,
        passes=all(item.passes for item in found.cylinders),
        verdict=found.cylinders[0].verdict,
        judged=all(item.judged for item in found.cylinders),
    )


def test_documents_are_kept_byte_for_byte(shop: Book) -> None:
    task, answer = planned()
    key = shop.add_job(task, answer, date=DAY).entry.key
    entry = shop.entry(key[:10])
    assert document_text(entry, "job") == to_json(task)
    assert document_text(entry, "plan") == to_json(answer)
    assert Job.model_validate(entry.documents["job"]) == task
    with pytest.raises(InputError, match="no such document"):
        document_text(entry, "final")


def test_columns_of_a_job(shop: Book) -> None:
    task, answer = planned()
    (line,) = shop.add_job(task, answer, date=DAY).entry.lines
    assert (line.marking, line.name, line.material) == ("pump 7, left", "1", "iron")
    assert (line.smallest, line.largest) == (BORE - 30, BORE)
    assert line.parts == FittedParts(piston="P", rings=("R",))
    assert answer.plan is not None
    assert (line.bore_low, line.bore_high) == (
        answer.plan.cylinders[0].bore_low,
        answer.plan.cylinders[0].bore_high,
    )


def test_the_same_job_again_changes_nothing(shop: Book) -> None:
    assert shop.add_job(*planned(), date=DAY).new
    before = shop.export()
    assert not shop.add_job(*planned(), date=DAY).new
    with pytest.raises(InputError, match="holds this job already"):
        shop.add_job(*planned(), date=NEXT)
    assert shop.export() == before


def test_a_plan_of_other_readings_is_refused(shop: Book) -> None:
    answer = planned()[1].model_copy(update={"job_fingerprint": "another"})
    with pytest.raises(InputError, match="of another job"):
        shop.add_job(job(), answer, date=DAY)


@pytest.mark.parametrize("marking", ["", " left", "two\nlines", "x" * 81, "\ud800"])
def test_no_marking(shop: Book, marking: str) -> None:
    with pytest.raises(InputError, match="marking"):
        shop.add_job(job(cylinder(marking)), date=DAY)
    assert len(shop.export().splitlines()) == 1


def test_one_marking_twice(shop: Book) -> None:
    with pytest.raises(InputError, match="two cylinders have this marking"):
        shop.add_job(job(cylinder("A"), cylinder("A")), date=DAY)


def test_another_family_under_a_known_marking_leaves_no_half_entry(shop: Book) -> None:
    shop.add_job(job(cylinder("B"), family="pump"), date=DAY)
    before = shop.export()
    with pytest.raises(InputError, match="another family"):
        shop.add_job(job(cylinder("A"), cylinder("B", BORE + 9), family="saw"), date=NEXT)
    assert shop.export() == before
    with pytest.raises(InputError, match="unknown cylinder"):
        shop.history("A")


def test_a_growing_log_adds_what_is_new(shop: Book) -> None:
    shop.add_job(job(), date=DAY)
    log = [strokes(10), strokes(10), strokes(20, BORE + 300)]
    assert [item.new for item in shop.add_passes(job(), log[:2], date=DAY)] == [True, True]
    assert [item.new for item in shop.add_passes(job(), log, date=NEXT)] == [False, False, True]
    assert [item.entry.number for item in shop.add_passes(job(), log, date=NEXT)] == [1, 2, 3]
    assert shop.add_passes(job(), log, date=NEXT)[2].entry.lines[0].largest == BORE + 300
    (visit,) = shop.history("pump 7, left").visits
    assert (visit.passes, visit.left_largest, visit.left_by) == (3, BORE + 300, "last pass")


def test_a_log_that_says_something_else_is_refused_until_the_entry_is_withdrawn(shop: Book) -> None:
    shop.add_job(job(), date=DAY)
    wrong = shop.add_passes(job(), [strokes(10), strokes(99)], date=DAY)[1].entry
    before = shop.export()
    right = [strokes(10), strokes(9), strokes(5)]
    with pytest.raises(InputError, match="another pass 2"):
        shop.add_passes(job(), right, date=NEXT)
    assert shop.export() == before
    shop.withdraw(wrong.key, "a slip", date=NEXT)
    assert [item.new for item in shop.add_passes(job(), right, date=NEXT)] == [False, True, True]
    assert shop.history("pump 7, left").visits[0].passes == 3


def test_passes_need_their_job_and_their_cylinder(shop: Book) -> None:
    with pytest.raises(InputError, match="no job of this cylinder"):
        shop.add_passes(job(), [strokes(10)], date=DAY)
    shop.add_job(job(), date=DAY)
    with pytest.raises(InputError, match="does not have"):
        shop.add_passes(job(), [strokes(10, name="9")], date=DAY)
    with pytest.raises(InputError, match="no job of this cylinder"):  # it came in later
        shop.add_passes(job(), [strokes(10)], date=DAY - dt.timedelta(days=1))


def test_parts_and_final_check_belong_to_the_last_job(shop: Book) -> None:
    of = shop.add_job(*planned(), date=DAY).entry
    shop.add_fitted("pump 7, left", PARTS, date=NEXT)
    done = finished(small.FINISH)
    final = shop.add_final(done, checked(done), date=NEXT)
    assert final.entry.job == of.key
    assert document_text(final.entry, "final") == to_json(checked(done))
    (visit,) = shop.history("pump 7, left").visits
    assert (visit.parts, visit.parts_as) == (PARTS, "fitted")
    assert (visit.left_largest, visit.left_by, visit.holds) == (small.FINISH, "final check", True)


def test_a_check_that_leaves_fits_unjudged_neither_passes_nor_fails(shop: Book) -> None:
    """Its ring's gap was not measured."""
    gap = Window(fit="end_gap", low=1, high=90_000)
    done = finished(small.FINISH).model_copy(update={"windows": (gap,)})
    entry = shop.add_final(done, checked(done), date=DAY).entry
    assert entry.lines[0].passes is None
    found = shop.history("pump 7, left")
    assert (found.visits[0].left_by, found.visits[0].holds) == ("final check", None)
    console = Console(width=100, no_color=True)
    with console.capture() as shown:
        console.print(report_of(found))
    assert "check, not judged" in " ".join(shown.get().split())


def test_a_record_may_begin_with_a_final_check(shop: Book) -> None:
    done = finished(small.FINISH)
    assert shop.add_final(done, checked(done), date=DAY).entry.job is None
    (visit,) = shop.history("pump 7, left").visits
    assert (visit.found_largest, visit.left_largest) == (None, small.FINISH)


def test_a_final_check_of_another_job_is_refused(shop: Book) -> None:
    done = finished(small.FINISH)
    other = checked(done).model_copy(update={"job": "another"})
    with pytest.raises(InputError, match="of another job"):
        shop.add_final(done, other, date=DAY)


def test_parts_of_a_cylinder_nobody_knows(shop: Book) -> None:
    shop.add_job(job(cylinder("pump 7")), date=DAY)
    with pytest.raises(InputError, match="did you mean 'pump 7'"):
        shop.add_fitted("pump 77", PARTS, date=DAY)


def test_which_job_is_asked_where_it_is_not_plain(shop: Book) -> None:
    first = shop.add_job(job(cylinder("A")), date=DAY).entry
    shop.add_job(job(cylinder("B")), date=DAY)
    both = job(cylinder("A"), cylinder("B"), finishing="already finished")
    pinned = finished(small.FINISH).cylinders[0]
    named = tuple(
        pinned.model_copy(update={"name": item.name, "marking": item.marking})
        for item in both.cylinders
    )
    done = both.model_copy(update={"cylinders": named})
    with pytest.raises(InputError, match="did not come in with one job"):
        shop.add_final(done, checked(done), date=NEXT)
    with pytest.raises(InputError, match="no job of these cylinders"):
        shop.add_final(done, checked(done), date=NEXT, to=first.key)
    assert shop.add_fitted("A", PARTS, date=NEXT, to=first.key[:8]).entry.job == first.key


def test_withdrawn_entries_do_not_count_and_can_be_given_back(shop: Book) -> None:
    of = shop.add_job(*planned(), date=DAY).entry
    shop.add_fitted("pump 7, left", PARTS, date=DAY)
    gone = shop.withdraw(of.key, "wrong cylinder", date=NEXT).entry
    assert shop.history("pump 7, left").visits == ()  # what belongs to the job goes with it
    assert shop.search("pump").lines == ()
    with pytest.raises(InputError, match="was withdrawn"):
        shop.add_job(*planned(), date=DAY)
    shop.withdraw(gone.key, "it was the right one", date=NEXT)
    assert len(shop.history("pump 7, left").visits) == 1
    assert shop.history("pump 7, left").visits[0].parts == PARTS


def test_a_reason_is_asked_for_and_an_entry_that_is_there(shop: Book) -> None:
    of = shop.add_job(*planned(), date=DAY).entry
    with pytest.raises(InputError, match="say why"):
        shop.withdraw(of.key, " ", date=DAY)
    for key in ("", "0", "zzzz", of.key[:4] + "%", "0000000000"):
        with pytest.raises(InputError, match="no such entry"):
            shop.withdraw(key, "x", date=DAY)


def test_search(shop: Book) -> None:
    shop.add_job(*planned(), date=DAY)
    shop.add_job(job(cylinder("ÖLPUMPE 3"), name="50% more", family="saw"), date=NEXT)

    def found(*args: str, **limits: object) -> list[str]:
        return [item.line.marking for item in shop.search(*args, **limits).lines]  # type: ignore[arg-type]

    assert found() == ["ÖLPUMPE 3", "pump 7, left"]  # newest first
    assert found("ölpumpe") == ["ÖLPUMPE 3"]
    assert found("7 LEFT") == ["pump 7, left"]
    assert found("pump saw") == ["ÖLPUMPE 3"]
    assert found("0% m") == ["ÖLPUMPE 3"]
    assert found("p%7") == [] == found("_")  # nothing stands for another sign
    assert found("hone") == ["pump 7, left"]
    assert found(since=NEXT) == ["ÖLPUMPE 3"]
    assert found(until=DAY) == ["pump 7, left"]
    assert found(kind="final") == []


def test_only_the_line_that_was_meant_is_found(shop: Book) -> None:
    shop.add_job(job(cylinder("A left"), cylinder("A right")), date=DAY)
    assert [item.line.marking for item in shop.search("left").lines] == ["A left"]
