"""The page in a real browser: typed in, decided, honed, by keyboard alone, on a phone."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

import fitsolver
from fitsolver.reporting.schema import to_json

from .serving import DEMOS, served

selenium = pytest.importorskip("selenium", reason="selenium is not installed")

from selenium.webdriver.common.action_chains import ActionChains  # noqa: E402
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


def decided(hand: Hand) -> bool:
    return bool(
        hand.driver.find_element(By.ID, "verdict").get_dom_attribute("data-decided") == "yes"
    )


def example(hand: Hand, which: str = "pump/job") -> str:
    hand.go("/jobs")
    hand.choose("which", which)
    hand.press("Open a copy")
    hand.wait(decided)
    return str(hand.driver.current_url)


#: The pump's job beside its readings: what a person types, each field ended by Enter.
PUMP = {
    "": {
        "cylinder.0.zero": "62.176",
        "cylinder.1.zero": "62,25",
        "cylinder.1.scratch": ".0625",
        "cylinder.0.squish.measured": ".81",
        "cylinder.1.squish.measured": "1,06",
        "cylinder.0.squish.old_gaskets": ".75",
        "cylinder.1.squish.old_gaskets": ".75",
        "cylinder.0.squish.old_compression_height": "34",
        "cylinder.1.squish.old_compression_height": "33.99",
    },
    "/choose": {
        "in_hand.0.number": "PP-050B",
        "in_hand.0.size": "62.44",
        "in_hand.0.mass": "199.3",
        "terms.needed_in_days": "9",
        "terms.budget": "220",
    },
}
DECIDED = "return document.getElementById('verdict').dataset.decided === 'yes'"


def begin(hand: Hand, engine: str, cylinders: str) -> str:
    hand.go("/jobs")
    hand.choose("catalogue", engine)
    hand.type("cylinders", cylinders)
    hand.press("Begin")
    hand.wait_for("Not decided yet", "#verdict")
    return str(hand.driver.current_url)


def kept(hand: Hand) -> None:
    hand.wait(lambda hand: hand.text("#kept") in ("kept", "the answer below is of before"))


def plan_of(address: str, job: str) -> object:
    answer = httpx.get(f"{job}/answer.json")
    assert answer.status_code == 200, answer.text
    return json.loads(answer.text)["plan"]


def test_the_pump_job_typed_by_hand_is_the_demo(hand: Hand, address: str) -> None:
    """At most 120 keystrokes, 10 taps, no page load: the gauge types the readings."""
    job = begin(hand, "pump / portable pump P62", "2")
    hand.driver.execute_script("window.unmoved = true")
    taps, keys = 0, 0
    depths = list(dict.fromkeys(row["depth"] for row in READINGS))
    hand.driver.find_element(By.ID, "depth.0").click()
    taps += 1
    for depth in [*depths, ""]:  # Enter on an empty depth goes to the first reading
        hand.driver.switch_to.active_element.send_keys(depth, Keys.ENTER)
        keys += len(depth) + 1
    for row in READINGS:  # by the gauge: digits and Enter
        hand.driver.switch_to.active_element.send_keys(row["dial"], Keys.ENTER)
    assert hand.driver.switch_to.active_element.get_attribute("id") == "walked"
    hand.driver.switch_to.active_element.send_keys("0.5", Keys.ENTER)  # once more, by mistake
    for step, fields in PUMP.items():
        if step:
            hand.driver.find_element(By.CSS_SELECTOR, "#steps [data-name=choose]").click()
            taps += 1
            hand.wait(lambda hand: hand.has("in_hand.0.number"))
        for place, (name, text) in enumerate(fields.items()):
            if (place in (0, 2) and not step) or name in (
                "in_hand.0.number",
                "terms.needed_in_days",
            ):
                taps += 1
            hand.field(name).send_keys(text)
            keys += len(text) + 1
        if not step:
            hand.field("cylinder.0.zero_on_piston")
            hand.seen(By.ID, "cylinder.0.zero_on_piston").click()
            taps += 1
    hand.wait(lambda hand: hand.driver.execute_script(DECIDED))
    kept(hand)
    assert hand.driver.execute_script("return window.unmoved") is True  # no page was loaded
    assert (
        plan_of(address, job)
        == json.loads(to_json(fitsolver.pick(DEMOS / "pump/job.toml")))["plan"]
    )
    print(f"pump by hand: {keys} keystrokes, {taps} taps, no page load")
    assert keys <= 120 and taps <= 10
    hand.go(job)
    hand.picture("typed_in")


def test_a_wrong_reading_is_shown_where_it_was_typed(hand: Hand) -> None:
    example(hand)
    hand.type("read.0.1.0", "0.192")
    hand.wait_for("expected about", "#notes")
    assert "old" in hand.driver.find_element(By.ID, "strip").get_attribute("class")
    hand.picture("doubted_reading")
    hand.type("read.0.1.0", "0.9.2")
    hand.wait(lambda hand: hand.field("read.0.1.0").get_attribute("aria-invalid") == "true")
    hand.type("read.0.1.0", "0,092")
    hand.wait(lambda hand: hand.driver.execute_script(DECIDED))


def test_what_is_typed_just_before_leaving_is_kept(hand: Hand) -> None:
    job = example(hand)
    hand.type("cylinder.0.scratch", "0.01")
    hand.go("/jobs")
    hand.go(job)
    assert hand.field("cylinder.0.scratch").get_attribute("value") == "0.01"
    hand.type("cylinder.0.scratch", "0.02")
    hand.driver.refresh()
    assert hand.field("cylinder.0.scratch").get_attribute("value") == "0.02"
    hand.driver.back()
    hand.driver.forward()
    hand.wait(lambda hand: hand.field("cylinder.0.scratch").get_attribute("value") == "0.02")


def test_while_the_page_cannot_be_reached_what_is_typed_stays(hand: Hand) -> None:
    job = example(hand)
    net = {"offline": True, "latency": 0, "downloadThroughput": 0, "uploadThroughput": 0}
    hand.driver.execute_cdp_cmd("Network.enable", {})
    hand.driver.execute_cdp_cmd("Network.emulateNetworkConditions", net)
    hand.type("cylinder.0.scratch", "0.03")
    hand.wait_for("cannot be reached", "#kept")
    on = {**net, "offline": False, "downloadThroughput": -1, "uploadThroughput": -1}
    hand.driver.execute_cdp_cmd("Network.emulateNetworkConditions", on)
    kept(hand)
    hand.go(job)
    assert hand.field("cylinder.0.scratch").get_attribute("value") == "0.03"
    hand.complaints()


def test_five_passes_at_the_hone(hand: Hand) -> None:
    job = example(hand)
    hand.go(f"{job}/machine?cylinder=1")
    rows = [row for row in READINGS if row["cylinder"] == "1"]
    for done in range(1, 6):
        hand.type("count", "12")
        hand.type("stones", "220")
        for place, row in enumerate(rows):
            hand.type(f"r{place}", f"{float(row['dial']) + 0.011 * done:.3f}")
        hand.driver.execute_script("window.unmoved = true")
        hand.press("Enter this pass")
        hand.wait(lambda hand: not hand.field("count").get_attribute("value"))
        assert hand.is_at("count")
        assert hand.driver.execute_script("return window.unmoved") is True  # no page was loaded
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
    hand.go("/counter?catalogue=brushsaw&family=b&sizes=std")
    assert "Why" in hand.text(".told")
    hand.picture("counter")
    worn = example_of_no_plan(hand)
    hand.go(f"{worn}/report/why")
    hand.picture("why_not")


def example_of_no_plan(hand: Hand) -> str:
    hand.go("/jobs")
    hand.choose("which", "pump/worn_out")
    hand.press("Open a copy")
    hand.wait_for("Nothing fits", "#verdict")
    return str(hand.driver.current_url)


#: What has the focus: its words, what it is, and whether it is marked, on the screen, uncovered.
FOCUSED = """
const one = document.activeElement, box = one.getBoundingClientRect();
const [x, y] = [box.left + box.width / 2, box.top + Math.min(box.height / 2, 20)];
const over = document.elementFromPoint(Math.min(Math.max(x, 0), innerWidth - 1), y);
const marked = getComputedStyle(one).outlineStyle !== 'none';
const inside = box.top >= -1 && box.bottom <= innerHeight + 1;
const uncovered = Boolean(over) && (one.contains(over) || over.contains(one));
return {said: one.name || one.textContent.trim(), tag: one.tagName,
  at: one.id + one.name + x + box.top + scrollY, seen: marked && inside && uncovered};
"""


def test_by_keyboard_alone(hand: Hand) -> None:
    """From the first screen through the five steps without a pointer: the focus is always seen,
    and comes out of every step again."""
    hand.size(1024, 768)
    hand.go("/")

    def press(key: str) -> None:
        ActionChains(hand.driver).send_keys(key).perform()

    def tab_to(said: str, most: int = 40) -> None:
        for _ in range(most):
            press(Keys.TAB)
            found = hand.driver.execute_script(FOCUSED)
            if found["said"].startswith(said) and found["tag"] != "SELECT":
                assert found["seen"], found
                return
        raise AssertionError(f"{said} is not reached")

    def walk(most: int) -> int:
        """Press Tab through the whole of a step."""
        hand.driver.execute_script("document.activeElement.blur(); scrollTo(0, 0)")
        stops: list[str] = []
        while len(stops) < most:
            press(Keys.TAB)
            found = hand.driver.execute_script(FOCUSED)
            if found["tag"] == "BODY" or found["at"] in stops[:1]:
                return len(stops)
            assert found["seen"], found
            stops.append(found["at"])
        raise AssertionError("the focus does not come out")

    def is_at_step(name: str) -> None:
        here = f"return document.getElementById('step')?.dataset.step === '{name.lower()}'"
        hand.wait(lambda hand: hand.driver.execute_script(here))

    tab_to("Skip to the content")
    tab_to("Portable pump")
    press(Keys.ENTER)
    hand.wait_for("proven best", "#verdict")
    assert walk(100) > 60
    for step in ("Choose", "Order", "Machine", "Check"):
        tab_to(step)
        press(Keys.ENTER)
        is_at_step(step)
        walk(250)
    tab_to("Measure")
    press(Keys.ENTER)
    hand.wait(lambda hand: hand.has("cylinder.0.scratch"))
    tab_to("cylinder.0.scratch", 60)
    press("0.2")
    hand.wait_for("doubted", "#verdict")
    hand.driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


STEPS = ("", "/choose", "/order", "/machine", "/check", "/text", "/report/pick", "/hone/log")
SHELF = ("/catalogues", "/catalogues/pump", "/catalogues/pump/family", "/intake")
OTHERS = ("/", "/jobs", "/counter", *SHELF, "/book", "/api", "/offline")
#: Also looked at for everyone: a report of few tables, a report that is refused.
REPORTS = ("/report/firm", "/report/plan", "/report/budget")


def test_no_finding_of_axe_core_of_any_grade(hand: Hand) -> None:
    """Every step and every other page, in both colour schemes, all that opens opened."""
    job = example(hand)
    hand.complaints()
    found = []
    for path in (*(job + step for step in (*STEPS, *REPORTS)), f"{job}/sheet", *OTHERS):
        hand.go(path)
        for scheme in ("light", "dark"):
            hand.scheme(scheme)
            told = hand.findings(of_colour=scheme == "dark")
            found += [(path.removeprefix(job), scheme, one) for one in told]
    hand.scheme("light")
    assert found == []
    assert [one for one in hand.complaints() if "/report/budget" not in one] == []  # a refusal


#: What is not on the screen at once of the first reading, the answer and the steps.
TOGETHER = """
const foot = document.getElementById('strip').getBoundingClientRect().top;
const sheet = ['#depth\\\\.0', '#read\\\\.0\\\\.0\\\\.0', '#steps a:last-child'];
return [...sheet, '#answer tbody tr:last-child', '#answer td:last-child']
  .filter(name => {
    const box = document.querySelector(name).getBoundingClientRect();
    const low = sheet.includes(name) ? foot : innerHeight;
    return box.top < 0 || box.right > innerWidth || box.bottom > low;
  });
"""


def test_nothing_runs_off_a_phone_or_a_page_at_200_per_cent(hand: Hand) -> None:
    """At 200 % a window of 1280 is one of 640 points, at 400 % of 320 (WCAG 2.1, 1.4.4, 1.4.10)."""
    job = example(hand)
    wide = []
    for width in (390, 640, 320):
        hand.size(width, 844, scale=2, phone=width == 390)
        for path in (*(job + step for step in STEPS), *OTHERS):
            hand.go(path)
            if hand.is_wider_than_the_screen():
                wide.append((width, path.removeprefix(job)))
        hand.go(job)
        small = [
            button.text
            for button in hand.driver.find_elements(By.CSS_SELECTOR, "button, nav a")
            if button.is_displayed() and button.size["height"] < 44
        ]
        assert small == []  # large enough for a glove (WCAG 2.1, 2.5.5)
        hand.driver.save_screenshot(str(hand.pictures / f"page_width_{width}.png"))
    for width, height in ((768, 1024), (1024, 768)):  # a tablet: the answer whole, beside the work
        hand.size(width, height)
        hand.go(job)
        assert hand.driver.execute_script(TOGETHER) == []
    hand.driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    assert wide == []


def test_without_script_the_page_works_too(address: str, tmp_path: Path) -> None:
    with browser(tmp_path / "profile", "--blink-settings=scriptEnabled=false") as driver:
        hand = Hand(driver, address, tmp_path)
        hand.go("/jobs")
        hand.choose("which", "pump/job")
        hand.press("Open a copy")
        hand.wait_for("proven best", "#verdict")
        hand.type("cylinder.0.scratch", "0.03")
        hand.press("Keep and decide")
        hand.wait_for("proven best", "#verdict")
        assert hand.field("cylinder.0.scratch").get_attribute("value") == "0.03"
