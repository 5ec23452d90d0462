"""Two jobs typed by hand that take nothing from a family sheet: counted, and the same answer.

The figures are those of jobs that held every one of them, kept in `by_hand`.
"""

from __future__ import annotations

import csv
import json
import tomllib
from collections.abc import Iterator
from decimal import Decimal
from itertools import groupby
from pathlib import Path
from typing import Any

import httpx
import pytest

import fitsolver
from fitsolver.page import entered
from fitsolver.reporting.schema import to_json

from .serving import served

selenium = pytest.importorskip("selenium", reason="selenium is not installed")

from selenium.webdriver.common.by import By  # noqa: E402
from selenium.webdriver.common.keys import Keys  # noqa: E402

from .browser import Hand, browser, needed  # noqa: E402

pytestmark = needed

BY_HAND = Path(__file__).parent / "by_hand"
#: Fields that Enter steps over, rather than the next one tapped.
_STEPPED_OVER = 3
_STOPS = (
    "return [...document.querySelectorAll('#job-form input:not([type=hidden]), #job-form select')]"
    ".filter(one => one.checkVisibility()).map(one => one.id)"
)
_HIDDEN = (
    "let found = [];"
    "for (let at = arguments[0]; at; at = at.parentElement)"
    "  if (at.tagName === 'DETAILS' && !at.open) found.unshift(at.querySelector('summary'));"
    "return found"
)


class Typing:
    """One person at the page, counted: keys pressed, taps. The gauge's keys are counted apart."""

    def __init__(self, hand: Hand) -> None:
        self.hand, self.driver = hand, hand.driver
        self.keys, self.taps, self.gauge = 0, 0, 0
        self._held, self._at = "", ""

    def tap(self, element: Any) -> None:
        self.flush()
        self.driver.execute_script("arguments[0].scrollIntoView({block: 'center'})", element)
        element.click()
        self.taps += 1

    def press(self, keys: str) -> None:
        self._held += keys
        self.keys += len(keys)

    def flush(self) -> None:
        if self._held:
            self.driver.switch_to.active_element.send_keys(self._held)
        self._held, self._at = "", ""

    def sheet(self, fields: dict[str, str]) -> None:
        """The depths by hand; then the gauge types its readings, each with Enter."""
        self.tap(self.driver.find_element(By.ID, "depth.0"))
        for name in (name for name in fields if name.startswith("depth.")):
            self.press(fields[name] + Keys.ENTER)
        self.press(Keys.ENTER)
        read = [[*map(int, n.split(".")[1:]), text] for n, text in fields.items() if "read." in n]
        typed = "".join(f"{text}{Keys.ENTER}" for *_, text in sorted(read))
        self.flush()
        self.driver.switch_to.active_element.send_keys(typed)
        self.gauge += len(typed)
        assert self.driver.switch_to.active_element.get_attribute("id") == "walked"

    def fields(self, wanted: dict[str, str]) -> None:
        """Type fields in the order of the page, those of one row or part together."""
        for path, names in groupby(wanted, lambda name: name.rpartition(".")[0]):
            group = list(names)
            self._reach(path, group)
            stops = self.driver.execute_script(_STOPS)
            for name in sorted(group, key=stops.index):
                element = self.driver.find_element(By.ID, name)
                if keys := _keys(element, wanted[name]):
                    self._go(element, name, stops)
                    self.press(keys)
        self.flush()

    def _reach(self, path: str, names: list[str]) -> None:
        """Have the row there, and what it is folded into open."""
        if not self.driver.find_elements(By.ID, names[0]):
            listed = path.rpartition(".")[0]
            self.tap(self.driver.find_element(By.CSS_SELECTOR, f"button[value='more:{listed}']"))
            self.hand.wait(lambda hand: hand.driver.find_elements(By.ID, names[0]))
        for name in names:
            element = self.driver.find_element(By.ID, name)
            for summary in self.driver.execute_script(_HIDDEN, element):
                self.tap(summary)

    def _go(self, element: Any, name: str, stops: list[str]) -> None:
        ahead = stops.index(name) - stops.index(self._at) if self._at and self._at in stops else 0
        if 0 < ahead <= _STEPPED_OVER:
            self.press(Keys.ENTER * ahead)
        elif name != self.driver.switch_to.active_element.get_attribute("id"):
            self.tap(element)
        self._at = name


def _keys(element: Any, text: str) -> str:
    """Return the keys that have a field say a text; none where it does already."""
    kind = element.get_attribute("type")
    if kind == "checkbox":
        return "" if element.is_selected() == bool(text) else " "
    if element.get_attribute("value") == text:
        return ""
    if kind == "date":
        year, month, day = text.split("-")
        return f"{month}{day}{year}"
    if kind != "select-one":
        return text
    labels = {
        option.get_attribute("value"): option.text.lower()
        for option in element.find_elements(By.TAG_NAME, "option")
    }
    word = labels.pop(text)
    return next(
        word[:most]
        for most in range(1, len(word) + 1)
        if not any(other.startswith(word[:most]) for other in labels.values())
    )


@pytest.fixture(scope="module")
def hand(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Hand]:
    folder = tmp_path_factory.mktemp("by_hand")
    with served(folder / "served") as address, browser(folder / "profile") as driver:
        yield Hand(driver, address, folder / "pictures")


def figures_of(demo: str) -> dict[str, str]:
    """Return the fields of a job by their names, as its file and its sheet of readings say them."""
    data = tomllib.loads((BY_HAND / f"{demo}.toml").read_text("utf-8"), parse_float=Decimal)
    for cylinder in data["cylinder"]:
        if sheet := cylinder.pop("readings_file", ""):
            rows = csv.reader((BY_HAND / sheet).read_text("utf-8").splitlines())
            cylinder["readings"] = [row[1:] for row in rows if row[0] == cylinder["name"]]
    return entered.entries(data)


@pytest.mark.parametrize(
    ("demo", "cylinders", "keys", "taps"), [("launch", "4", 700, 60), ("brushsaw", "1", 700, 60)]
)
def test_a_job_typed_without_a_sheet_is_that_job(
    hand: Hand, demo: str, cylinders: str, keys: int, taps: int
) -> None:
    fields = figures_of(demo)
    fields = {name: text for name, text in fields.items() if name not in ("units", "catalogue")}
    hand.go("/")
    hand.choose("catalogue", demo)
    hand.type("cylinders", cylinders)
    hand.type("name", fields["name"])
    hand.press("Begin")
    hand.wait_for("Not decided yet", "#verdict")
    job = str(hand.driver.current_url)
    hand.driver.execute_script("window.unmoved = true")
    typing = Typing(hand)
    typing.keys += len(fields["name"])
    typing.sheet(fields)
    here = {n: t for n, t in fields.items() if hand.driver.find_elements(By.ID, n)}
    here = {n: t for n, t in here.items() if not n.startswith(("depth.", "read."))}
    typing.fields(here)
    typing.tap(hand.driver.find_element(By.CSS_SELECTOR, "#steps [data-name=choose]"))
    hand.wait(lambda hand: hand.has("engine.stroke"))
    there = {n: t for n, t in fields.items() if n not in here and "read." not in n}
    typing.fields({n: t for n, t in there.items() if not n.startswith("depth.")})
    hand.wait(lambda hand: hand.text("#kept") == "kept")
    hand.wait(lambda hand: hand.driver.find_element(By.CSS_SELECTOR, "[data-decided=yes]"))
    hand.picture(f"by_hand_{demo}")
    assert hand.driver.execute_script("return window.unmoved") is True  # no page was loaded
    answer = httpx.get(f"{job}/answer.json")
    plan = json.loads(to_json(fitsolver.pick(BY_HAND / f"{demo}.toml")))["plan"]
    assert json.loads(answer.text)["plan"] == plan
    print(f"{demo}: {typing.keys} keys, {typing.gauge} of the gauge, {typing.taps} taps")
    assert typing.keys <= keys and typing.taps <= taps
