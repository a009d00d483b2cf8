"""Headless Chromium from the distribution's packages, with no network, for tests that click."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager

from selenium import webdriver
from selenium.webdriver.chrome.service import Service

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
    with tempfile.TemporaryDirectory() as profile:
        options = webdriver.ChromeOptions()
        options.binary_location = "/usr/bin/chromium"
        for argument in (*_ARGUMENTS, f"--window-size={width},{height}", f"--user-data-dir={profile}", *more):
            options.add_argument(argument)
        options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
        driver = webdriver.Chrome(options=options, service=Service("/usr/bin/chromedriver"))
        try:
            yield driver
        finally:
            driver.quit()
