"""Windows that makers state for their own parts, drawn into a drawn job and its catalogue."""

from __future__ import annotations

from hypothesis import strategies as st

from fitsolver.records.catalogue import Catalogue, Piston, Ring, StatedWindow
from fitsolver.records.job import Job
from fitsolver.records.windows import Window

from .dice import THEMES, Dice
from .generate import draw_scaled

USES = ("street", "boost")


def stated_cases(name: str) -> st.SearchStrategy[tuple[Job, Catalogue]]:
    """Jobs of a theme whose pistons and rings have windows of their own, some windows yielding."""

    def draw(data: tuple[bytes, bytes]) -> tuple[Job, Catalogue]:
        job, catalogue, scale = draw_scaled(THEMES[name], data[0])
        dice = Dice(data[1])
        windows: list[StatedWindow] = []
        part: Piston | Ring
        pistons, rings = list(catalogue.pistons), list(catalogue.rings)
        for parts in (pistons, rings):
            for at, part in enumerate(parts):
                names = []
                for use in (("",), USES, ("", *USES))[dice.between(0, 2)]:
                    if dice.chance(60):
                        window = _window(dice, scale.step, part, str(len(windows) + 1))
                        windows.append(StatedWindow(window=window, use=use))
                        names.append(window.part)
                parts[at] = part.model_copy(update={"stated": tuple(names)})  # type: ignore[call-overload]
        uses = sorted({one.use for one in windows if one.use})
        changed = {
            "windows": tuple(_yielding(dice, window) for window in job.windows),
            "use": dice.pick(uses) if uses else "",
        }
        parts_of = {"pistons": tuple(pistons), "rings": tuple(rings), "windows": tuple(windows)}
        return job.model_copy(update=changed), catalogue.model_copy(update=parts_of)

    size = st.binary(min_size=Dice.SIZE, max_size=Dice.SIZE)
    return st.tuples(size, size).map(draw)


def _yielding(dice: Dice, window: Window) -> Window:
    return window.model_copy(update={"yields": dice.chance(70)})


def _window(dice: Dice, step: int, part: Piston | Ring, name: str) -> Window:
    """A window near those of the drawn jobs, so that half of the parts still serve."""
    if isinstance(part, Piston):
        low = dice.between(3, 12)
        high, groove = low + dice.between(6, 20), None
    else:
        low = dice.between(8, 26)
        high, groove = low + dice.between(20, 90), dice.one_of(None, part.grooves[0])
    return Window(
        fit="clearance" if isinstance(part, Piston) else "end_gap",
        groove=groove,
        low=None if dice.chance(10) else step * low,
        high=step * high,
        guard=step * dice.one_of(0, 0, 1),
        service_high=step * (high + 9) if dice.chance(30) else None,
        source="invented",
        owner="part",
        part=name,
    )
