"""The page in a real browser: typed in, decided, honed, by keyboard alone, on a phone."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

import pytest

from .serving import DEMOS, served

selenium = pytest.importorskip("selenium", reason="selenium is not installed")

from selenium.webdriver.common.by import By  # noqa: E402
from selenium.webdriver.common.keys import Keys  # noqa: E402

from .browser import Hand, browser, needed  # noqa: E402

pytestmark = needed

_SHEET = (DEMOS / "pump" / "readings.csv").read_text(encoding="utf-8")
READINGS = list(csv.DictReader(_SHEET.replace(" [mm]", "").splitlines()))


PICTURES_ARE_THERE = (
    "return [...document.images].every(image => image.complete && image.naturalWidth > 100)"
)


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    folder = tmp_path_factory.mktemp("served")
    with served(folder, "--book", str(folder / "book.sqlite")) as found:
        yield found


@pytest.fixture(scope="module")
def hand(address: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Hand]:
    with browser(tmp_path_factory.mktemp("profile")) as driver:
        yield Hand(driver, address, tmp_path_factory.mktemp("pictures"))


def example(hand: Hand, which: str = "pump/job") -> str:
    hand.go("/")
    hand.choose("which", which)
    hand.press("Open a copy")
    hand.wait_for("The plan", ".outcome")
    return str(hand.driver.current_url)


def test_the_pump_job_typed_in_and_decided(hand: Hand) -> None:
    """A job with two cylinders, begun empty; a gauge's Enter walks through the grid."""
    hand.go("/")
    hand.type("name", "typed in")
    hand.choose("catalogue", "pump")
    hand.type("cylinders", "2")
    hand.press("Begin")
    hand.wait_for("Not decided yet", ".outcome")
    depths = list(dict.fromkeys(row["depth"] for row in READINGS))
    for index in (0, 1):
        for place in range(3, len(depths)):
            hand.seen(By.CSS_SELECTOR, f"[value=add-depth-{index}]").click()
            hand.wait(lambda hand, c=index, d=place: hand.is_at(f"c{c}_d{d}"))
    for index, name in enumerate(("1", "2")):
        hand.choose(f"c{index}_readings_as", "dial")
        hand.type(f"c{index}_zero", "62.176" if name == "1" else "62.25")
        for place, depth in enumerate(depths):
            hand.type(f"c{index}_d{place}", depth)
        hand.field(f"c{index}_d0_a0").click()
        rows = [row for row in READINGS if row["cylinder"] == name]
        for depth in depths:
            for axis in ("thrust", "pin"):
                [figure] = [r["dial"] for r in rows if r["depth"] == depth and r["axis"] == axis]
                hand.driver.switch_to.active_element.send_keys(figure, Keys.ENTER)
    hand.type("c1_scratch", "0.0625")
    hand.type("zone_top", "6")
    hand.type("zone_bottom", "78")
    hand.type("w0_low", "0.056")
    hand.type("w0_high", "0.088")
    for place, (low, high) in {1: ("0.25", "0.41"), 2: ("0.28", "0.60")}.items():
        hand.type(f"w{place}_low", low)  # the new job has a blank for every window that it needs
        hand.type(f"w{place}_high", high)
    hand.type("w3_high", "0.020")
    hand.type("w4_high", "0.030")
    hand.wait_for("The plan, proven best", ".outcome")
    hand.wait_for("kept", "#kept")
    assert "PP-" in hand.text(".outcome")
    hand.picture("typed_in")
    before = hand.text(".outcome")
    hand.type("w0_high", "0.060")  # a window is changed, and the plan follows
    hand.wait(lambda hand: hand.text(".outcome") != before)
    hand.picture("window_changed")
    hand.driver.refresh()
    assert hand.field("w0_high").get_attribute("value") == "0.060"


def test_a_wrong_reading_is_shown_where_it_was_typed(hand: Hand) -> None:
    example(hand)
    hand.type("c0_d1_a0", "0.92")
    hand.wait_for("far from what the others", "#c0_d1_a0-mark")
    assert hand.field("c0_d1_a0").get_attribute("aria-invalid") == "true"
    hand.picture("wrong_reading")
    hand.type("c0_d1_a0", "0.092")
    hand.wait(lambda hand: hand.text("#c0_d1_a0-mark") == "")
    hand.wait_for("The plan, proven best", ".outcome")


def test_five_passes_at_the_hone(hand: Hand) -> None:
    job = example(hand)
    hand.go(f"{job}/hone?cylinder=1")
    rows = [row for row in READINGS if row["cylinder"] == "1"]
    for done in range(1, 6):
        hand.type("count", "12")
        hand.type("stones", "220")
        for place, row in enumerate(rows):
            hand.type(f"r{place}", f"{float(row['dial']) + 0.011 * done:.3f}")
        hand.press("Enter this pass")
        hand.wait(lambda hand: not hand.field("count").get_attribute("value"))
    assert "to the next check" in hand.text()
    big = hand.driver.find_element(By.CSS_SELECTOR, ".dials b")
    assert float(big.value_of_css_property("font-size").removesuffix("px")) >= 35
    hand.wait(lambda hand: hand.driver.execute_script(PICTURES_ARE_THERE))
    hand.picture("hone_after_five_passes")
    hand.go(f"{job}/hone/log")
    assert "5 entries" in hand.text()


def test_reports_and_the_counter(hand: Hand) -> None:
    job = example(hand)
    for verb in ("pick", "why", "alternatives", "plan", "ladder", "bore"):
        hand.go(f"{job}/report/{verb}")
        hand.wait(lambda hand: hand.driver.execute_script(PICTURES_ARE_THERE))
        hand.picture(f"report_{verb}")
    hand.go("/counter?catalogue=brushsaw&bore=44.01&low=0.02&high=0.06&left_open=end_gap")
    assert "fit" in hand.text("h2")
    hand.picture("counter")
    worn = example_of_no_plan(hand)
    hand.go(f"{worn}/report/why")
    hand.picture("why_not")


def example_of_no_plan(hand: Hand) -> str:
    hand.go("/")
    hand.choose("which", "pump/worn_out")
    hand.press("Open a copy")
    hand.wait_for("Nothing fits", ".outcome")
    return str(hand.driver.current_url)


def test_by_keyboard_alone(hand: Hand) -> None:
    """From the first page to a changed plan without a pointer; the focus is always seen."""
    hand.go("/")

    def focused(name: str) -> bool:
        active = hand.driver.switch_to.active_element
        return name in (active.get_attribute("name"), active.text.strip())

    def tab_to(name: str, most: int = 80) -> None:
        for _ in range(most):
            hand.driver.switch_to.active_element.send_keys(Keys.TAB)
            if focused(name):
                outline = hand.driver.switch_to.active_element.value_of_css_property(
                    "outline-style"
                )
                assert outline != "none"
                return
        raise AssertionError(f"{name} is not reached")

    hand.driver.find_element(By.TAG_NAME, "body").send_keys(Keys.TAB)
    assert focused("Skip to the content")
    hand.driver.switch_to.active_element.send_keys(Keys.ENTER)
    tab_to("which")
    hand.driver.switch_to.active_element.send_keys("pump: job")
    tab_to("Open a copy")
    hand.driver.switch_to.active_element.send_keys(Keys.ENTER)
    hand.wait_for("The plan", ".outcome")
    tab_to("c0_scratch")
    before = hand.text(".outcome")
    hand.driver.switch_to.active_element.send_keys("0.2")
    hand.wait(lambda hand: hand.text(".outcome") != before)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_serious_finding_of_axe_core(address: str, tmp_path: Path, scheme: str) -> None:
    more = ["--force-dark-mode", "--blink-settings=preferredColorScheme=0"]
    with browser(tmp_path / "profile", *(more if scheme == "dark" else ())) as driver:
        hand = Hand(driver, address, tmp_path)
        job = example(hand)
        dark = driver.execute_script("return matchMedia('(prefers-color-scheme: dark)').matches")
        assert dark is (scheme == "dark")
        for path in (
            "/",
            "",
            "/text",
            "/hone",
            "/report/pick",
            "/report/plan",
            "/arrived",
            "/sheet",
        ):
            hand.go(f"{job}{path}" if path != "/" else "/")
            assert hand.serious_findings() == [], path
            if scheme == "dark":
                hand.picture(f"dark{path.replace('/', '_')}")
        for path in ("/counter?catalogue=pump&bore=62.5&low=0.05&high=0.09", "/book", "/api"):
            hand.go(path)
            assert hand.serious_findings() == [], path
        assert hand.complaints() == []


@pytest.mark.parametrize(("width", "zoom"), [(390, 100), (1280, 200)])
def test_nothing_runs_off_a_phone_or_a_page_at_200_per_cent(
    address: str, tmp_path: Path, width: int, zoom: int
) -> None:
    """At 200 % a window of 1280 is one of 640 points (WCAG 2.1, 1.4.4 and 1.4.10)."""
    scale = f"--force-device-scale-factor={zoom // 100}"
    with browser(tmp_path / "profile", scale, width=width * 100 // zoom) as driver:
        # A window without a screen may not be made that narrow: the page is, as a phone has it.
        metrics = {"width": width * 100 // zoom, "height": 844, "deviceScaleFactor": 1}
        driver.execute_cdp_cmd(
            "Emulation.setDeviceMetricsOverride", {**metrics, "mobile": width < 500}
        )
        hand = Hand(driver, address, tmp_path)
        job = example(hand)
        for path in ("", "/hone", "/report/pick", "/report/alternatives", "/arrived", "/text"):
            hand.go(f"{job}{path}")
            assert not hand.is_wider_than_the_screen(), path
        for path in ("/", "/counter", "/book", "/api"):
            hand.go(path)
            assert not hand.is_wider_than_the_screen(), path
        hand.go(job)
        small = [
            button.text
            for button in driver.find_elements(By.CSS_SELECTOR, "button, nav a")
            if button.is_displayed() and button.size["height"] < 44
        ]
        assert small == []  # large enough for a glove (WCAG 2.1, 2.5.5)
        driver.save_screenshot(str(hand.pictures / f"page_width_{width}_zoom_{zoom}.png"))


def test_without_script_the_page_works_too(address: str, tmp_path: Path) -> None:
    with browser(tmp_path / "profile", "--blink-settings=scriptEnabled=false") as driver:
        hand = Hand(driver, address, tmp_path)
        hand.go("/")
        hand.choose("which", "pump/job")
        hand.press("Open a copy")
        hand.wait_for("The plan, proven best", ".outcome")
        hand.type("c0_scratch", "0.2")
        hand.press("Save and decide")
        hand.wait_for("found a scratch")  # doubted, and kept as it was typed
        assert hand.field("c0_scratch").get_attribute("value") == "0.2"
