"""Headless Chromium from the distribution's packages, with no network, for tests that click."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from selenium import webdriver
from selenium.webdriver.chrome.service import Service

CHROMIUM, DRIVER = "/usr/bin/chromium", "/usr/bin/chromedriver"

_ARGUMENTS = (
    "--headless",
    "--no-sandbox",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-extensions",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--host-resolver-rules=MAP * ~NOTFOUND",
)


@contextmanager
def browser(width: int, height: int, *more: str) -> Iterator[webdriver.Chrome]:
    """Give a browser with a window of a size, and end it."""
    for program in (CHROMIUM, DRIVER):
        assert Path(program).exists(), f"{program} is not there: apt-get install chromium chromium-driver"
    with tempfile.TemporaryDirectory() as profile:
        options = webdriver.ChromeOptions()
        options.binary_location = CHROMIUM
        for argument in (*_ARGUMENTS, f"--window-size={width},{height}", f"--user-data-dir={profile}", *more):
            options.add_argument(argument)
        options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
        driver = webdriver.Chrome(options=options, service=Service(DRIVER))
        try:
            yield driver
        finally:
            driver.quit()
