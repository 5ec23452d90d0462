"""Instruments, temperatures and the rule of decision in a job file."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.metrology.instrument_sets import instrument_set
from fitsolver.reading.job_file import read_job
from fitsolver.reading.job_measuring import INSTRUMENT_SETS
from fitsolver.reading.job_text import job_text
from fitsolver.reading.measuring_figures import expansion_text, parse_expansion
from fitsolver.records.job import InHand, Job
from fitsolver.records.measuring import Instrument, Measuring, Temperatures

from .files import CYLINDER, HEAD, job_file, refusal

GUARDED = '[measuring]\ninstruments = "everyday set"\ndecision = "guarded"\n'
MICROMETER = '[[instrument]]\nkind = "outside micrometer"\n'


def read(folder: Path, text: str) -> Job:
    return read_job(job_file(folder, HEAD + text + CYLINDER))


def measuring(folder: Path, text: str) -> Measuring:
    found = read(folder, text).measuring
    assert found is not None
    return found


def test_nothing_is_said(tmp_path: Path) -> None:
    job = read(tmp_path, "")
    assert (job.measuring, job.cylinders[0].temperatures) == (None, None)
    assert measuring(tmp_path, "[measuring]\n") == Measuring()


def test_every_key(tmp_path: Path) -> None:
    text = (
        '[measuring]\ninstruments = "fine set"\nsetting = "master"\n'
        'decision = "guarded"\nfactor = 1.96\nform_allowance = "2 um"\n'
        + MICROMETER
        + 'name = "25-50"\npermissible_error = "4 um"\nresolution = 0.001\n'
        'repeatability = "0.5 um"\nexpansion = 10.8e-6\nbasis = "certificate"\n'
        '[[instrument]]\nkind = "bore gauge"\nresolution = "0.0001 in"\n'
        '[[instrument]]\nkind = "setting master"\nstandard_uncertainty = "0.25 um"\n'
        "[temperatures]\nbore = 24.5\nstandard = 21\nuncertainty = 0.5\n"
        'expansion_uncertainty = "10 %"\n'
    )
    assert measuring(tmp_path, text) == Measuring(
        set_name="fine set",
        instruments=(
            Instrument(
                kind="outside micrometer",
                name="25-50",
                permissible_error=400,
                resolution=100,
                repeatability=50,
                expansion=10_800,
                basis="certificate",
            ),
            Instrument(kind="bore gauge", resolution=254),
            Instrument(kind="setting master", standard_uncertainty=25),
        ),
        setting="master",
        decision="guarded",
        factor=1_960,
        form_allowance=200,
        temperatures=Temperatures(
            bore=24_500, standard=21_000, uncertainty=500, expansion_share=100
        ),
    )


@pytest.mark.parametrize("text", ["0.95", '"95 %"', '"95%"', '"0.95"'])
def test_a_wanted_probability(tmp_path: Path, text: str) -> None:
    found = measuring(tmp_path, f"{GUARDED}probability = {text}\n")
    assert (found.probability, found.factor) == (950_000, None)


@pytest.mark.parametrize(
    ("text", "thousandths"),
    [
        ("22.5", 22_500),
        ('"22.5 °C"', 22_500),
        ('"72 °F"', 22_222),
        ('"72 F"', 22_222),
        ('"72°F"', 22_222),
        ('"72.5 °f"', 22_500),
        ('"68 F"', 20_000),
        ('"-4 °F"', -20_000),
        ("45", 45_000),
        ('"72 °C"', 72_000),
        ('"46 C"', 46_000),
        ("-5", -5_000),
    ],
)
def test_a_temperature(tmp_path: Path, text: str, thousandths: int) -> None:
    assert measuring(tmp_path, f"[temperatures]\nbore = {text}\n").temperatures == Temperatures(
        bore=thousandths
    )


@pytest.mark.parametrize(
    ("text", "thousandths"),
    [("1", 1_000), ('"0.5 K"', 500), ('"2 °F"', 1_111), ('"1.5 °C"', 1_500)],
)
def test_the_uncertainty_of_a_temperature(tmp_path: Path, text: str, thousandths: int) -> None:
    found = measuring(tmp_path, f"[temperatures]\nuncertainty = {text}\n")
    assert found.temperatures.uncertainty == thousandths


def test_a_cylinder_takes_from_the_job_what_it_leaves_out(tmp_path: Path) -> None:
    job = "[temperatures]\nbore = 22\npiston = 21\nuncertainty = 1\n"
    own = "[cylinder.temperatures]\nbore = 30\nexpansion_uncertainty = 0.1\n"
    first, second = read_job(
        job_file(tmp_path, HEAD + job + CYLINDER + own + CYLINDER.replace('"1"', '"2"'))
    ).cylinders
    assert first.temperatures == Temperatures(
        bore=30_000, piston=21_000, uncertainty=1_000, expansion_share=100
    )
    assert second.temperatures is None
    alone = read_job(job_file(tmp_path, HEAD + CYLINDER + own)).cylinders[0]
    assert alone.temperatures == Temperatures(bore=30_000, expansion_share=100)


@pytest.mark.parametrize("text", ["11.5e-6", '"11.5e-6"', '"0.0000115"', "0.0000115", '"115E-7"'])
def test_expansion(tmp_path: Path, text: str) -> None:
    lines = f"{MICROMETER}permissible_error = 0.004\nexpansion = {text}\n"
    assert measuring(tmp_path, lines).instruments[0].expansion == 11_500


@pytest.mark.parametrize("parts", [1, 990, 11_500, 23_000, 100_000])
def test_expansion_text(parts: int) -> None:
    assert parse_expansion(expansion_text(parts)) == parts


def test_a_gap_between_two_blades(tmp_path: Path) -> None:
    text = '[[in_hand]]\nnumber = "R"\ngap = 0.25\ngap_next = 0.30\ngap_bore = 62.5\n'
    assert read(tmp_path, text).in_hand == (
        InHand(number="R", gap=25_000, gap_most=30_000, gap_bore=6_250_000),
    )


def instrument(lines: str, kind: str = "outside micrometer") -> str:
    return f'[[instrument]]\nkind = "{kind}"\n{lines}\n'


# the sections, the field named, words of the message, something of what is found or allowed
CASES: dict[str, tuple[str, str, str, str]] = {
    "unknown set": (
        '[measuring]\ninstruments = "shop grade"\n',
        "instruments",
        "unknown word",
        "everyday set, fine set",
    ),
    "unknown setting": ('[measuring]\nsetting = "ring"\n', "setting", "unknown word", "master"),
    "unknown decision": ('[measuring]\ndecision = "safe"\n', "decision", "unknown word", "plain"),
    "unknown key": ("[measuring]\nfaktor = 2\n", "faktor", "'factor'", "probability"),
    "guarded by nothing": (
        '[measuring]\ndecision = "guarded"\n',
        "decision",
        "uncertainty of the instruments",
        "everyday set",
    ),
    "factor and probability": (
        GUARDED + "factor = 2\nprobability = 0.95\n",
        "probability",
        "twice",
        "factor or probability",
    ),
    "factor of a plain decision": ("[measuring]\nfactor = 2\n", "factor", "narrowed", "2"),
    "zero factor": (GUARDED + "factor = 0\n", "factor", "not above zero", "0"),
    "negative factor": (GUARDED + "factor = -2\n", "factor", "not above zero", "-2"),
    "huge factor": (GUARDED + "factor = 95\n", "factor", "above 10", "95"),
    "fine factor": (GUARDED + "factor = 1.6449\n", "factor", "finer", "1.6449"),
    "percent without sign": (GUARDED + "probability = 95\n", "probability", '"95 %" meant', "95"),
    "certainty": (GUARDED + "probability = 1\n", "probability", "no probability", "1"),
    "less than even": (GUARDED + "probability = 0.4\n", "probability", "no probability", "0.4"),
    "negative allowance": (
        "[measuring]\nform_allowance = -1\n",
        "form_allowance",
        "negative",
        "-1",
    ),
    "no kind": ("[[instrument]]\nresolution = 0.01\n", "kind", "missing", "bore gauge"),
    "unknown kind": (instrument("", "bore gage"), "kind", "'bore gauge'", "feeler gauge"),
    "two of a kind": (2 * instrument("resolution = 0.01", "bore gauge"), "kind", "two", "bore"),
    "error and uncertainty": (
        instrument("permissible_error = 0.004\nstandard_uncertainty = 0.002"),
        "standard_uncertainty",
        "twice",
        "permissible_error or",
    ),
    "neither": (instrument("resolution = 0.01"), "permissible_error", "missing", "standard_unc"),
    "a gauge of which nothing is known": (
        instrument("", "bore gauge"),
        "repeatability",
        "nothing is said",
        "resolution",
    ),
    "zero error": (instrument("permissible_error = 0"), "permissible_error", "this good", "0"),
    "negative uncertainty": (
        instrument("standard_uncertainty = -0.001"),
        "standard_uncertainty",
        "this good",
        "-0.001",
    ),
    "zero repeatability": (
        instrument("repeatability = 0", "bore gauge"),
        "repeatability",
        "this good",
        "leave out",
    ),
    "people and a micrometer": (
        instrument("permissible_error = 0.004\nreproducibility = 0.001"),
        "reproducibility",
        "belongs to the bore gauge",
        "",
    ),
    "coarse resolution": (
        instrument("resolution = 1.00001", "bore gauge"),
        "resolution",
        "this coarse",
        "1 mm",
    ),
    "expansion without its power": (
        instrument("permissible_error = 0.004\nexpansion = 11.5"),
        "expansion",
        '"11.5e-6" meant',
        "per kelvin",
    ),
    "expansion of nothing": (
        instrument("permissible_error = 0.004\nexpansion = 0.001"),
        "expansion",
        "no material",
        "0.001",
    ),
    "expansion too small": (
        instrument('permissible_error = 0.004\nexpansion = "11.5e-12"'),
        "expansion",
        "finer",
        "11.5e-12",
    ),
    "expansion of steel in words": (
        instrument('permissible_error = 0.004\nexpansion = "steel"'),
        "expansion",
        "plain number",
        "steel",
    ),
    "expansion as a list": (
        instrument("permissible_error = 0.004\nexpansion = [1]"),
        "expansion",
        "not a number",
        "1",
    ),
    "negative expansion": (
        instrument("permissible_error = 0.004\nexpansion = -11.5e-6"),
        "expansion",
        "not above zero",
        "-0.0000115",
    ),
    "°F as °C of a part": (
        "[temperatures]\nbore = 72\n",
        "bore",
        'is this °F? write "72 °F"',
        "72",
    ),
    "part just too warm": ("[temperatures]\npiston = 45.001\n", "piston", "°F?", '"72 °F"'),
    "instrument too warm": ("[temperatures]\nmicrometer = 41\n", "micrometer", "°F?", "41"),
    "standard too warm": ('[temperatures]\nstandard = "72"\n', "standard", "°F?", "72"),
    "too cold": ("[temperatures]\nbore = -51\n", "bore", "no part", "-51"),
    "far too warm": ('[temperatures]\nbore = "301 C"\n', "bore", "no part", "301"),
    "temperature in kelvin": ('[temperatures]\nbore = "293 K"\n', "bore", "no unit of", "293 K"),
    "temperature in mm": ('[temperatures]\nbore = "20 mm"\n', "bore", "no unit of", "20 mm"),
    "no temperature": ("[temperatures]\nbore = true\n", "bore", "not a number", "True"),
    "fine temperature": ("[temperatures]\nbore = 20.0001\n", "bore", "finer", "20.0001"),
    "NaN": ("[temperatures]\nbore = nan\n", "bore", "finite", "NaN"),
    "zero kelvin of doubt": ("[temperatures]\nuncertainty = 0\n", "uncertainty", "above zero", "0"),
    "negative doubt": ("[temperatures]\nuncertainty = -1\n", "uncertainty", "above zero", "-1"),
    "a whole summer of doubt": (
        "[temperatures]\nuncertainty = 21\n",
        "uncertainty",
        "no unc",
        "21",
    ),
    "percent of expansion without sign": (
        "[temperatures]\nexpansion_uncertainty = 10\n",
        "expansion_uncertainty",
        '"10 %" meant',
        "10",
    ),
    "no doubt of expansion": (
        '[temperatures]\nexpansion_uncertainty = "0 %"\n',
        "expansion_uncertainty",
        "not above zero",
        "0 %",
    ),
    "the next blade is thinner": (
        '[[in_hand]]\nnumber = "R"\ngap = 0.3\ngap_next = 0.25\ngap_bore = 62\n',
        "gap_next",
        "not thicker",
        "gap = 0.3, gap_next = 0.25",
    ),
    "one blade goes and does not": (
        '[[in_hand]]\nnumber = "R"\ngap = 0.3\ngap_next = 0.3\ngap_bore = 62\n',
        "gap_next",
        "not thicker",
        "above gap",
    ),
    "the next blade alone": (
        '[[in_hand]]\nnumber = "R"\ngap_next = 0.25\n',
        "gap_next",
        "goes in",
        "with gap",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_refused(tmp_path: Path, case: str) -> None:
    text, field, words, more = CASES[case]
    path = job_file(tmp_path, HEAD + text + CYLINDER)
    error = refusal(read_job, path)
    assert (error.file, error.field) == (str(path), field)
    assert error.row is not None
    assert words in error.message
    assert more in str(error)


@pytest.mark.parametrize("name", INSTRUMENT_SETS)
def test_a_named_set_is_there_and_a_job_can_say_it_in_full(tmp_path: Path, name: str) -> None:
    instruments = instrument_set(name)
    job = read(tmp_path, "").model_copy(update={"measuring": Measuring(instruments=instruments)})
    path = job_file(tmp_path, job_text(job), "full.toml")
    found = read_job(path).measuring
    assert found is not None
    assert found.instruments == instruments


@pytest.mark.parametrize(
    ("before", "now"), [("workshop grade", "everyday set"), ("inspection grade", "fine set")]
)
def test_the_sets_go_by_their_earlier_names_too(tmp_path: Path, before: str, now: str) -> None:
    found = measuring(tmp_path, f'[measuring]\ninstruments = "{before}"\n')
    assert found.set_name == now
