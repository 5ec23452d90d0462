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
from typing import Any, NamedTuple

import httpx
import pytest

import fitsolver
from fitsolver.page import entered
from fitsolver.reporting.schema import to_json

from .serving import served

selenium = pytest.importorskip("selenium", reason="selenium is not installed")

from selenium.webdriver.common.action_chains import ActionChains  # noqa: E402
from selenium.webdriver.common.by import By  # noqa: E402
from selenium.webdriver.common.keys import Keys  # noqa: E402

from .browser import Hand, browser, needed  # noqa: E402

pytestmark = needed

BY_HAND = Path(__file__).parent / "by_hand"
#: Fields that Enter steps over, rather than the next one tapped.
_STEPPED_OVER = 3
#: The fields that Enter goes through: id, kind, value, and the words of a list by their values.
_STOPS = """
return [...document.querySelectorAll("#job-form input:not([type=hidden]), #job-form select")]
  .filter(one => one.checkVisibility())
  .map(one => [one.id, one.type, one.type === "checkbox" ? (one.checked ? "yes" : "") : one.value,
    Object.fromEntries([...(one.options || [])].map(item => [item.value, item.text]))])
"""
#: What some fields are folded into, from the outside in.
_HIDDEN = """
const found = new Set();
for (const name of arguments[0]) {
  const outside = [];
  for (let at = document.getElementById(name); at; at = at.parentElement)
    if (at.tagName === "DETAILS" && !at.open) outside.unshift(at.querySelector("summary"));
  outside.forEach(one => found.add(one));
}
return [...found]
"""


class Typing:
    """One person at the page, counted: keys pressed, taps. The gauge's keys are counted apart."""

    def __init__(self, hand: Hand) -> None:
        self.hand, self.driver = hand, hand.driver
        self.keys, self.taps, self.gauge = 0, 0, 0
        self._held, self._at = "", ""

    def tap(self, element: Any, *, left: bool = False) -> None:
        """Tap in the middle, or at the left, where the first part of a date is."""
        self.flush()
        self.driver.execute_script("arguments[0].scrollIntoView({block: 'center'})", element)
        if left:
            aside = 15 - element.size["width"] // 2
            at = ActionChains(self.driver).move_to_element_with_offset(element, aside, 0)
            at.click().perform()
        else:
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
            stops = {one[0]: Stop(*one) for one in self.driver.execute_script(_STOPS)}
            order = list(stops)
            for name in sorted(group, key=order.index):
                if keys := stops[name].keys(wanted[name]):
                    self._type(stops[name], keys, order)
        self.flush()

    def _reach(self, path: str, names: list[str]) -> None:
        """Have the row there, and what it is folded into open."""
        if not self.driver.find_elements(By.ID, names[0]):
            listed = path.rpartition(".")[0]
            self.tap(self.driver.find_element(By.CSS_SELECTOR, f"button[value='more:{listed}']"))
            self.hand.wait(lambda hand: hand.driver.find_elements(By.ID, names[0]))
        for summary in self.driver.execute_script(_HIDDEN, names):
            self.tap(summary)

    def _type(self, stop: Stop, keys: str, order: list[str]) -> None:
        at = order.index(self._at) if self._at in order and self._at else len(order)
        ahead = order.index(stop.name) - at
        if 0 < ahead <= _STEPPED_OVER:
            self.press(Keys.ENTER * ahead + keys)
        else:
            self.tap(self.driver.find_element(By.ID, stop.name), left=stop.kind == "date")
            self.press(stop.once_tapped(keys))
        self._at = stop.name


class Stop(NamedTuple):
    """A field as it stands."""

    name: str
    kind: str
    value: str
    words: dict[str, str]

    def keys(self, text: str) -> str:
        """Return the keys that have it say a text; none where it does already."""
        if self.value == text:
            return ""
        if self.kind == "checkbox":
            return " "
        if self.kind == "date":
            year, month, day = text.split("-")
            return f"{month}{day}{year}"
        return text if self.kind != "select-one" else self._word(text)

    def _word(self, text: str) -> str:
        """Return the first letters of a word of the list, as many as no other begins with."""
        others = [word.lower() for value, word in self.words.items() if value != text]
        word = self.words[text].lower()
        every = (word[:most] for most in range(1, len(word) + 1))
        return next(part for part in every if not any(one.startswith(part) for one in others))

    def once_tapped(self, keys: str) -> str:
        """Return the keys where it was tapped: a list has opened, a box is ticked by it."""
        if self.kind == "checkbox":
            return ""
        if self.kind == "select-one":
            return keys + Keys.ENTER
        everything = Keys.CONTROL + "a" + Keys.NULL
        return everything + keys if self.value and self.kind != "date" else keys


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
    ("demo", "cylinders", "keys", "taps"), [("launch", "4", 820, 26), ("brushsaw", "1", 606, 37)]
)
def test_a_job_typed_without_a_sheet_is_that_job(
    hand: Hand, demo: str, cylinders: str, keys: int, taps: int
) -> None:
    fields = figures_of(demo)
    fields = {name: text for name, text in fields.items() if name not in ("units", "catalogue")}
    hand.go("/jobs")
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
