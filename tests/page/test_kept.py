"""Nothing typed is lost: the program ended and started again, no network for long, two windows."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import httpx
import pytest

from .serving import served

selenium = pytest.importorskip("selenium", reason="selenium is not installed")

from .browser import Hand, browser, needed  # noqa: E402

pytestmark = needed

SCRATCH, OTHER = "cylinder.0.scratch", "cylinder.1.squish.measured"
#: The clock of the browser runs so many times as fast: ten minutes are three seconds.
FASTER = 200
FAST = f"const real = window.setTimeout; window.setTimeout = (f, ms) => real(f, ms / {FASTER});"


class Program:
    """The page on one port, to be ended and started again."""

    def __init__(self, folder: Path) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self.folder, self.running = folder, ExitStack()

    def start(self) -> None:
        self.running.enter_context(served(self.folder, "--port", str(self.port)))

    def end(self) -> None:
        self.running.close()


@pytest.fixture(scope="module")
def program(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Program]:
    found = Program(tmp_path_factory.mktemp("served"))
    found.start()
    yield found
    found.end()


@pytest.fixture(scope="module")
def hand(program: Program, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Hand]:
    with browser(tmp_path_factory.mktemp("profile")) as driver:
        address = f"http://127.0.0.1:{program.port}"
        yield Hand(driver, address, tmp_path_factory.mktemp("pictures"))


def example(hand: Hand) -> str:
    made = httpx.post(f"{hand.address}/jobs/example", data={"which": "pump/job"})
    hand.go(made.headers["location"])
    hand.wait(
        lambda hand: hand.driver.execute_script("return !!document.querySelector('#answer table')")
    )
    return str(hand.driver.current_url)


def value(hand: Hand, name: str) -> object:
    return hand.driver.execute_script(
        "return document.getElementsByName(arguments[0])[0].value", name
    )


def wait_until_in_the_job(hand: Hand, job: str, *figures: str) -> None:
    """Wait until the job on the disk has the figures."""
    hand.wait(lambda _: all(one in httpx.get(f"{job}/text").text for one in figures))


def wait_until_kept(hand: Hand) -> None:
    hand.wait(lambda hand: hand.text("#kept") in ("kept", "the answer below is of before"))


def network(hand: Hand, on: bool) -> None:
    through = -1 if on else 0
    hand.driver.execute_cdp_cmd("Network.enable", {})
    hand.driver.execute_cdp_cmd(
        "Network.emulateNetworkConditions",
        {
            "offline": not on,
            "latency": 0,
            "downloadThroughput": through,
            "uploadThroughput": through,
        },
    )


def test_no_network_for_ten_minutes(hand: Hand) -> None:
    job = example(hand)
    made = hand.driver.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": FAST})
    try:
        hand.go(job)
        network(hand, on=False)
        hand.type(SCRATCH, "0.031")
        gone = hand.driver.execute_script("return performance.now()")
        passed = "return (performance.now() - arguments[0]) / 1000"  # seconds
        hand.wait(lambda hand: hand.driver.execute_script(passed, gone) * FASTER >= 600)
        hand.type(OTHER, "1.07")  # typed at its end, the first one is not forgotten
        assert "cannot be reached" in hand.text("#kept") and value(hand, SCRATCH) == "0.031"
        network(hand, on=True)
        wait_until_kept(hand)
    finally:
        network(hand, on=True)
        hand.driver.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", made)
    wait_until_in_the_job(hand, job, "0.031", "1.07")


def test_two_windows_on_one_job(hand: Hand) -> None:
    """Both keep what they typed while there was no network; what the other changed is asked."""
    job = example(hand)
    first = hand.driver.current_window_handle
    hand.driver.switch_to.new_window("tab")
    second = hand.driver.current_window_handle
    hand.go(job)
    network(hand, on=False)
    hand.type(OTHER, "1.08")
    hand.wait_for("cannot be reached", "#kept")
    hand.driver.switch_to.window(first)
    network(hand, on=False)
    hand.type(SCRATCH, "0.041")
    hand.wait_for("cannot be reached", "#kept")
    hand.driver.close()  # what was typed in it is sent by the other, or when it is opened again
    hand.driver.switch_to.window(second)
    network(hand, on=True)
    hand.go(job)
    wait_until_in_the_job(hand, job, "1.08", "0.041")
    network(hand, on=False)
    hand.type(SCRATCH, "0.042")
    hand.wait_for("cannot be reached", "#kept")
    hand.driver.get("about:blank")
    network(hand, on=True)
    version = httpx.get(job).text.partition('name="version" value="')[2][:16]
    httpx.post(f"{job}/keep", data={"version": version, SCRATCH: "0.05"})
    hand.go(job)
    hand.wait_for("0.05 was entered elsewhere", "#offered")
    assert value(hand, SCRATCH) == "0.05"
    hand.press("Put 0.042 in")
    wait_until_in_the_job(hand, job, "0.042")


def test_a_refused_figure_and_a_pass_half_typed_stay(hand: Hand) -> None:
    job = example(hand)
    hand.type("read.0.1.0", "0.9.2")
    hand.wait(lambda hand: hand.field("read.0.1.0").get_attribute("aria-invalid") == "true")
    hand.driver.refresh()
    assert value(hand, "read.0.1.0") == "0.9.2"
    assert hand.field("read.0.1.0").get_attribute("aria-invalid") == "true"
    hand.type("read.0.1.0", "0.092")
    wait_until_kept(hand)
    hand.go(f"{job}/machine?cylinder=1")
    hand.type("count", "12")
    hand.type("r0", "0.085")
    hand.go("/jobs")
    hand.driver.back()
    assert (value(hand, "count"), value(hand, "r0")) == ("12", "0.085")
    hand.driver.refresh()
    assert (value(hand, "count"), value(hand, "r0")) == ("12", "0.085")


def test_the_program_is_started_again_while_one_types(hand: Hand, program: Program) -> None:
    """Figures stay while it is away, also through a reload, and are sent when it is back."""
    job = example(hand)
    controlled = "return !!navigator.serviceWorker.controller"
    hand.wait(lambda hand: hand.driver.execute_script(controlled))
    installs = hand.driver.execute_cdp_cmd("Page.getInstallabilityErrors", {})
    assert installs["installabilityErrors"] == []
    hand.type(OTHER, "1,05")
    wait_until_kept(hand)
    copied = "return caches.match(location.href).then(a => a ? a.text() : '')"
    hand.wait(lambda hand: "1,05" in hand.driver.execute_script(copied))
    program.end()
    hand.type(SCRATCH, "0.011")
    hand.wait_for("cannot be reached", "#kept")
    hand.driver.refresh()  # nobody answers: the browser's own copy
    hand.wait_for("as it was last seen here", "#away")
    assert (value(hand, SCRATCH), value(hand, OTHER)) == ("0.011", "1,05")
    hand.type("read.0.1.0", "0.093")  # and typing goes on
    hand.picture("away")
    hand.go("/nowhere")
    hand.wait_for("cannot be reached")
    hand.go(job)
    assert value(hand, "read.0.1.0") == "0.093"
    program.start()
    wait_until_in_the_job(hand, job, "0.011", "0.093")
    hand.wait(lambda hand: not hand.driver.find_element("id", "away").is_displayed())
