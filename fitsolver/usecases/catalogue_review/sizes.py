"""The size steps of a catalogue: skipped oversizes, holes between grades."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise

from fitsolver.records.catalogue import Catalogue, Piston
from fitsolver.records.review import Doubt, SizeStep
from fitsolver.usecases.catalogue_review.look import Look, doubt


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
