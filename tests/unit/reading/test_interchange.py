"""Old part numbers: replaced in a chain, or the same part under two numbers.

Drawn catalogues are held against a reading of their own: every number walked to its end, row by
row, and the pieces of all numbers that end at one part added up.
"""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.choices.current import with_current_numbers
from fitsolver.picking.decide import decide
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.job_file import read_job
from fitsolver.usecases.files import pick
from tests.unit.reading.files import CATALOGUE, CYLINDER, HEAD, TABLES, job_file

HEADER = "number,oversize,skirt_low,skirt_high,price,stock,lead_days,replaces,same_as\n"


def folder(tmp_path: Path, rows: str, head: str = CATALOGUE) -> Path:
    tmp_path.mkdir(exist_ok=True)
    (tmp_path / "catalogue.toml").write_text(head)
    (tmp_path / "pistons.csv").write_text(HEADER + rows)
    header = TABLES["routes.csv"].partition("\n")[0]
    route = "bore,bore and hone,0.05,1.00,0.006,iron,22.00,1,\n"
    (tmp_path / "routes.csv").write_text(f"{header}\n{route}")
    return tmp_path


def row(number: str, stock: int = 1, replaces: str = "", same_as: str = "") -> str:
    return f"{number},0.25,62.18,62.19,50.00,{stock},6,{replaces},{same_as}\n"


def test_chains_end_at_the_last_number_and_all_pieces_count(tmp_path: Path) -> None:
    rows = row("C", 1, "B") + row("B", 2, "A; A0") + row("A", 4) + row("D", 8, same_as="C")
    found = read_catalogue(folder(tmp_path, rows))
    assert [(part.number, part.stock) for part in found.pistons] == [("C", 15)]
    assert found.current == dict.fromkeys(("A", "A0", "B", "D"), "C")
    assert {old.number: (old.how, old.stock) for old in found.old_numbers} == {
        "B": ("replaced", 2),
        "A": ("replaced", 4),
        "A0": ("replaced", 0),
        "D": ("same", 8),
    }


@pytest.mark.parametrize(
    ("rows", "message", "field"),
    [
        (row("A", replaces="B") + row("B", replaces="A"), "in a circle", "replaces"),
        (
            row("A", replaces="B") + row("B", replaces="C") + row("C", replaces="A"),
            "in a circle",
            "replaces",
        ),
        (row("A", same_as="B") + row("B", same_as="A"), "in a circle", "same_as"),
        (row("A", replaces="X") + row("B", replaces="X"), "A stands for X already", "replaces"),
        (row("A", same_as="B") + row("B") + row("C", replaces="A"), "stands for A", "replaces"),
        (row("A", replaces="A"), "does not stand for itself", "replaces"),
        (row("PP-050") + row("B", same_as="PP-05O"), "did you mean 'PP-050'", "same_as"),
        (row("A") + row("B", same_as="A;C"), "the same as one other", "same_as"),
        (
            row("A") + "B,0.25,62.17,62.19,50.00,1,6,,A\n",
            "B and A differ in skirt",
            "same_as",
        ),
        (
            row("A", replaces="B") + "B,0.50,62.43,62.44,50.00,1,6,,\n",
            "B and A differ in oversize",
            "replaces",
        ),
    ],
)
def test_what_cannot_be_is_one_message(tmp_path: Path, rows: str, message: str, field: str) -> None:
    with pytest.raises(InputError, match=message) as refused:
        read_catalogue(folder(tmp_path, rows))
    assert refused.value.field == field


def test_a_ring_does_not_replace_a_piston(tmp_path: Path) -> None:
    place = folder(tmp_path, row("A"))
    (place / "rings.csv").write_text(
        TABLES["rings.csv"]
        .replace("file_most\n", "file_most,replaces\n")
        .replace("0.5\n", "0.5,A\n")
    )
    with pytest.raises(InputError, match="A stands in another table"):
        read_catalogue(place)


def test_drawn_catalogues_are_read_as_by_hand(tmp_path: Path) -> None:
    """Every number may be replaced or be the same as another; some of it cannot be."""
    dice, outcomes = random.Random(18), Counter[str]()
    for at in range(150):
        rows: list[tuple[str, int, list[str], str]] = []
        numbers = [f"N{i}" for i in range(dice.randint(2, 6))]
        for number in numbers:
            others = [n for n in (*numbers, "X", "Y") if n != number]
            old = dice.sample(others, dice.choice((0, 0, 0, 1, 1, 2)))
            same = dice.choice([n for n in numbers if n != number]) if dice.random() < 0.15 else ""
            rows.append((number, dice.randint(0, 3), old, same))
        text = "".join(row(n, stock, ";".join(old), same) for n, stock, old, same in rows)
        expected = by_hand(rows)
        try:
            found = read_catalogue(folder(tmp_path / str(at), text))
        except InputError:
            assert expected is None, text
            outcomes["refused"] += 1
        else:
            assert expected == {part.number: part.stock for part in found.pistons}, text
            outcomes["read"] += 1
    assert min(outcomes.values()) > 30


def by_hand(rows: list[tuple[str, int, list[str], str]]) -> dict[str, int] | None:
    """Return the stock of every present number; None where the table cannot be."""
    after: dict[str, list[str]] = {}
    for number, _, old, same in rows:
        for one in old:
            after.setdefault(one, []).append(number)
        if same:
            after.setdefault(number, []).append(same)
    if any(len(following) > 1 for following in after.values()):
        return None
    stock: Counter[str] = Counter()
    for number, count, _, _ in rows:
        at, walked = number, 0
        while at in after:
            at, walked = after[at][0], walked + 1
            if walked > len(rows) + 2:
                return None
        stock[at] += count
    return dict(stock)


def test_an_old_number_in_a_job_is_answered_with_the_new_one_and_it_says_so(
    tmp_path: Path,
) -> None:
    place = folder(tmp_path, row("NEW", 0, "OLD") + row("OLD", 2))
    (place / "kits.csv").write_text("number,contents,price,stock\nK,OLD x1,45.00,1\n")
    windows = '[[window]]\nfit = "clearance"\nlow = 0.03\nhigh = 0.20\n'
    pinned = CYLINDER.replace('material = "iron"', 'material = "iron"\npiston = "OLD"')
    text = HEAD + 'catalogue = "."\nno_window = ["out_of_round", "taper"]\n' + windows + pinned
    job = job_file(place, text)
    answer = pick(job)
    assert answer.plan is not None
    assert answer.plan.cylinders[0].piston.number == "NEW"
    assert [(line.number, line.source) for line in answer.plan.order] == [("K", "stock")]
    assert "OLD was asked for: NEW replaces it and is answered in its place." in answer.cautions
    (place / "kits.csv").unlink()
    answer = pick(job)
    assert answer.plan is not None
    assert [(line.number, line.source) for line in answer.plan.order] == [("NEW", "stock")]
    assert "NEW: of the pieces on the shelf 2 as OLD." in answer.cautions


def test_the_check_without_the_solver_knows_old_numbers(tmp_path: Path) -> None:
    from fitsolver.checking.check import violations
    from fitsolver.records.catalogue import OldNumber

    place = folder(tmp_path, row("NEW", 2, "OLD"))
    windows = '[[window]]\nfit = "clearance"\nlow = 0.03\nhigh = 0.20\n'
    job = read_job(job_file(place, HEAD + windows + CYLINDER))
    parts = read_catalogue(place)
    plan = decide(job, parts).plan
    assert plan is not None
    assert violations(job, parts, plan) == ()
    older = (OldNumber(number="NEW", now="NEWER", how="replaced"),)
    found = violations(job, parts.model_copy(update={"old_numbers": older}), plan)
    assert "numbers: NEW is an old number, and is taken" in found
    assert "numbers: NEW is an old number, and is ordered" in found


def test_a_shelf_counted_by_old_numbers_is_one_shelf(tmp_path: Path) -> None:
    from fitsolver.reading.sections import Section
    from fitsolver.reading.shop import _shelf

    (tmp_path / "shelf.csv").write_text("number,count\nOLD,2\nNEW,1\nOTHER,4\n")
    top = Section({"shelf": "shelf.csv"}, ("shelf",), file="shop.toml", place="")
    found = _shelf(top, tmp_path, {"OLD": "NEW"})
    assert found is not None
    assert {line.number: line.count for line in found} == {"NEW": 3, "OTHER": 4}


def test_parts_in_hand_are_mapped_too(tmp_path: Path) -> None:
    parts = read_catalogue(folder(tmp_path, row("NEW", 2, "OLD")))
    held = '[[in_hand]]\nnumber = "OLD"\ncount = 1\n'
    job = with_current_numbers(read_job(job_file(tmp_path, HEAD + held + CYLINDER)), parts)
    assert [item.number for item in job.in_hand] == ["NEW"]
    assert job.asked_for == ("OLD",)
    assert with_current_numbers(job, parts) == job


#: Two kits of pistons; the near size is not on the shelf, and the list gives no lead time.
LIST = "number,oversize,skirt_low,skirt_high,price,stock\n" + (
    "P-25,0.25,62.18,62.19,50.00,0\nP-50,0.50,62.43,62.44,50.00,0\nP-75,0.75,62.68,62.69,50.00,3\n"
)


@pytest.mark.parametrize(
    ("key", "size", "told"),
    [
        ("", "P-75", True),
        ('lead_days = "none"\n', "P-75", False),
        ("lead_days = 6\n", "P-25", False),
    ],
)
def test_a_list_without_lead_times_says_what_it_left_out(
    tmp_path: Path, key: str, size: str, told: bool
) -> None:
    place = folder(tmp_path, row("X"), CATALOGUE + key)
    (place / "pistons.csv").write_text(LIST)
    windows = '[[window]]\nfit = "clearance"\nlow = 0.03\nhigh = 0.06\n'
    text = HEAD + 'catalogue = "."\nno_window = ["out_of_round", "taper"]\n' + windows + CYLINDER
    answer = pick(job_file(place, text))
    assert answer.plan is not None
    assert answer.plan.cylinders[0].piston.number == size
    said = [c for c in answer.cautions if c.startswith("The list gives no lead time")]
    assert bool(said) is told
    assert all("P-25, P-50" in one for one in said)


def test_a_row_may_say_that_it_cannot_be_ordered(tmp_path: Path) -> None:
    place = folder(tmp_path, row("A"), CATALOGUE + "lead_days = 6\nleast_order = 10\n")
    (place / "pistons.csv").write_text(
        HEADER.replace("lead_days", "lead_days,least_order")
        + "A,0.25,62.18,62.19,50.00,1,none,,,\nB,0.25,62.18,62.19,50.00,1,,,,\n"
        "C,0.25,62.18,62.19,50.00,1,9,2,,\n"
    )
    found = {part.number: part for part in read_catalogue(place).pistons}
    assert [found[n].lead_days for n in "ABC"] == [None, 6, 9]
    assert [found[n].least_order for n in "ABC"] == [10, 10, 2]


def test_more_than_are_taken_must_be_ordered(tmp_path: Path) -> None:
    place = folder(tmp_path, row("A", 0), CATALOGUE + "least_order = 10\n")
    windows = '[[window]]\nfit = "clearance"\nlow = 0.03\nhigh = 0.20\n'
    text = HEAD + 'catalogue = "."\nno_window = ["out_of_round", "taper"]\n' + windows + CYLINDER
    cautions = pick(job_file(place, text)).cautions
    assert any("at least 10 are sold in one order; 9 more" in c and "450.00" in c for c in cautions)
