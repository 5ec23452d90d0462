"""Draw the README's two pictures of the page anew: `python -m tests.docs.pictures`.

The demonstration job of the pump in a real browser: the readings as they were taken, and the hone
after three passes. Look at them before keeping them. `--all FOLDER [NAMES]` draws every screen
instead (`screens.py`), or those whose names the pattern NAMES finds.
"""

from __future__ import annotations

import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from PIL import Image

from tests.docs import screens
from tests.page.browser import Hand, browser
from tests.page.serving import served

FOLDER: Final = Path(__file__).parents[2] / "docs" / "pictures"
WIDTH, HEIGHT = 1280, 800
#: The first reading of bore 1 comes out by so much in each of three passes (mm).
PASSES: Final = (0.062, 0.124, 0.180)
DRAWN = "return [...document.images].every(one => one.complete && one.naturalWidth > 0)"
DECIDED = "return document.getElementById('verdict')?.dataset.decided === 'yes'"


def take(address: str, work: Path) -> None:
    """Write both pictures."""
    shop = screens.Shop(address)
    job = shop.example("pump/job")
    shop.passes(job, "1", *PASSES)
    with browser(work / "profile") as driver:
        hand = Hand(driver, address, work)
        hand.size(WIDTH, HEIGHT)
        for name, path, scheme in (("measure", "", "light"), ("machine", "/machine", "dark")):
            hand.scheme(scheme)
            hand.go(job + path)
            hand.wait(lambda hand: hand.driver.execute_script(DECIDED))
            hand.wait(lambda hand: hand.driver.execute_script(DRAWN))
            driver.execute_script("document.activeElement.blur()")
            raw = work / f"{name}.png"
            assert driver.save_screenshot(str(raw))
            keep(raw, FOLDER / f"{name}.png")


def keep(raw: Path, path: Path) -> None:
    """Write a picture small: 64 colours are enough for the page."""
    path.parent.mkdir(exist_ok=True)
    with Image.open(raw) as found:
        found.convert("RGB").quantize(64, dither=Image.Dither.NONE).save(path, optimize=True)


if __name__ == "__main__":
    with TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        if sys.argv[1:2] == ["--all"]:
            screens.draw(Path(sys.argv[2]), Path(folder), "".join(sys.argv[3:4]))
        else:
            with served(Path(folder)) as address:
                take(address, Path(folder))
