"""Draw the icon of the page: `python -m tests.docs.icon`. A piston in its bore, with two rings."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PIL import Image, ImageDraw

STATIC: Final = Path(__file__).parents[2] / "fitsolver" / "page" / "static"
GROUND, LIGHT, RING = "#0b5a68", "#f6f5f1", "#7fd0dc"
#: Drawn so many times as large, then made smaller: smooth edges.
FINE: Final = 4


def icon(size: int) -> Image.Image:
    """Return the icon of `size` points; all lies in the inner 80 %, a mask may cut the rest."""
    side = size * FINE
    found = Image.new("RGB", (side, side), GROUND)
    pen = ImageDraw.Draw(found)

    def box(left: float, top: float, right: float, bottom: float, fill: str) -> None:
        pen.rectangle([round(at * side) for at in (left, top, right, bottom)], fill=fill)

    box(0.20, 0.16, 0.25, 0.84, LIGHT)  # the bore
    box(0.75, 0.16, 0.80, 0.84, LIGHT)
    box(0.29, 0.26, 0.71, 0.70, LIGHT)  # the piston
    for top in (0.32, 0.40):
        box(0.265, top, 0.735, top + 0.035, GROUND)  # a groove, and the ring in it
        box(0.265, top + 0.006, 0.735, top + 0.029, RING)
    pen.ellipse([round(at * side) for at in (0.435, 0.50, 0.565, 0.63)], fill=GROUND)  # the pin
    return found.resize((size, size), Image.Resampling.LANCZOS)


if __name__ == "__main__":
    for size in (192, 512):
        icon(size).save(STATIC / f"icon-{size}.png", optimize=True)
