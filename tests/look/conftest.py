"""Browsers and pages that the tests of the page share: one session serves many of them."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from selenium.webdriver import Chrome

from tests.look.browser import COARSE, WITHOUT_3D, browser
from tests.look.firefox import Firefox, firefox
from tests.look.measuring import SIZES, Measuring
from tests.look.pages import asked_of_a_network, complaints, page
from tests.sweep import more


@pytest.fixture(scope="session")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Chrome]:
    """The dinghy's page."""
    path = tmp_path_factory.mktemp("look") / "boat.html"
    path.write_bytes(page("dinghy"))
    with browser(900, 640, COARSE) as driver:
        driver.get(path.as_uri())
        yield driver
        assert [entry["message"] for entry in driver.get_log("browser")] == []
        assert asked_of_a_network(driver, path) == []


@pytest.fixture(scope="session")
def browser_without_3d() -> Iterator[Chrome]:
    """A browser that draws nothing in space."""
    with browser(1280, 900, *WITHOUT_3D) as driver:
        yield driver


@pytest.fixture(scope="session", params=["dinghy", *more("double_ender")])
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[str, str]:
    """A boat's name, and the address of its page."""
    path = tmp_path_factory.mktemp("read") / "boat.html"
    path.write_bytes(page(request.param))
    return request.param, path.as_uri()


@pytest.fixture
def read(written: tuple[str, str], browser_without_3d: Chrome) -> tuple[str, Chrome]:
    """A boat's name, and its page for its figures, which need no drawing."""
    name, address = written
    if browser_without_3d.current_url != address:
        browser_without_3d.get(address)
    browser_without_3d.execute_script("tabs.show('boat')")
    return name, browser_without_3d


@pytest.fixture
def plain(browser_without_3d: Chrome) -> Chrome:
    """A browser for pages of their own that need no drawing in space, its log empty."""
    browser_without_3d.get_log("browser")
    return browser_without_3d


@pytest.fixture(scope="session")
def only_browser() -> Iterator[Chrome]:
    """A browser for pages of their own."""
    with browser(800, 600, COARSE) as driver:
        yield driver


@pytest.fixture
def small(only_browser: Chrome) -> Chrome:
    """A browser that several tests share, its log empty."""
    only_browser.get_log("browser")
    return only_browser


@pytest.fixture
def own_page(tmp_path: Path) -> Path:
    """Where a test writes a page of its own."""
    return tmp_path / "boat.html"


@pytest.fixture(scope="session")
def window() -> Iterator[Firefox]:
    """One Firefox that the tests share."""
    with firefox(*SIZES["tablet"]) as one:
        yield one


@pytest.fixture(scope="session")
def view(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Measuring]:
    """One browser that the tests share; it keeps what it downloads in a folder."""
    folder = tmp_path_factory.mktemp("measure")
    with browser(*SIZES["tablet"], *WITHOUT_3D) as driver:
        driver.execute_cdp_cmd("Browser.setDownloadBehavior", {"behavior": "allow", "downloadPath": str(folder)})
        yield Measuring(driver, folder)
        assert complaints(driver) == []
