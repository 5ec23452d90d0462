"""Draw the README's two pictures of the page anew: `python -m tests.docs.pictures`.

The demonstration job of the pump in a real browser: the readings as they were taken, and the hone
after three passes. Look at them before keeping them.
"""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

import httpx
from PIL import Image

from tests.page.browser import Hand, browser
from tests.page.serving import DEMOS, served

FOLDER: Final = Path(__file__).parents[2] / "docs" / "pictures"
WIDTH, HEIGHT = 1280, 800
#: The first reading of bore 1 comes out by so much in each of three passes (mm).
PASSES: Final = (0.062, 0.124, 0.180)
DRAWN = "return [...document.images].every(one => one.complete && one.naturalWidth > 0)"
DECIDED = "return document.getElementById('verdict')?.dataset.decided === 'yes'"


def take(address: str, work: Path) -> None:
    """Write both pictures."""
    made = httpx.post(f"{address}/jobs/example", data={"which": "pump/job"})
    job = address + made.headers["location"]
    enter_passes(job)
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


def enter_passes(job: str) -> None:
    """Enter three passes of bore 1 at the hone."""
    rows = (DEMOS / "pump" / "readings.csv").read_text(encoding="utf-8").splitlines()[1:]
    mine = [row.split(",") for row in rows if row.startswith("1,")]
    for removed in PASSES:
        page = httpx.get(f"{job}/machine?cylinder=1", timeout=60).text
        after = page.partition('name="after" value="')[2][:16]
        fields = {"cylinder": "1", "after": after, "count": "20", "stones": "220"}
        for place, (_, depth, axis, dial) in enumerate(mine):
            fields |= {
                f"d{place}": depth,
                f"a{place}": axis,
                f"r{place}": f"{float(dial) + removed:.3f}",
            }
        answer = httpx.post(f"{job}/hone", data=fields, timeout=60)
        assert answer.status_code == 303, answer.text


def keep(raw: Path, path: Path) -> None:
    """Write a picture small: 64 colours are enough for the page."""
    path.parent.mkdir(exist_ok=True)
    with Image.open(raw) as found:
        found.convert("RGB").quantize(64, dither=Image.Dither.NONE).save(path, optimize=True)


if __name__ == "__main__":
    with TemporaryDirectory(ignore_cleanup_errors=True) as folder, served(Path(folder)) as address:
        take(address, Path(folder))
