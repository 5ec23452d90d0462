"""Every candidate piston and ring: catalogue parts and pieces in hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from fitsolver.base.errors import InputError
from fitsolver.choices.parts import Article, PistonCandidate, RingCandidate, RingClass, Shelf
from fitsolver.fits.mass_match import mass_range
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Piston, Ring
from fitsolver.records.job import Cylinder, InHand, Job


def shelf(job: Job, catalogue: Catalogue) -> Shelf:
    """Return all candidates of a job, in order of number and piece.

    Raises InputError when the job names a part that the catalogue does not have.
    """
    parts = known_parts(job, catalogue)
    classes = _Classes()
    pistons = [_catalogue_piston(part, classes) for part in catalogue.pistons]
    rings = [RingCandidate(part, part.gap, part.gauge_diameter) for part in catalogue.rings]
    loose: Counter[str] = Counter()
    reserved: Counter[tuple[str, str]] = Counter()
    for item, piece in pieces(job):
        part = parts[item.number]
        if piece and isinstance(part, Piston):
            pistons.append(_measured_piston(part, item, piece, classes))
        elif piece and isinstance(part, Ring):
            rings.append(_measured_ring(part, item, piece))
        elif piece:
            raise InputError(
                "only pistons and rings are measured or kept",
                file=job.name,
                field="in_hand",
                found=item.number,
            )
        elif item.cylinder is not None:
            reserved[item.cylinder, item.number] += item.count
        else:
            loose[item.number] += item.count
    pistons += [
        _pinned(parts, cylinder, classes) for cylinder in job.cylinders if is_piece(cylinder)
    ]
    return Shelf(
        pistons=tuple(sorted(pistons, key=lambda c: c.key)),
        rings=tuple(sorted(rings, key=lambda c: c.key)),
        loose=dict(loose),
        reserved=dict(reserved),
    )


def is_piece(cylinder: Cylinder) -> bool:
    """Tell whether the cylinder's pinned piston is one measured or kept piece in hand."""
    measured = cylinder.piston_size is not None or cylinder.piston_mass is not None
    return cylinder.piston is not None and (measured or cylinder.piston_kept)


def piece_name(cylinder: Cylinder) -> str:
    """Return how the pinned piece of a cylinder is named."""
    return f"in cylinder {cylinder.name}"


def known_parts(job: Job, catalogue: Catalogue) -> dict[str, Article]:
    """Return the catalogue's parts by number; raise InputError for an unknown part."""
    parts: dict[str, Article] = {part.number: part for part in catalogue.pistons}
    parts.update({part.number: part for part in catalogue.rings})
    parts.update({part.number: part for part in catalogue.gaskets})
    named = [("in_hand", item.number) for item in job.in_hand]
    for cylinder in job.cylinders:
        where = f"cylinder {cylinder.name}"
        named += [(f"{where}, piston", cylinder.piston)] if cylinder.piston else []
        named += [(f"{where}, rings", ring.number) for ring in cylinder.rings]
    for field, number in named:
        if number not in parts:
            raise InputError(
                "a part that the catalogue does not have",
                file=job.name,
                field=field,
                found=number,
                allowed=f"a number in catalogue {catalogue.name}",
            )
    _check_pins(job, parts)
    return parts


def _check_pins(job: Job, parts: dict[str, Article]) -> None:
    for cylinder in job.cylinders:
        where = f"cylinder {cylinder.name}"
        if cylinder.piston and not isinstance(parts[cylinder.piston], Piston):
            raise InputError(
                "is not a piston", file=job.name, field=f"{where}, piston", found=cylinder.piston
            )
        for ring in cylinder.rings:
            if not isinstance(parts[ring.number], Ring):
                raise InputError(
                    "is not a ring", file=job.name, field=f"{where}, rings", found=ring.number
                )


def pieces(job: Job) -> Iterator[tuple[InHand, str]]:
    """Yield every piece in hand of its own, with its name; unmeasured parts with an empty one."""
    counts: Counter[str] = Counter()
    for item in job.in_hand:
        if item.kept or any(value is not None for value in (item.size, item.mass, item.gap)):
            for _ in range(item.count):
                counts[item.number] += 1
                yield item, f"piece {counts[item.number]}"
        else:
            yield item, ""


class _Classes:
    """Hands out one ring class for pistons alike."""

    def __init__(self) -> None:
        self._known: dict[tuple[object, ...], RingClass] = {}

    def of(self, part: Piston, *, kept: bool) -> RingClass:
        key = part.nominal_bore, kept, part.grooves
        if key not in self._known:
            self._known[key] = RingClass(*key)
        return self._known[key]


def _catalogue_piston(part: Piston, classes: _Classes) -> PistonCandidate:
    ring_class = classes.of(part, kept=False)
    return PistonCandidate(part, part.skirt, mass_range(part, None), ring_class)


def _measured_piston(part: Piston, item: InHand, piece: str, classes: _Classes) -> PistonCandidate:
    return PistonCandidate(
        part=part,
        skirt=_measured(item.size, part.skirt),
        mass=mass_range(part, item.mass),
        ring_class=classes.of(part, kept=item.kept),
        piece=piece,
        kept=item.kept,
        only_in=item.cylinder,
    )


def _pinned(parts: dict[str, Article], cylinder: Cylinder, classes: _Classes) -> PistonCandidate:
    part = parts[cylinder.piston or ""]
    assert isinstance(part, Piston)  # _check_pins has refused anything else
    return PistonCandidate(
        part=part,
        skirt=_measured(cylinder.piston_size, part.skirt),
        mass=mass_range(part, cylinder.piston_mass),
        ring_class=classes.of(part, kept=cylinder.piston_kept),
        piece=piece_name(cylinder),
        kept=cylinder.piston_kept,
        only_in=cylinder.name,
    )


def _measured_ring(part: Ring, item: InHand, piece: str) -> RingCandidate:
    return RingCandidate(
        part,
        _measured_gap(item, part.gap),
        part.gauge_diameter if item.gap_bore is None else item.gap_bore,
        piece,
        item.kept,
        item.cylinder,
    )


def _measured_gap(item: InHand, stated: Range) -> Range:
    """The blade that enters and the next one that does not give a range, not a value."""
    if item.gap is None or item.gap_most is None:
        return _measured(item.gap, stated)
    return Range(low=item.gap, high=item.gap_most)


def _measured(value: int | None, stated: Range) -> Range:
    return stated if value is None else Range(low=value, high=value)
