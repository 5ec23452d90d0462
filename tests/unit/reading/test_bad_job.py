"""Bad job files: each is refused with file, section, field, what was found and what is allowed."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.reading.job_file import read_job

from .files import CYLINDER, HEAD, READINGS, job_file, refusal

TWO = CYLINDER + CYLINDER.replace('"1"', '"2"')


def own(lines: str, readings: str = READINGS) -> str:
    """A job of one cylinder with some lines of its own."""
    return f'{HEAD}\n[[cylinder]]\nname = "1"\nmaterial = "iron"\n{lines}\n{readings}'


def rows(*readings: str) -> str:
    return own("", f"readings = [{', '.join(readings)}]")


def window(lines: str) -> str:
    return f"{HEAD}{CYLINDER}\n[[window]]\n{lines}"


# text of the job, the field named, a word of the message, something of what is found or allowed
CASES: dict[str, tuple[str, str, str, str]] = {
    "unknown key": (HEAD + "zones = 1" + CYLINDER, "zones", "did you mean 'zone'", "family"),
    "unknown key of a section": (
        f"{HEAD}[engine]\nstrok = 1\n{CYLINDER}",
        "strok",
        "did you mean 'stroke'",
        "bore_limit",
    ),
    "no units": (HEAD.replace('units = "mm"', "") + CYLINDER, "units", "missing", "thou"),
    "wrong unit": (HEAD.replace('"mm"', '"cm"') + CYLINDER, "units", "unknown word", "um"),
    "wrong unit of a value": (own('scratch = "3 furlong"'), "scratch", "unknown unit", "mm"),
    "later format": (
        HEAD.replace("format = 1", "format = 3") + CYLINDER,
        "format",
        "format",
        "1, 2",
    ),
    "no name": (HEAD.replace('name = "bench job"', "") + CYLINDER, "name", "missing", "name"),
    "no cylinder": (HEAD, "cylinder", "no cylinder", "[[cylinder]]"),
    "a list for a section": (HEAD + "engine = 3" + CYLINDER, "", "not a section", "3"),
    "two of one name": (HEAD + CYLINDER + CYLINDER, "name", "two cylinders", "once"),
    "no material": (own("").replace('material = "iron"', ""), "material", "missing", "iron"),
    "no readings": (own("", ""), "readings", "one way", "none"),
    "empty readings": (own("", "readings = []"), "readings", "no readings", "one or more"),
    "readings in two ways": (
        own("finished_size = 62"),
        "finished_size",
        "one way",
        "readings, finished_size",
    ),
    "NaN": (rows('[10, "pin", nan]'), "size", "finite", "NaN"),
    "infinity": (rows('[10, "pin", inf]'), "size", "finite", "Infinity"),
    "negative size": (rows('[10, "pin", -62.1]'), "size", "above zero", "-62.1"),
    "zero size": (rows('[10, "pin", 0]'), "size", "above zero", "0"),
    "negative depth": (rows('[-1, "pin", 62.1]'), "depth", "negative", "-1"),
    "finer than the grid": (rows('[1, "pin", 62.1000001]'), "size", "finer", "62.1000001"),
    "unknown axis": (rows('[10, "trust", 62.1]'), "axis", "no axis", "thrust, pin"),
    "angle too large": (rows("[10, 360, 62.1]"), "axis", "no axis", "360"),
    "decimal comma in a row": (rows('[10, "pin", 62,1]'), "readings", "decimal point", "62"),
    "a row too short": (rows("[10, 62.1]"), "readings", "three values", "62.1"),
    "a number for a row": (rows("62.1"), "", "not a section", "62.1"),
    "no size in a reading": (rows('{depth = 1, axis = "pin"}'), "size", "one figure", "neither"),
    "two figures": (
        own("zero = 62", 'readings = [{depth = 1, axis = "pin", size = 62.1, dial = 0.1}]'),
        "dial",
        "one figure",
        "size, dial",
    ),
    "two at one place": (
        rows('[10, "pin", 62.1]', "[10, 270, 62.2]"),
        "size",
        "two readings",
        "62.1 before",
    ),
    "two at one place, accepted or not": (
        own("accept_outliers = true", 'readings = [[10, "pin", 62.1], [10, "pin", 62.13001]]'),
        "size",
        "too far apart",
        "within 0.03 mm",
    ),
    "dial without zero": (
        own('readings_as = "dial"', 'readings = [[1, "pin", 0.1]]'),
        "zero",
        "zero",
        "0.1",
    ),
    "zero on no piston": (own('zero = "piston"'), "zero_piston", "missing", "skirt size"),
    "zero piston alone": (own("zero_piston = 62.1"), "zero_piston", "goes with", "62.1"),
    "unknown kind": (own('readings_as = "radius"'), "readings_as", "unknown word", "diameter"),
    "zone without readings": (
        own("zone = {top = 50, bottom = 70}"),
        "zone",
        "no reading",
        "decides",
    ),
    "zone upside down": (
        own("zone = {top = 70, bottom = 50}"),
        "top",
        "below",
        "top = 70, bottom = 50",
    ),
    "all in a port": (own("port = [{top = 0, bottom = 70}]"), "zone", "no reading", "decides"),
    "port without bottom": (own("port = [{top = 0}]"), "bottom", "missing", "below"),
    "window upside down": (
        window('fit = "clearance"\nlow = 0.08\nhigh = 0.05'),
        "low",
        "above its highest",
        "low = 0.08, high = 0.05",
    ),
    "service window upside down": (
        window('fit = "clearance"\nlow = 0.05\nhigh = 0.08\nservice_high = 0.04'),
        "low",
        "above its highest",
        "service_high = 0.04",
    ),
    "window without edges": (window('fit = "clearance"'), "low", "needs", "high"),
    "window of no fit": (window('fit = "clearence"\nlow = 0'), "fit", "'clearance'", "squish"),
    "window twice": (
        window('fit = "taper"\nhigh = 1\n[[window]]\nfit = "taper"\nhigh = 2'),
        "fit",
        "two windows",
        "taper",
    ),
    "groove of a clearance": (
        window('fit = "clearance"\nlow = 0\ngroove = 1'),
        "groove",
        "no groove",
        "end_gap",
    ),
    "lowest of a form": (window('fit = "taper"\nlow = 0\nhigh = 1'), "low", "only a highest", "0"),
    "ratio with a unit": (
        window('fit = "clearance"\nlow = "1 mm"\nper_bore = true'),
        "low",
        "plain number",
        "1 mm",
    ),
    "negative guard": (window('fit = "clearance"\nlow = 0\nguard = -1'), "guard", "negative", "-1"),
    "text for a length": (own("scratch = true"), "scratch", "not a number", "True"),
    "text for yes or no": (own('accept_outliers = "no"'), "accept_outliers", "neither", "true"),
    "unknown level": (HEAD + 'best = ["prize"]' + CYLINDER, "best", "'price'", "filing"),
    "level twice": (HEAD + 'best = ["days", "days"]' + CYLINDER, "best", "twice", "days"),
    "same size, unknown": (
        f'{HEAD}{CYLINDER}[[same_size]]\ncylinders = ["1", "3"]',
        "cylinders",
        "unknown cylinder",
        "3",
    ),
    "same size, twice": (
        f'{HEAD}{TWO}[[same_size]]\ncylinders = ["1", "1"]',
        "cylinders",
        "twice",
        "1",
    ),
    "same size, none": (f"{HEAD}{TWO}[[same_size]]", "cylinders", "no cylinder", "1, 2"),
    "mass match, unknown": (
        f'{HEAD}{CYLINDER}[[mass_match]]\ncylinders = ["4"]\nlimit = 2',
        "cylinders",
        "unknown cylinder",
        "4",
    ),
    "mass match, no limit": (
        f'{HEAD}{CYLINDER}[[mass_match]]\ncylinders = ["1"]',
        "limit",
        "missing",
        "2 g",
    ),
    "in hand, unknown cylinder": (
        f'{HEAD}{CYLINDER}[[in_hand]]\nnumber = "P"\ncylinder = "x"',
        "cylinder",
        "unknown cylinder",
        "x",
    ),
    "in hand, two measured": (
        f'{HEAD}{CYLINDER}[[in_hand]]\nnumber = "P"\nsize = 62\ncount = 2',
        "count",
        "one",
        "2",
    ),
    "in hand, gap alone": (
        f'{HEAD}{CYLINDER}[[in_hand]]\nnumber = "P"\ngap = 0.2',
        "gap_bore",
        "missing",
        "bore",
    ),
    "in hand, piston and ring": (
        f'{HEAD}{CYLINDER}[[in_hand]]\nnumber = "P"\ngap = 0.2\ngap_bore = 62\nsize = 62',
        "gap",
        "not both",
        "0.2",
    ),
    "in hand, no number": (f"{HEAD}{CYLINDER}[[in_hand]]", "number", "missing", "part number"),
    "gaskets, least above most": (
        f'{HEAD}{CYLINDER}[[gasket_place]]\nplace = "head"\nleast = 3\nmost = 2',
        "least",
        "above the most",
        "least = 3, most = 2",
    ),
    "gaskets, twice": (
        HEAD + CYLINDER + '[[gasket_place]]\nplace = "head"\n' * 2,
        "place",
        "twice",
        "head",
    ),
    "measured size of no piston": (own("piston_size = 62"), "piston_size", "pinned", "62"),
    "half-width alone": (
        own("finished_half_width = 0.1"),
        "finished_half_width",
        "finished size",
        "0.1",
    ),
    "two rings in a groove": (
        own('rings = [{groove = 1, number = "A"}, {groove = 1, number = "B"}]'),
        "groove",
        "two rings",
        "1",
    ),
    "displacement without stroke": (
        f'{HEAD}[engine]\ndisplacement_limit = "99 cm3"\n{CYLINDER}',
        "stroke",
        "missing",
        "stroke",
    ),
    "displacement without unit": (
        f"{HEAD}[engine]\nstroke = 1\ndisplacement_limit = 99\n{CYLINDER}",
        "displacement_limit",
        "unit",
        "99",
    ),
    "squish twice": (
        f"{HEAD}[engine]\nstroke = 58\nrod_length = 110\ndeck_height = 173\n{CYLINDER}"
        "[squish]\nmeasured = 1\nold_gaskets = 0\nold_compression_height = 30",
        "squish",
        "twice",
        "deck",
    ),
    "squish half": (
        f"{HEAD}{CYLINDER}[squish]\nmeasured = 1",
        "old_compression_height",
        "missing",
        "length",
    ),
    "squish measured and given": (
        f"{HEAD}{CYLINDER}[squish]\nmeasured = 1\nbase_low = 3",
        "measured",
        "not both",
        "1",
    ),
    "squish before without its base": (
        f"{HEAD}{CYLINDER}[squish]\nsquish_before = 1",
        "squish_before",
        "base",
        "1",
    ),
    "more under the cylinder than in all": (
        f"{HEAD}{CYLINDER}[squish]\nmeasured = 1\nold_gaskets = 0.5\nold_base_gaskets = 0.6\n"
        "old_compression_height = 30",
        "old_base_gaskets",
        "thicker",
        "0.6",
    ),
    "rod without stroke": (
        f"{HEAD}[engine]\nrod_length = 110\n{CYLINDER}",
        "stroke",
        "missing",
        "rod",
    ),
    "rod shorter than the crank": (
        f"{HEAD}[engine]\nstroke = 58\nrod_length = 29\n{CYLINDER}",
        "rod_length",
        "crank",
        "29",
    ),
    "chamber volume without stroke": (
        f'{HEAD}[engine]\nchamber_volume = "6 cm3"\n{CYLINDER}',
        "stroke",
        "missing",
        "ratio",
    ),
    "chamber volume of nothing": (
        f'{HEAD}[engine]\nstroke = 58\nchamber_volume = "0 cm3"\n{CYLINDER}',
        "chamber_volume",
        "above zero",
        "0 cm3",
    ),
    "squish base upside down": (
        f"{HEAD}{CYLINDER}[squish]\nbase_low = 4\nbase_high = 3",
        "base_low",
        "above",
        "4",
    ),
    "rise too hot": (
        f'{HEAD}[engine.rise]\nbore = 4000\npiston = 1\nring = 1\nbore_alloy = "x"{CYLINDER}',
        "bore",
        "temperature",
        "4000",
    ),
    "needed before ordered": (
        f"{HEAD}[terms]\norder_date = 2027-03-09\nneeded_by = 2027-03-01\n{CYLINDER}",
        "needed_by",
        "before",
        "2027-03-01",
    ),
    "needed without a start": (
        f"{HEAD}[terms]\nneeded_by = 2027-03-01\n{CYLINDER}",
        "order_date",
        "missing",
        "day",
    ),
    "days against dates": (
        f"{HEAD}[terms]\norder_date = 2027-03-01\nneeded_by = 2027-03-09\nneeded_in_days = 9\n"
        + CYLINDER,
        "needed_in_days",
        "8 days",
        "9",
    ),
    "a date in quotes": (
        f'{HEAD}[terms]\norder_date = "2027-03-01"\n{CYLINDER}',
        "order_date",
        "date",
        "2027",
    ),
    "budget too fine": (f"{HEAD}[terms]\nbudget = 1.005\n{CYLINDER}", "budget", "two", "1.005"),
    "a name with a line end": (HEAD + r'family = "a\nb"' + CYLINDER, "family", "one line", "a?b"),
    "not a sheet": (own('readings_file = "a.ods"', ""), "readings_file", "not a", ".xlsx"),
}


@pytest.mark.parametrize("case", CASES)
def test_refused(tmp_path: Path, case: str) -> None:
    text, field, words, more = CASES[case]
    path = job_file(tmp_path, text)
    error = refusal(read_job, path)
    assert error.file == str(path)
    assert error.field == field
    assert words in error.message
    assert more in str(error)
    assert [file.name for file in tmp_path.iterdir()] == ["job.toml"]


@pytest.mark.parametrize(
    ("text", "row", "allowed"),
    [
        ('name = "a"\nscratch = 62,31\n', 2, "decimal point"),
        ('name = "a"\nunits = mm\n', 2, "KEY = VALUE"),
        ('name = "a"\nname = "b"\n', 2, "each of them once"),
        ("a = 1e999999999\n", None, "KEY = VALUE"),
        ("a = " + "9" * 5000 + "\n", None, "KEY = VALUE"),
        ("a = [", None, "KEY = VALUE"),
    ],
)
def test_no_toml(tmp_path: Path, text: str, row: int | None, allowed: str) -> None:
    error = refusal(read_job, job_file(tmp_path, text))
    assert error.row == row
    assert allowed in error.allowed


def test_brackets_nested_too_deep(tmp_path: Path) -> None:
    refusal(read_job, job_file(tmp_path, "a = " + "[" * 100_000))


def test_a_section_is_named_by_its_number(tmp_path: Path) -> None:
    text = window('fit = "taper"\nhigh = 1\n[[window]]\nfit = "squish"\nlow = 2\nhigh = 1')
    assert refusal(read_job, job_file(tmp_path, text)).row == "[[window]] 2"
    text = own("port = [{top = 0}]")
    assert refusal(read_job, job_file(tmp_path, text)).row == "cylinder '1', [[port]] 1"
