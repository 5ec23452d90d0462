"""The worlds of bores that are no cylinders, as tables for `tests.bench.calibration`."""

from __future__ import annotations

import os
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from typing import Final, NamedTuple

import numpy as np

from fitsolver.metrology.bore_parts import Floats
from tests.bench.calibration_experiment import SIGMAS, Flags
from tests.bench.calibration_form import (
    SIX,
    TWELVE,
    WORLDS,
    Found,
    Held,
    Model,
    World,
    experiment,
    fifth_of_the_form,
    without_form,
)
from tests.bench.calibration_gaps import Gaps, end_gaps
from tests.bench.form_worlds import Shapes

BORES: Final = 6_000
FEWER: Final = 2_000
#: Beyond the target on the safe side is no harm; beyond this on the other side it is.
NOT_AS_MODELLED: Final = 0.03
GAP_WORLDS: Final = (
    World("as modelled, finished", SIX),
    World("ordinary form", SIX, Shapes()),
    World("round", SIX, Shapes(scale=0.05)),
)
WRONG: Final[tuple[tuple[str, World, Model], ...]] = (
    ("form left out, as modelled", World("as modelled, finished", TWELVE), without_form),
    ("form left out, ordinary form", World("ordinary form", TWELVE, Shapes()), without_form),
    (
        "a fifth of the form, ordinary form",
        World("ordinary form", SIX, Shapes()),
        fifth_of_the_form,
    ),
)


class Band(NamedTuple):
    """Windows whose stated probability lies in a tenth, from so many different bores.

    `sampling_error` is that of the share conforming, windows of one bore not being independent.
    """

    low: float
    cases: int
    stated: float
    realised: float
    sampling_error: float

    @property
    def off(self) -> float:
        return self.realised - self.stated

    def agrees(self, target: float) -> bool:
        """Within the target, or within chance."""
        return abs(self.off) <= max(target, SIGMAS * self.sampling_error)

    def is_safe(self, target: float) -> bool:
        """Not more than the target, or chance, below what is stated."""
        return self.off >= -max(target, SIGMAS * self.sampling_error)


def bands(stated: Floats, conforms: Flags) -> list[Band]:
    """Return ten bands of the stated probabilities (bores x windows)."""
    index = np.minimum((stated * 10).astype(int), 9)
    found = []
    for tenth in range(10):
        inside = index == tenth
        cases = int(inside.sum())
        if not cases:
            found.append(Band(tenth / 10, 0, 0.0, 0.0, 1.0))
            continue
        off = ((conforms - stated) * inside).sum(axis=1)
        expected = float((stated * (1 - stated))[inside].sum())
        error = np.sqrt(max(expected, float((off**2).sum()))) / cases
        found.append(
            Band(
                tenth / 10,
                cases,
                float(stated[inside].mean()),
                float(conforms[inside].mean()),
                float(error),
            )
        )
    return found


def of(held: Held) -> list[Band]:
    """Return the bands of what is stated."""
    return bands(held.stated, held.conforms)


def risk(held: Held) -> tuple[float, float, float]:
    """Return the share accepted, how much of it is truly out, and the sampling error of that."""
    assert held.accepted is not None
    out = (~held.conforms) & held.accepted
    count = int(held.accepted.sum())
    if not count:
        return 0.0, 0.0, 0.0
    share = out.sum() / count
    off = (out - share * held.accepted).sum(axis=1)
    return float(held.accepted.mean()), float(share), float(np.sqrt((off**2).sum())) / count


def report() -> Iterator[str]:
    """Yield the lines of the tables."""
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        found = list(pool.map(_experiment, WORLDS))
        gaps = list(pool.map(_gaps, GAP_WORLDS))
        wrong = list(pool.map(_wrong, range(len(WRONG))))
    yield from ("**Whole bores, by world**", "", *_worlds(found), "")
    yield from ("**Clearance of whole bores, by band**", "", *_by_band(found), "")
    yield from ("**Out-of-round and taper**", "", *_differences(found), "")
    yield from ("**End gaps**", "", *_gap_rows(gaps), "")
    yield from ("**Wrong models of the form**", "", *_wrong_rows(wrong), "")


def _experiment(world: World) -> Found:
    return experiment(world, BORES)


def _gaps(world: World) -> Gaps:
    return end_gaps(world, FEWER)


def _wrong(index: int) -> Found:
    _, world, model = WRONG[index]
    return experiment(world, FEWER, model)


def _worlds(found: list[Found]) -> Iterator[str]:
    yield (
        "| world | readings | above those read | 90 to 100 % stated | realised | before: stated "
        "| realised | accepted at 95 % | truly out |"
    )
    yield "|---|---:|---:|---:|---:|---:|---:|---:|---:|"
    for item in found:
        held = item.clearance
        assert held.before is not None
        now, before = of(held)[9], bands(held.before, held.conforms)[9]
        accepted, out, error = risk(held)
        yield (
            f"| {_name(item)} | {len(item.world.places)} | {item.excess:.1f} µm "
            f"| {_share(now, now.stated)} | {_share(now, now.realised)} "
            f"| {100 * before.stated:.1f} % | {100 * before.realised:.1f} % "
            f"| {100 * accepted:.1f} % | {100 * out:.1f} ± {100 * error:.1f} % |"
        )


def _name(item: Found) -> str:
    return item.world.name if item.world.covered else f"{item.world.name} (not covered)"


def _share(band: Band, value: float) -> str:
    return f"{100 * value:.1f} %" if band.cases else "none"


def _by_band(found: list[Found]) -> Iterator[str]:
    tenths = [f"{k * 10}" for k in range(10)]
    yield "| world | readings | " + " | ".join(f"{t} %" for t in tenths) + " |"
    yield "|---|---:|" + "---:|" * 10
    for item in found:
        cells = " | ".join(map(_off, of(item.clearance)))
        yield f"| {_name(item)} | {len(item.world.places)} | {cells} |"


def _off(band: Band) -> str:
    if SIGMAS * band.sampling_error > 0.25:
        return "few"
    return f"{100 * band.off:+.1f} ± {100 * band.sampling_error:.1f}"


def _differences(found: list[Found]) -> Iterator[str]:
    yield "| world | readings | fit | 10 to 50 % | 50 to 90 % | 90 to 100 % |"
    yield "|---|---:|---|---:|---:|---:|"
    for item in found:
        if item.world.name == "round":
            continue  # no window is as narrow as its form
        for name, held in (("out-of-round", item.out_of_round), ("taper", item.taper)):
            cells = " | ".join(_wide(held, *edges) for edges in ((0.1, 0.5), (0.5, 0.9), (0.9, 2)))
            yield f"| {_name(item)} | {len(item.world.places)} | {name} | {cells} |"


def _wide(held: Held, low: float, high: float) -> str:
    inside = (held.stated >= low) & (held.stated < high)
    off = ((held.conforms - held.stated) * inside).sum(axis=1)
    cases = max(1, int(inside.sum()))
    error = float(np.sqrt((off**2).sum())) / cases
    return f"{100 * off.sum() / cases:+.1f} ± {100 * error:.1f}"


def _gap_rows(found: list[Gaps]) -> Iterator[str]:
    yield "| world | gap measured | 10 to 50 % | 50 to 90 % | 90 to 100 % | before: 90 to 100 % |"
    yield "|---|---|---:|---:|---:|---:|"
    for world, gaps in zip(GAP_WORLDS, found, strict=True):
        for way, held in (("in the bore itself", gaps.here), ("in another bore", gaps.other)):
            cells = " | ".join(_wide(held, *edges) for edges in ((0.1, 0.5), (0.5, 0.9), (0.9, 2)))
            assert held.before is not None
            before = _off(bands(held.before, held.conforms)[9])
            yield f"| {world.name} | {way} | {cells} | {before} |"


def _wrong_rows(found: list[Found]) -> Iterator[str]:
    yield "| model | readings | 50 to 90 % | 90 to 100 % | accepted at 95 %, truly out |"
    yield "|---|---:|---:|---:|---:|"
    for (name, world, _), item in zip(WRONG, found, strict=True):
        cells = " | ".join(_wide(item.clearance, *edges) for edges in ((0.5, 0.9), (0.9, 2)))
        yield f"| {name} | {len(world.places)} | {cells} | {100 * risk(item.clearance)[1]:.1f} % |"
