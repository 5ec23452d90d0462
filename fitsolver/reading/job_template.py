"""A commented job file to start from: every key explained where it stands."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final, get_args

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit, exact_text, parse_length
from fitsolver.reading.hints import shown
from fitsolver.reading.new_readings import Read
from fitsolver.reading.template_text import CYLINDER, END_GAP, FORM, HEAD, TAIL
from fitsolver.reading.toml_text import Number, value_text
from fitsolver.reading.unanswered import UnansweredError
from fitsolver.records.job import Finishing
from fitsolver.records.rules import LIMITS
from fitsolver.records.windows import FORM_FITS

if TYPE_CHECKING:
    from fitsolver.records.catalogue import Catalogue

#: A length that a comment shows; in inches it is rounded to 0.0001 in, a small one to half of it.
_LENGTH: Final = re.compile(r'"(\d+(?:\.\d+)?) (mm|um)"')
_STEP, _SMALL = 254, 1_000
_BLANK: Final = '""\t# fill in'
_MOST_CYLINDERS: Final = 64
_COMMENTS_AT: Final = 34
#: Nominal size of the example readings (mm): an arbitrary bore.
_EXAMPLE_BORE: Final = Decimal(62)


@dataclass(frozen=True)
class NewJob:
    """The initial values of a new job file; lengths are texts in `units`, or with their own unit.

    `clearance` and `end_gap` (of every groove) are lowest and highest permitted values; a window
    that is left empty stands in the file as a blank to fill in, the end gap's once for each of
    `grooves`. What else is left empty is a comment. `given` names fields that a job of a known
    family states though they have their usual value. `readings` is a sheet as the job file names
    it, or a plain column of figures read at `places` (`8 thrust, 8 pin, ...`, bore after bore);
    `figures` are such readings typed one by one. `sheet` of a workbook is read, `words` say what
    words of a sheet mean (`Lage`, `axis`), `readings_as` whether figures are `diameter` or
    `dial`, `readings_unit` and `depth_unit` the units of figures and depths that name none. `zero`
    is what the dial was zeroed on; `read` is what was read, and `has_material` whether the family's
    sheet or the shop states a material: both filled in by `new_job`.
    """

    name: str
    units: Unit = "mm"
    family: str = ""
    catalogue: str = ""
    cylinders: int = 1
    material: str = "iron"
    finishing: Finishing = "piston in hand"
    stroke: str = ""
    clearance: tuple[str, str] | None = None
    end_gap: tuple[str, str] | None = None
    grooves: tuple[int, ...] = (1, 2)
    readings: str = ""
    places: str = ""
    figures: tuple[str, ...] = ()
    sheet: str = ""
    words: tuple[tuple[str, str], ...] = ()
    readings_as: str = ""
    readings_unit: str = ""
    depth_unit: str = ""
    zero: str = ""
    read: Read | None = None
    has_material: bool = True
    given: frozenset[str] = frozenset()


def grooves_of(catalogue: Catalogue) -> tuple[int, ...]:
    """Return the ring grooves that some piston of a catalogue has, the top one first."""
    found = {groove.number for piston in catalogue.pistons for groove in piston.grooves}
    return tuple(sorted(found))


def needed_windows(grooves: Iterable[int]) -> list[dict[str, Any]]:
    """Return the windows that a job usually needs, as blanks to fill in."""
    both = {"low": "", "high": ""}
    return [
        {"fit": "clearance", **both},
        *({"fit": "end_gap", "groove": groove, **both} for groove in grooves),
        *({"fit": fit, "high": ""} for fit in FORM_FITS),
    ]


def job_template(new: NewJob) -> str:
    """Return a commented job file (TOML) that `read_job` reads once readings are filled in.

    Raises InputError when an option is no such value: a length that is none, a window with its
    lowest above its highest, no cylinder.
    """
    check(new)
    parts = [
        HEAD.format(
            name=value_text(new.name),
            units=value_text(new.units),
            catalogue=_or_comment("catalogue", new.catalogue, "../catalogue"),
            family=_or_comment("family", new.family.strip(), "family as catalogue.toml names it"),
            how=value_text(new.finishing),
            limits="\n".join(f'# {each.key} = "{each.example}"\t# {each.means}' for each in LIMITS),
            stroke=_length_or_comment(new, "stroke", new.stroke, "58"),
            **_window(new, "clearance", new.clearance),
        ),
        *_end_gaps(new),
        *(FORM.format(fit=fit, high=_BLANK) for fit in FORM_FITS),
        TAIL.format(zone_top=example("6", new.units), zone_bottom=example("78", new.units)),
    ]
    first, *others = names_of(new)
    parts += [_cylinder(new, first), *(_next_cylinder(new, name) for name in others)]
    lines = "\n".join(parts).splitlines(keepends=True)
    return "".join(_aligned(_in_unit(line, new.units)) for line in lines)


def names_of(new: NewJob) -> tuple[str, ...]:
    """Return the names of the cylinders of a new job."""
    numbered = tuple(str(number + 1) for number in range(new.cylinders))
    return numbered if new.read is None else new.read.names


def _in_unit(line: str, unit: Unit) -> str:
    """Return a line with the lengths that its comment shows in the unit of the file."""
    if unit not in ("in", "thou") or "#" not in line:
        return line
    value, mark, comment = line.partition("#")

    def shown_in(found: re.Match[str]) -> str:
        ticks = parse_length(f"{found[1]} {found[2]}", "mm")
        step = _STEP if ticks >= _SMALL else _STEP // 2
        return f'"{exact_text(round(ticks / step) * step, unit)} {unit}"'

    return value + mark + _LENGTH.sub(shown_in, comment)


def readings_of(new: NewJob, name: str) -> str:
    """Return how a cylinder of a new job has its readings (TOML), "" where they are to be typed."""
    lines = []
    if new.zero:
        lines.append(f"zero = {written_length(new, 'zero', new.zero)}")
    if new.read is None:
        return "".join(f"{line}\n" for line in lines)
    if new.read.stated:
        lines.append(f"readings_as = {value_text(new.read.kind)}")
    if new.read.file:
        lines.append(f"readings_file = {value_text(new.read.file)}")
    else:
        if new.read.kind == "dial":
            lines.append('readings_as = "dial"')
        rows = new.read.rows[new.read.names.index(name)]
        lines += ["readings = [", *(f"  [{', '.join(map(_typed, row))}]," for row in rows), "]"]
    return "".join(f"{line}\n" for line in lines)


def _typed(text: str) -> str:
    return text if re.fullmatch(r"-?\d+(\.\d+)?", text) else value_text(text)


def _aligned(line: str) -> str:
    """Return a line with its comment, which a tab sets off, in the comments' column."""
    value, tab, comment = line.partition("\t")
    return f"{value.ljust(_COMMENTS_AT - 1)} {comment}" if tab else line


def _next_cylinder(new: NewJob, name: str) -> str:
    """Return a cylinder whose keys are explained in the first one."""
    head = f"[[cylinder]]\nname = {value_text(name)}\nmaterial = {value_text(new.material)}\n"
    own = readings_of(new, name)
    return head + (own if new.read is not None else f"{own}readings = [\n]\n")


def _cylinder(new: NewJob, name: str) -> str:
    text = _explained(new, name)
    own = readings_of(new, name)
    if not own:
        return text
    at = text.index("readings = [\t")
    return text[:at] + own + ("" if new.read is not None else text[at:])


def _explained(new: NewJob, name: str) -> str:
    return CYLINDER.format(
        name=value_text(name),
        material=value_text(new.material),
        **{f"depth{i}": example(depth, new.units) for i, depth in enumerate(("8", "40", "74"), 1)},
        **{
            f"size{i}": example(str(_EXAMPLE_BORE + Decimal(more)), new.units)
            for i, more in enumerate(("0.07", "0.05", "0.05", "0.04", "0.02", "0.01"), 1)
        },
        zero=example(str(_EXAMPLE_BORE), new.units),
    )


def check(new: NewJob) -> None:
    """Raise InputError for an invalid option of a new job."""
    if not new.name.strip():
        raise _refusal("name", "the job has no name", new.name, "a text")
    if not 1 <= new.cylinders <= _MOST_CYLINDERS:
        raise _refusal(
            "cylinders", "this is no count of cylinders", new.cylinders, f"1 to {_MOST_CYLINDERS}"
        )
    if new.material != new.material.strip() or not new.material:
        raise _refusal("material", "this is not a name", new.material, 'as "iron"')
    for field, value, allowed in (
        ("units", new.units, get_args(Unit)),
        ("finishing", new.finishing, get_args(Finishing)),
    ):
        if value not in allowed:
            raise _refusal(field, "unknown word", value, ", ".join(allowed))
    if new.zero and _ticks(new, "zero", new.zero) <= 0:
        raise _refusal("zero", "this length must be above zero", new.zero, "above 0")
    if new.read is not None and new.read.kind == "dial" and not new.zero:
        raise UnansweredError(
            "these readings are dial deviations",
            answers="zero",
            question="What was the dial zeroed on? (a size)",
            row="new job",
            field="zero",
            found="nothing",
            allowed="--zero: what the dial was zeroed on",
        )
    if new.stroke and _ticks(new, "stroke", new.stroke) <= 0:
        raise _refusal("stroke", "this length must be above zero", new.stroke, "above 0")
    for field, window in (("clearance", new.clearance), ("end_gap", new.end_gap)):
        if window and _ticks(new, field, window[0]) > _ticks(new, field, window[1]):
            raise _refusal(
                field,
                "the window's lowest value is above its highest",
                " and ".join(window),
                "lowest up to highest",
            )


def _ticks(new: NewJob, field: str, text: str) -> int:
    try:
        return parse_length(text, new.units)
    except ValueError as error:
        raise _refusal(
            field, str(error), text, f"a length in {new.units}, or with its unit"
        ) from error


def _refusal(field: str, message: str, found: object, allowed: str) -> InputError:
    return InputError(message, row="new job", field=field, found=shown(found), allowed=allowed)


def _window(new: NewJob, field: str, window: tuple[str, str] | None) -> dict[str, str]:
    """Return the edges of a window; blanks to fill in where none are given."""
    if window is None:
        return {"low": _BLANK, "high": _BLANK}
    return {
        "low": written_length(new, field, window[0]),
        "high": written_length(new, field, window[1]),
    }


def _end_gaps(new: NewJob) -> list[str]:
    """Return one window for all grooves where its figures are given, else a blank for each."""
    edges = _window(new, "end_gap", new.end_gap)
    if new.end_gap is not None:
        groove = "# groove = 1\t# for this groove only, counted from the crown"
        return [END_GAP.format(groove=groove, **edges)]
    return [
        END_GAP.format(groove=f"groove = {number}\t# counted from the crown", **edges)
        for number in new.grooves
    ]


def _length_or_comment(new: NewJob, key: str, text: str, usual: str) -> str:
    return (
        f"{key} = {written_length(new, key, text)}"
        if text
        else f"# {key} = {example(usual, new.units)}"
    )


def written_length(new: NewJob, field: str, text: str) -> str:
    """Return a length as a TOML value: a bare number where it is in the file's units."""
    return _bare(_ticks(new, field, text), new.units)


def _bare(ticks: int, unit: Unit) -> str:
    text = exact_text(ticks, unit)
    return value_text(text if text.endswith("mm") else Number(text))


def example(text: str, unit: Unit) -> str:
    """Return an example length, given in mm, in the file's units to a workshop's decimals."""
    if unit in ("mm", "um"):
        return _bare(parse_length(text, "mm"), unit)
    thousandth = 254  # ticks of 0.0001 in
    ticks = round(parse_length(text, "mm") / thousandth) * thousandth
    return _bare(ticks, unit)


def _or_comment(key: str, value: str, example: str) -> str:
    return f"{key} = {value_text(value)}" if value else f"# {key} = {value_text(example)}"
