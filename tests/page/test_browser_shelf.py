"""The counter by keystrokes and a list taken in, in a real browser."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from .serving import served
from .test_shelf_screens import LIST

selenium = pytest.importorskip("selenium", reason="selenium is not installed")

from selenium.webdriver.common.keys import Keys  # noqa: E402

from .browser import Hand, browser, needed  # noqa: E402

pytestmark = needed
#: Keystrokes that a call may take after the first.
MOST = 10


@pytest.fixture(scope="module")
def hand(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Hand]:
    with (
        served(tmp_path_factory.mktemp("served")) as address,
        browser(tmp_path_factory.mktemp("profile"), width=1024, height=768) as driver,
    ):
        size = {"width": 1024, "height": 768, "deviceScaleFactor": 1, "mobile": False}
        driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        yield Hand(driver, address, tmp_path_factory.mktemp("pictures"))


def test_a_call_takes_ten_keystrokes_and_one_screen(hand: Hand) -> None:
    hand.go("/")
    hand.driver.find_element("xpath", "//button[contains(., '300 kits')]").click()
    hand.wait_for("HE54-025A", ".advised")
    for keys, advised in (("54.31", "HE54-050"), ("54,25", "HE54-025"), ("pl 48.31", "PL48-050")):
        assert len(keys) + 1 <= MOST
        assert hand.is_at("sizes")  # where one types at once, with nothing in the way
        hand.driver.switch_to.active_element.send_keys(keys + Keys.ENTER)
        hand.wait_for(advised, ".advised")
        assert not hand.driver.execute_script(
            "return document.documentElement.scrollHeight > window.innerHeight"
        )
    hand.driver.switch_to.active_element.send_keys("99" + Keys.ENTER)
    hand.wait_for("nowhere near", ".refusal")
    hand.driver.switch_to.active_element.send_keys("48.22" + Keys.ENTER)  # over what was refused
    hand.wait_for("PL48-025", ".advised")
    assert hand.text(".calls").count("Heron 54") == 3
    assert hand.findings() == []


def test_a_list_is_taken_in_by_hand(hand: Hand, tmp_path: Path) -> None:
    file = tmp_path / "prices.csv"
    file.write_text(LIST, encoding="utf-8")
    hand.go("/")
    hand.driver.find_element("id", "list-file").send_keys(str(file))
    hand.press("Look at it")
    hand.wait_for("12 of 13 rows understood")
    assert hand.findings() == []
    hand.type("a:currency", "EUR")
    hand.type("a:lead_days", "6")
    hand.type("low:clearance", "0,04")
    hand.type("high:clearance", "0,06")
    hand.press("Answer")
    hand.wait_for("Look at the first rows")
    hand.press("Take 12 rows in")
    hand.wait_for("Taken in: 12 of 13 rows")
    hand.driver.find_element("link text", "See the catalogue").click()
    hand.driver.find_element("link text", "Reiher 54").click()
    hand.wait_for("+0.75", ".ladder .gap")
    assert hand.findings() == []
    price = hand.driver.find_element("css selector", "input[aria-label='price of A0A']")
    price.clear()
    price.send_keys("57,50")
    hand.press("Keep what I corrected")
    hand.wait_for("Undo the last change")
