"""What a readings sheet leaves open for a new job: one question each, or what is said beside it.

All figures are invented.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from fitsolver import NewJob, new_job
from fitsolver.base.errors import InputError
from fitsolver.reading.job_file import read_job
from fitsolver.reading.unanswered import UnansweredError
from tests.unit.cli.run import DEMOS

MM, IN = 100_000, 2_540_000
FAMILY = {"catalogue": str(DEMOS / "launch"), "family": "harbour launch H35", "units": "in"}


def read(folder: Path, text: str, **said: Any) -> dict[str, list[tuple[int, int, int]]]:
    """Return depth, angle and size of what a new job reads in a sheet, by cylinder."""
    path = folder / "read.csv"
    path.write_text(text, encoding="utf-8")
    job = folder / "job.toml"
    job.unlink(missing_ok=True)
    new_job(job, replace(NewJob("a", readings="read.csv"), **said))
    found = read_job(job, windows_needed=False)
    return {c.name: [(r.depth, r.angle, r.size) for r in c.readings] for c in found.cylinders}


def asked(folder: Path, text: str, **said: Any) -> UnansweredError:
    with pytest.raises(UnansweredError) as error:
        read(folder, text, **said)
    assert not (folder / "job.toml").exists()
    return error.value


OWN_WORDS = "Bohrung;Lage;Seite;Abweichung\n1;8;A;0,07\n1;8;B;0,05\n2;8;A;0,06\n2;8;B;0,04\n"
MEANT = (("Bohrung", "cylinder"), ("lage", "depth"), ("Seite", "axis"), ("Abweichung", "dial"))
AXES = (("A", "thrust"), ("B", "pin"))


@pytest.mark.parametrize("title", ["Ashby V8; dial gauge zeroed 62 in ring", "Ashby; 62", ""])
def test_titles_are_not_asked_and_leave_no_column_out(tmp_path: Path, title: str) -> None:
    """docs/readings.md: rows above the headings are titles."""
    text = f"{title}\nDepth;1 T;1 P;2 T;2 P\n8;0,07;0,05;0,06;0,04\n"
    assert asked(tmp_path, text).asked == ("T", "P")
    words = (("T", "thrust"), ("P", "pin"))
    dial = {"zero": "62", "readings_as": "dial"}
    found = read(tmp_path, text, words=words, **dial)
    assert {name: len(readings) for name, readings in found.items()} == {"1": 2, "2": 2}
    assert read(tmp_path, text, words=(*words, ("Ashby", "nothing")), **dial) == found


def test_cylinders_over_unknown_axes_are_asked_and_of_a_sentence_nothing_is_proposed(
    tmp_path: Path,
) -> None:
    text = (
        "Ashby;zeroed in a ring of 62\n;Pot 1;;Pot 2;\nDepth;U;V;U;V\n8;62,07;62,05;62,06;62,04\n"
    )
    assert asked(tmp_path, text).asked == ("Pot", "U", "V")
    text = "Depth;U;V;as seen by the owner\n8;62,07;62,05;\n"
    proposed = asked(tmp_path, text).proposed
    assert proposed == {"as seen by the owner": "nothing"}
    words = (("U", "thrust"), ("V", "pin"), *proposed.items())
    assert len(read(tmp_path, text, words=words)["1"]) == 2


def test_words_that_may_mean_several_things(tmp_path: Path) -> None:
    """First the headings, then the axes; every refusal names the option and all of its words."""
    first = asked(tmp_path, OWN_WORDS)
    assert first.asked == ("Bohrung", "Lage", "Seite", "Abweichung")
    assert first.proposed == {"Bohrung": "cylinder", "Seite": "axis", "Abweichung": "dial"}
    assert '--word "WORD=MEANING"' in str(first)
    assert asked(tmp_path, OWN_WORDS, words=MEANT).asked == ("A", "B")
    assert read(tmp_path, OWN_WORDS, words=(*MEANT, *AXES), zero="62") == {
        "1": [(8 * MM, 0, 6_207_000), (8 * MM, 90, 6_205_000)],
        "2": [(8 * MM, 0, 6_206_000), (8 * MM, 90, 6_204_000)],
    }


@pytest.mark.parametrize(
    "sheet",
    [
        "Zyl.;Tiefe [mm];Richtung;Maß (mm);Bemerkung\n"
        "1;8;quer;62,07;\n1;8;längs;62,05;riefig\n2;8;Quer;62,06;\n2;8;Längs;62,04;\n",
        "Zylinder;1;;2;\nTiefe von oben mm;quer;längs;quer;längs\n8;62,07;62,05;62,06;62,04\n",
        "Tiefe;Zyl. 1 quer;Zyl. 1 längs;Zyl. 2 quer;Zyl. 2 längs\n8;62,07;62,05;62,06;62,04\n",
        "Tiefe;1-quer;1-längs;2-quer;2-längs\n8;62,07;62,05;62,06;62,04\n",
        "Zylinder;Achse;Tiefe 8 mm\n1;quer;62,07\n;längs;62,05\n2;quer;62,06\n;längs;62,04\n",
        "cylindre;profondeur;direction;diamètre;remarques\n1;8;transversal;62,07;\n"
        "1;8;longitudinal;62,05;\n2;8;transversal;62,06;usé\n2;8;longitudinal;62,04;\n",
        "cilindro;profundidad mm;eje;medida\n1;8;empuje;62,07\n1;8;bulón;62,05\n"
        "2;8;empuje;62,06\n2;8;bulón;62,04\n",
        "cilindro;profondità;asse;misura\n1;8;spinta;62,07\n1;8;spinotto;62,05\n"
        "2;8;spinta;62,06\n2;8;spinotto;62,04\n",
    ],
)
def test_words_of_other_languages_are_known(tmp_path: Path, sheet: str) -> None:
    """The words that price lists come in; a column of remarks holds no reading."""
    assert read(tmp_path, sheet) == {
        "1": [(8 * MM, 0, 6_207_000), (8 * MM, 90, 6_205_000)],
        "2": [(8 * MM, 0, 6_206_000), (8 * MM, 90, 6_204_000)],
    }
    assert 'readings_file = "read.csv"' in (tmp_path / "job.toml").read_text(encoding="utf-8")


def test_what_is_said_of_a_word_outranks_what_it_means(tmp_path: Path) -> None:
    """Along and across the vehicle, not the engine."""
    sheet = "depth,quer,längs\n8,62.07,62.05\n"
    turned = (("quer", "pin"), ("längs", "thrust"))
    assert read(tmp_path, sheet, words=turned)["1"] == [
        (8 * MM, 90, 6_207_000),
        (8 * MM, 0, 6_205_000),
    ]


def test_a_column_of_remarks_with_a_figure_is_asked(tmp_path: Path) -> None:
    sheet = "cylinder,depth,axis,diameter,remarks\n1,8,thrust,62.07,62.1\n"
    assert asked(tmp_path, sheet).asked == ("remarks",)


@pytest.mark.parametrize(
    ("sheet", "words"),
    [
        ("depth,1 A,1 B\n8,62.07,62.05\n", ("A", "B")),
        ("depth,1A,1B\n8,62.07,62.05\n", ("A", "B")),
        ("depth,1,1\n,A,B\n8,62.07,62.05\n", ("A", "B")),
        ("cylinder,axis,8,40\n1,A,62.07,62.06\n,B,62.05,62.04\n", ("A", "B")),
        ("cylinder,depth,axis,diameter,seen by\n1,8,thrust,62.07,me\n", ("seen by",)),
        ("depth,1 thrust,mean\n8,62.07,62.05\n", ("mean",)),
    ],
)
def test_unknown_words_of_grids(tmp_path: Path, sheet: str, words: tuple[str, ...]) -> None:
    assert asked(tmp_path, sheet).asked == words
    means = dict(AXES)
    found = read(tmp_path, sheet, words=tuple((w, means.get(w, "nothing")) for w in words))
    assert (8 * MM, 0, 6_207_000) in found["1"]


def test_a_row_for_each_reading_without_a_cylinder(tmp_path: Path) -> None:
    """It is of the only cylinder; a unit in round brackets and one heading of two words count."""
    sheet = "Depth from top (mm),axis,Size (mm)\n8,thrust,62.07\n8,pin,62.05\n"
    assert read(tmp_path, sheet) == {"1": [(8 * MM, 0, 6_207_000), (8 * MM, 90, 6_205_000)]}


@pytest.mark.parametrize(
    ("sheet", "said", "likely"),
    [
        ("depth,thrust,pin\n10,88.96,88.95\n", FAMILY, "mm"),
        ("depth,thrust,pin\n0.4,3.5,3.51\n", {**FAMILY, "units": "mm"}, "in"),
        ("depth,thrust,pin\n0.4,5,3.5\n", {**FAMILY, "readings_as": "dial"}, "thou"),
        ("depth,thrust,pin\n8,2440,2441\n", {}, "thou"),
        ("depth,thrust,pin\n0.4,4.0001,4.0002\n", {}, "in"),
        ("all in inches\ndepth,thrust,pin\n8,62.07,62.05\n", {}, "in"),
    ],
)
def test_a_unit_in_which_no_bore_is_so_large(
    tmp_path: Path, sheet: str, said: dict[str, Any], likely: str
) -> None:
    open_ = asked(tmp_path, sheet, **said)
    assert (open_.answers, open_.proposed) == ("readings_unit", {"": likely})
    assert "--readings-unit" in str(open_)


def test_units_of_figures_and_depths_are_said(tmp_path: Path) -> None:
    sheet = "depth,thrust,pin\n10,88.96,88.95\n"
    depths = asked(tmp_path, sheet, **FAMILY, readings_unit="mm")
    assert (depths.answers, depths.proposed) == ("depth_unit", {"": "mm"})
    found = read(tmp_path, sheet, **FAMILY, readings_unit="mm", depth_unit="mm")
    assert found == {"1": [(10 * MM, 0, 8_896_000), (10 * MM, 90, 8_895_000)]}


def test_figures_between_diameters_and_deviations(tmp_path: Path) -> None:
    """Figures of 6 mm are no dial's and no bore's: the job says what they are."""
    sheet = "depth,thrust,pin\n8,6.07,6.05\n"
    assert asked(tmp_path, sheet).answers == "readings_as"
    assert asked(tmp_path, sheet, readings_as="dial").answers == "readings_unit"
    found = read(tmp_path, sheet, readings_as="diameter", readings_unit="mm")
    assert found == {"1": [(8 * MM, 0, 607_000), (8 * MM, 90, 605_000)]}


def test_typed_figures(tmp_path: Path) -> None:
    new_job(
        tmp_path / "job.toml",
        NewJob(
            "a", cylinders=2, places="8 thrust, 8 pin", figures=("0.07", ".", "0.06", "0.04"),
            zero="62",
        ),
    )  # fmt: skip
    job = read_job(tmp_path / "job.toml", windows_needed=False)
    assert [[r.dial for r in c.readings] for c in job.cylinders] == [[7_000], [6_000, 4_000]]


def test_a_sheet_of_a_workbook(tmp_path: Path) -> None:
    book = Workbook()
    for title, size in (("before", 62.07), ("after", 62.09)):
        sheet = book.create_sheet(title)
        sheet.append(["depth", "thrust", "pin"])
        sheet.append([8, size, size])
    book.save(tmp_path / "read.xlsx")
    new = NewJob("a", readings="read.xlsx")
    with pytest.raises(UnansweredError, match="--sheet NAME"):
        new_job(tmp_path / "job.toml", new)
    new_job(tmp_path / "job.toml", replace(new, sheet="AFTER"))
    (cylinder,) = read_job(tmp_path / "job.toml", windows_needed=False).cylinders
    assert {reading.size for reading in cylinder.readings} == {6_209_000}


@pytest.mark.parametrize(
    ("said", "named"),
    [
        ({"words": (("B", "across it"),)}, "--word B"),
        ({"words": AXES, "readings_unit": "cm"}, "readings_unit"),
        ({"words": AXES, "readings_as": "size"}, "readings_as"),
        ({"words": AXES, "readings_unit": "in", "depth_unit": "cm"}, "depth_unit"),
        ({"words": AXES, "sheet": "x"}, "no sheets"),
    ],
)
def test_what_is_said_wrongly(tmp_path: Path, said: dict[str, Any], named: str) -> None:
    with pytest.raises(InputError, match=named):
        read(tmp_path, "depth,1 thrust,1 B\n8,62.07,62.05\n", **said)


def test_headings_that_say_nothing(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no headings say where"):
        read(tmp_path, "1,2,3\n8,62.07,62.05\n")


def test_a_title_with_a_semicolon_leaves_the_commas_below_it(tmp_path: Path) -> None:
    text = "Bench 2; left bank\ncylinder,depth,axis,diameter\n1,10,thrust,62.01\n1,10,pin,62.00\n"
    assert read(tmp_path, text, units="mm") == {
        "1": [(10 * MM, 0, 6_201_000), (10 * MM, 90, 6_200_000)]
    }
