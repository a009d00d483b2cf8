"""Headless Chromium from the distribution's packages, with no network, for tests that click.

Where no browser is installed these tests are skipped and say which packages bring one; `.ci/run` installs it, and
fails when a test was skipped.
"""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
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
    "--host-resolver-rules=MAP * ~NOTFOUND",
)
_WITH_3D = ("--use-angle=swiftshader", "--enable-unsafe-swiftshader")
WITHOUT_3D = ("--disable-3d-apis", "--disable-gpu", "--disable-software-rasterizer")
"""A page is loaded in a sixth of the processor time so: without a graphics card all is drawn by the processor."""

COARSE = "--webgl-msaa-sample-count=0"
"""Edges in space are not smoothed: without a graphics card the boat is drawn in half the processor time."""


@contextmanager
def browser(width: int, height: int, *more: str) -> Iterator[webdriver.Chrome]:
    """Yield a browser with a window of this size, pixels, and quit it; skip the test where there is none."""
    if not (Path(CHROMIUM).exists() and Path(DRIVER).exists()):
        pytest.skip("no browser to test the page in: apt-get install chromium chromium-driver")
    with tempfile.TemporaryDirectory() as profile:
        options = webdriver.ChromeOptions()
        options.binary_location = CHROMIUM
        drawing = () if WITHOUT_3D[0] in more else _WITH_3D
        for argument in (
            *_ARGUMENTS,
            *drawing,
            f"--window-size={width},{height}",
            f"--user-data-dir={profile}",
            *more,
        ):
            options.add_argument(argument)
        options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
        driver = webdriver.Chrome(options=options, service=Service(DRIVER))
        try:
            yield driver
        finally:
            driver.quit()
