"""The size steps of a catalogue: skipped oversizes, holes between grades, misnamed parts."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise

from fitsolver.catalogue_review.look import Look, doubt
from fitsolver.lengths import TICKS_PER
from fitsolver.records.catalogue import Catalogue, Piston
from fitsolver.records.review import Doubt, SizeStep, Table


def size_steps(catalogue: Catalogue) -> tuple[SizeStep, ...]:
    """Return the oversizes in order, with those that the regular step would put between."""
    pistons = Counter(part.oversize for part in catalogue.pistons)
    bores = {part.oversize: part.nominal_bore for part in catalogue.pistons}
    rings = Counter(part.gauge_diameter for part in catalogue.rings)
    sizes = sorted(pistons)
    regular = _regular_step(sizes)
    return tuple(
        SizeStep(
            oversize=size,
            nominal_bore=bores[size],
            pistons=pistons[size],
            rings=rings[bores[size]],
            step=None if before is None else size - before,
            skipped=_skipped(before, size, regular),
        )
        for before, size in zip([None, *sizes], sizes, strict=False)
    )


def _regular_step(sizes: Sequence[int]) -> int | None:
    """The most frequent step: taken twice at least, and more often than any other."""
    counts = Counter(high - low for low, high in pairwise(sizes)).most_common(2)
    if not counts or counts[0][1] < 2:
        return None
    tied = len(counts) == 2 and counts[0][1] == counts[1][1]
    return None if tied else counts[0][0]


def _skipped(before: int | None, size: int, regular: int | None) -> tuple[int, ...]:
    if before is None or regular is None or (size - before) % regular:
        return ()
    return tuple(range(before + regular, size, regular))


def grades(look: Look) -> Iterator[Doubt]:
    """Oversizes that are skipped, and skirt sizes that no grade of an oversize covers."""
    for step in size_steps(look.catalogue):
        for size in step.skipped:
            text = f"no piston of {look.show(size)} oversize, where the steps are regular"
            yield doubt("pistons", "", "oversize", text, "note")
    by_size: dict[int, list[Piston]] = defaultdict(list)
    for part in look.catalogue.pistons:
        if part.grade:
            by_size[part.oversize].append(part)
    for graded in by_size.values():
        graded.sort(key=lambda part: (part.skirt.low, part.skirt.high))
        reached = graded[0].skirt.high
        for part in graded:
            if part.skirt.low > reached:
                text = f"no grade between {look.show(reached)} and {look.show(part.skirt.low)}"
                yield doubt("pistons", part.number, "skirt", text, "note")
            reached = max(reached, part.skirt.high)


def names(look: Look) -> Iterator[Doubt]:
    """Part numbers that name a size of the catalogue other than their own.

    A size is named by its oversize in hundredths of a millimetre or thousandths of an inch,
    three digits. It counts only where most numbers of the table are formed so.
    """
    catalogue = look.catalogue
    per = TICKS_PER["thou"] if catalogue.unit in ("in", "thou") else TICKS_PER["mm"] // 100
    codes = {part.oversize: f"{part.oversize // per:03d}" for part in catalogue.pistons}
    sized: tuple[tuple[Table, str, dict[str, int]], ...] = (
        ("pistons", "oversize", {part.number: part.oversize for part in catalogue.pistons}),
        (
            "rings",
            "gauge_diameter",
            {
                part.number: part.gauge_diameter - catalogue.standard_bore
                for part in catalogue.rings
            },
        ),
    )
    for table, field_name, sizes in sized:
        for number, named in _misnamed(codes, sizes):
            text = (
                f"the number names size {named}, the entry is {look.show(sizes[number])} oversize"
            )
            yield doubt(table, number, field_name, text)


def _misnamed(codes: dict[int, str], sizes: dict[str, int]) -> Iterator[tuple[str, str]]:
    """Yield part number and the foreign code in it, where most numbers hold their own."""
    digits = {number: set(re.findall(r"\d{3,}", number)) for number in sizes}
    coded = {number: codes[size] for number, size in sizes.items() if size in codes}
    right = {number for number, code in coded.items() if code in digits[number]}
    if 2 * len(right) <= len(coded):
        return
    for number in sorted(coded.keys() - right):
        for other in sorted(digits[number] & set(codes.values())):
            yield number, other
