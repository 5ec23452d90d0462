"""Every screen of the page in a real browser, at four widths, light and dark, to be looked at.

`python -m tests.docs.pictures --all FOLDER`. Beside the pictures it prints what can be told
without looking: a screen that runs off its side, a figure that wraps, a button too small for a
glove, fields that lie over one another, words that are cut.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final, NamedTuple

import httpx
from PIL import Image

from tests.page.browser import Hand, browser
from tests.page.serving import DEMOS, served

WIDTHS: Final = {390: 844, 768: 1024, 1024: 768, 1440: 900}
#: Where a long screen is drawn as it is first seen too, with the answer along its lower edge.
AS_SEEN: Final = (390, 1024)
SCHEMES: Final = ("light", "dark")
#: No picture is taller: a long list looks the same further down.
TALLEST: Final = 4000
DRAWN: Final = (
    "return [...document.images].every(one => one.complete && one.naturalWidth > 0)"
    " && !document.querySelector('.htmx-request')"
)
#: What is wrong whatever a screen is for; each a few words and where it is.
AUDIT: Final = (Path(__file__).parent / "screens.js").read_text("utf-8")

_LIST: Final = (
    "Artikel-Nr.;Bezeichnung;Motor;Preis;Bestand\n"
    + "".join(
        f"A{n}{grade};KOLBENSATZ 54,00 {size} ({grade});Reiher 54;5{n},90;{n}\n"
        for n, size in enumerate(("STD", "+0,25", "+0,50", "+1,00"))
        for grade in "ABC"
    )
    + "A99;KOLBENSATZ ?;Reiher 54;55,90;1\n"
)


class Screen(NamedTuple):
    """A screen: its name, and where it is."""

    name: str
    path: str


class Shop:
    """A page with work on it: jobs at every step, a list half taken in, calls, a book."""

    def __init__(self, address: str) -> None:
        self.web = httpx.Client(base_url=address, timeout=120)

    def made(self, path: str, **sent: Any) -> str:
        answer = self.web.post(path, **sent)
        assert answer.status_code == 303, answer.text
        return str(answer.headers["location"])

    def example(self, which: str) -> str:
        return self.made("/jobs/example", data={"which": which})

    def keep(self, job: str, **fields: str) -> None:
        """Send fields as they are typed; two underscores stand for a point."""
        version = re.search(r'name="version" value="(\w+)"', self.web.get(job).text)
        assert version
        sent = {name.replace("__", "."): value for name, value in fields.items()}
        answer = self.web.post(
            f"{job}/keep", data={"version": version[1], **sent}, headers={"hx-request": "true"}
        )
        assert answer.status_code == 200, answer.text

    def eight(self) -> str:
        """The launch with each of its four bores twice."""
        rows = list(csv.reader((DEMOS / "launch/readings.csv").read_text("utf-8").splitlines()))
        told = io.StringIO()
        csv.writer(told).writerows([*rows, *([str(int(row[0]) + 4), *row[1:]] for row in rows[1:])])
        text = (DEMOS / "launch/job.toml").read_text("utf-8")
        more = ", ".join(f'{{ name = "{n}" }}' for n in range(5, 9))
        text = text.removesuffix("]\n") + f"  {more},\n]\n"
        text = re.sub(r"^(terms|engine) = .*\n", "", text, flags=re.M)
        files = [("files", ("job.toml", text)), ("files", ("readings.csv", told.getvalue()))]
        return self.made("/jobs/upload", files=files, data={"catalogue": "launch"})

    def passes(self, job: str, cylinder: str, *removed: float, count: int = 20) -> None:
        """Enter passes of a bore of the pump, each reading so much larger than at first."""
        rows = (DEMOS / "pump/readings.csv").read_text("utf-8").splitlines()[1:]
        mine = [row.split(",") for row in rows if row.startswith(f"{cylinder},")]
        for more in removed:
            page = self.web.get(f"{job}/machine?cylinder={cylinder}").text
            after = page.partition('name="after" value="')[2][:16]
            fields: dict[str, Any] = {"cylinder": cylinder, "after": after, "stones": "220"}
            fields["count"] = str(count)
            for place, (_, depth, axis, dial) in enumerate(mine):
                fields |= {f"d{place}": depth, f"a{place}": axis}
                fields[f"r{place}"] = f"{float(dial) + more:.3f}"
            answer = self.web.post(f"{job}/hone", data=fields)
            if answer.status_code == 400:
                doubted = re.findall(r'name="taken" value="([^"]+)"', answer.text)
                answer = self.web.post(f"{job}/hone", data={**fields, "taken": doubted})
            assert answer.status_code == 303, answer.text

    def screens(self) -> Iterator[Screen]:
        """Yield every screen there is, in the order of the work."""
        yield Screen("first_empty", "/")
        pump, launch, eight = self.example("pump/job"), self.example("launch/job"), self.eight()
        worn, saw = self.example("pump/worn_out"), self.example("brushsaw/job")
        begun = {"catalogue": "pump / portable pump P62", "cylinders": "2"}
        fresh = self.made("/jobs", data=begun)
        doubted = self.example("pump/job")
        self.keep(doubted, name="pump, one reading doubted", read__0__1__0="0.192")
        self.keep(pump, cylinder__0__marking="P-1", cylinder__1__marking="P-2")
        self.made(f"{pump}/ordered")
        self.passes(pump, "1", 0.062, 0.124, 0.180)
        done = self.example("pump/job")
        marked = {"cylinder__0__marking": "P-3", "cylinder__1__marking": "P-4"}
        self.keep(done, name="pump, finished", **marked)
        self.passes(done, "1", 0.245, count=100)
        self.passes(done, "2", 0.19, count=100)
        large = self.example("pump/job")
        self.keep(large, name="pump, a bore too large")
        self.passes(large, "1", 0.36, count=300)
        for name, job in (("pump", pump), ("launch", launch), ("eight", eight)):
            for step in ("", "/choose", "/order", "/machine", "/check"):
                yield Screen(f"{name}_{step[1:] or 'measure'}", job + step)
        yield Screen("fresh_measure", fresh)
        yield Screen("fresh_choose", f"{fresh}/choose")
        yield Screen("fresh_order", f"{fresh}/order")
        yield Screen("doubted_measure", doubted)
        yield Screen("worn_measure", worn)
        yield Screen("worn_why", f"{worn}/report/why")
        yield Screen("saw_measure", saw)
        yield Screen("done_check", f"{done}/check")
        yield Screen("large_machine", f"{large}/machine")
        for verb in ("pick", "why", "alternatives", "ladder", "firm", "fits", "budget", "plan"):
            yield Screen(f"report_{verb}", f"{pump}/report/{verb}")
        yield Screen("report_bore", f"{pump}/report/bore")
        yield Screen("log", f"{pump}/hone/log")
        yield Screen("text", f"{pump}/text")
        yield Screen("sheet", f"{pump}/sheet")
        self.made(f"{done}/book", data={"what": "job"})
        self.made(f"{done}/book", data={"what": "final"})
        yield Screen("first", "/")
        yield Screen("jobs", "/jobs")
        yield from self._of_the_shelf()
        yield Screen("book", "/book")
        yield Screen("history", "/book/cylinder?marking=P-3")
        yield Screen("api", "/api")
        yield Screen("described", "/docs")
        yield Screen("refused", "/jobs/0123456789abcdef")
        yield Screen("offline", "/offline")

    def _of_the_shelf(self) -> Iterator[Screen]:
        yield Screen("counter_empty", "/counter")
        self.made("/demo/list")
        yield Screen("catalogues", "/catalogues")
        yield Screen("catalogue", "/catalogues/pump")
        yield Screen("family_read", "/catalogues/pump/family")
        yield Screen("family", self.made("/catalogues/pump/copy") + "/family")
        yield Screen("intake", "/intake")
        listed = [("files", ("prices.csv", _LIST))]
        at = self.made("/intake/upload", files=listed, data={"title": "My list"})
        yield Screen("intake_asked", at)
        answers = {"a:currency": "EUR", "a:lead_days": "6"}
        answers |= {"low:clearance": "0,04", "high:clearance": "0,06"}
        self.web.post(f"{at}/answer", data=answers)
        yield Screen("intake_agree", at)
        self.web.post(f"{at}/take")
        yield Screen("intake_taken", at)
        for family, sizes in (("heron 54", "54.31"), ("b", "std"), ("harbour", "3.512 3.514")):
            self.web.post("/counter", data={"family": family, "sizes": sizes})
        yield Screen("counter", "/counter?family=heron+54&sizes=54.31")
        yield Screen("counter_cylinders", "/counter?family=portable&sizes=62.31+62.28")
        yield Screen("counter_refused", "/counter?family=heron+54&sizes=99")


def draw(folder: Path, work: Path, wanted: str = "") -> None:
    """Write the pictures of the screens whose names match, and print what is wrong at once."""
    folder.mkdir(parents=True, exist_ok=True)
    with (
        served(work / "data", "--book", str(work / "book.sqlite")) as address,
        browser(work / "profile") as driver,
    ):
        hand = Hand(driver, address, work)
        for screen in Shop(address).screens():
            if re.search(wanted, screen.name):
                for width, height in WIDTHS.items():
                    _draw(hand, screen, (width, height), folder)


def _draw(hand: Hand, screen: Screen, size: tuple[int, int], folder: Path) -> None:
    width, height = size
    phone = width < 500
    hand.size(width, height, phone=phone)
    hand.go(screen.path)
    hand.wait(lambda hand: hand.driver.execute_script(DRAWN))
    hand.driver.execute_script("document.activeElement.blur()")
    told = [str(one) for one in hand.driver.execute_script(AUDIT)]
    for one in told:
        print(f"{screen.name} at {width}: {one}", flush=True)
    tall = int(hand.driver.execute_script("return document.documentElement.scrollHeight"))
    for scheme in SCHEMES if tall <= height or width in AS_SEEN else ():
        hand.scheme(scheme)
        _shot(hand, folder / f"{screen.name}_{width}_{scheme}.png")
    if tall > height:
        hand.size(width, min(tall, TALLEST), phone=phone)
        for scheme in SCHEMES:
            hand.scheme(scheme)
            _shot(hand, folder / f"{screen.name}_{width}_{scheme}_whole.png")


def _shot(hand: Hand, path: Path) -> None:
    assert hand.driver.save_screenshot(str(path))
    with Image.open(path) as found:
        found.convert("RGB").save(path, optimize=False)
