"""A real browser without a screen, and what one does in it."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from axe_core_python.selenium import Axe
from selenium import webdriver
from selenium.common.exceptions import NoSuchElementException, StaleElementReferenceException
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By
from selenium.webdriver.support.ui import Select, WebDriverWait

CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
#: Where pictures are kept to be looked at; without it they go with the test's own folder.
ARTEFACTS = os.environ.get("FITSOLVER_ARTEFACTS")
#: Rules of axe-core that look at colours.
OF_COLOUR = ("color-contrast", "link-in-text-block")
_OPTIONS = (
    "--headless=new",
    "--no-sandbox",  # the tests may run as root in a container
    "--disable-gpu",
    "--disable-quic",
    "--disable-dev-shm-usage",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--force-prefers-reduced-motion",
)

needed = pytest.mark.skipif(
    CHROMIUM is None or DRIVER is None, reason="chromium and chromedriver are not installed"
)


@contextmanager
def browser(folder: Path, *more: str, width: int = 1280, height: int = 900) -> Iterator[Any]:
    """Open a browser with an empty profile in `folder`."""
    options = webdriver.ChromeOptions()
    options.binary_location = str(CHROMIUM)
    for option in (
        *_OPTIONS,
        *more,
        f"--user-data-dir={folder}",
        f"--window-size={width},{height}",
    ):
        options.add_argument(option)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    driver = webdriver.Chrome(options=options, service=Service(str(DRIVER)))
    try:
        yield driver
    finally:
        driver.quit()


class Hand:
    """What a person does on the page."""

    def __init__(self, driver: Any, address: str, pictures: Path) -> None:
        self.driver, self.address = driver, address
        self.pictures = Path(ARTEFACTS) if ARTEFACTS else pictures
        self.pictures.mkdir(parents=True, exist_ok=True)

    def go(self, path: str) -> None:
        self.driver.get(path if path.startswith("http") else self.address + path)

    def field(self, name: str) -> Any:
        return self.seen(By.NAME, name)

    def seen(self, by: str, what: str) -> Any:
        """Return what is there, scrolled to where nothing lies over it."""
        found = self.driver.find_element(by, what)
        self.driver.execute_script("arguments[0].scrollIntoView({block: 'center'})", found)
        return found

    def has(self, name: str) -> bool:
        return bool(self.driver.find_elements(By.NAME, name))

    def is_at(self, name: str) -> bool:
        """Tell whether a field of that name is there, and what is typed goes into it."""
        return bool(self.driver.switch_to.active_element.get_attribute("name") == name)

    def type(self, name: str, text: str) -> None:
        field = self.field(name)
        field.clear()
        field.send_keys(text)

    def choose(self, name: str, value: str) -> None:
        options = Select(self.field(name)).options
        next(item for item in options if item.get_attribute("value") == value).click()

    def press(self, label: str) -> None:
        self.seen(By.XPATH, f"//button[normalize-space()='{label}']").click()

    def text(self, selector: str = "main") -> str:
        return str(self.driver.find_element(By.CSS_SELECTOR, selector).text)

    def wait(self, seen: Callable[[Hand], object]) -> None:
        passing = (StaleElementReferenceException, NoSuchElementException)  # the page is changing
        WebDriverWait(self.driver, 30, 0.1, passing).until(lambda _: seen(self))

    def wait_for(self, said: str, selector: str = "main") -> None:
        self.wait(lambda hand: said in hand.text(selector))

    def picture(self, name: str) -> Path:
        """Keep a picture of the whole page."""
        size = self.driver.get_window_size()
        tall = self.driver.execute_script("return document.documentElement.scrollHeight")
        self.driver.set_window_size(size["width"], min(max(tall + 150, size["height"]), 6000))
        path = self.pictures / f"page_{name}.png"
        assert self.driver.save_screenshot(str(path))
        self.driver.set_window_size(size["width"], size["height"])
        return path

    def is_wider_than_the_screen(self) -> bool:
        return bool(
            self.driver.execute_script(
                "return document.documentElement.scrollWidth > window.innerWidth + 1"
            )
        )

    def scheme(self, scheme: str) -> None:
        """See the page as one who prefers "light" or "dark" does."""
        told = {"features": [{"name": "prefers-color-scheme", "value": scheme}]}
        self.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", told)

    def size(self, width: int, height: int, *, scale: int = 1, phone: bool = False) -> None:
        """See the page on a screen of that many points."""
        metrics = {"width": width, "height": height, "deviceScaleFactor": scale, "mobile": phone}
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)

    def findings(self, *, of_colour: bool = False) -> list[str]:
        """Return what axe-core finds, of any grade, with all that can be opened open.

        With `of_colour` only by the rules that look at colours: all that another scheme changes.
        """
        opened = "document.querySelectorAll('details').forEach(one => { one.open = true; })"
        self.driver.execute_script(opened)
        options: dict[str, object] = {"resultTypes": ["violations"]}
        if of_colour:
            options["runOnly"] = list(OF_COLOUR)
        return [
            f"{item['impact']} {item['id']}: {item['help']}: {item['nodes'][0]['target']}"
            for item in Axe().run(self.driver, options=options)["violations"]
        ]

    def complaints(self) -> list[str]:
        """Return what the browser's own log says since it was last asked."""
        return [entry["message"] for entry in self.driver.get_log("browser")]
