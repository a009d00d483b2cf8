"""Pages of the demonstration boats, and what the tests of the page read and do on them."""

import io
import json
from functools import cache
from pathlib import Path

import numpy as np
from PIL import Image
from selenium.webdriver import Chrome
from selenium.webdriver.common.by import By

from templates_gen.checking import findings
from templates_gen.geometry.boat import Boat
from templates_gen.look.page import page_html
from tests import boats
from tests.flow import boat_of

NAMES = ("dinghy", "double_ender", "pram", "faering")


@cache
def made(name: str) -> Boat:
    return boat_of(getattr(boats, name)())


@cache
def page(name: str) -> bytes:
    return page_html(made(name), findings(made(name)))


def asked_for(driver: Chrome, path: Path) -> list[str]:
    """Everything that a page asked for, from disk or from a network."""
    asked = [json.loads(entry["message"])["message"] for entry in driver.get_log("performance")]
    sent = [a["params"] for a in asked if a["method"] == "Network.requestWillBeSent"]
    return [one["request"]["url"] for one in sent if one["documentURL"] == path.as_uri()]


def asked_of_a_network(driver: Chrome, path: Path) -> list[str]:
    """What a page asked for that is neither on disk nor in the page itself."""
    return [url for url in asked_for(driver, path) if url.partition(":")[0] not in ("file", "data")]


def complaints(driver: Chrome) -> list[str]:
    """What the browser's log says, but for the lack of a drawing context."""
    logged = [entry["message"] for entry in driver.get_log("browser")]
    return [one for one in logged if "WebGL" not in one]


def rows(driver: Chrome) -> list[list[str]]:
    every = "[...document.querySelectorAll('#figures tbody tr')]"
    return driver.execute_script(
        f"return {every}.map(row => [...row.querySelectorAll('td')].map(at => at.innerText))"
    )


def heading(driver: Chrome) -> str:
    return driver.find_element(By.ID, "what").text


def click_on_body_plan(driver: Chrome, selector: str) -> None:
    # an SVG element is clicked where it is, under whatever lies over it, as a finger does on the uppermost one
    driver.execute_script(
        "document.querySelector(arguments[0]).dispatchEvent(new MouseEvent('click', {bubbles: true}))", selector
    )


def picture(driver: Chrome) -> np.ndarray:
    canvas = driver.find_element(By.ID, "scene")
    return np.asarray(Image.open(io.BytesIO(canvas.screenshot_as_png)).convert("RGB"), dtype=np.int16)


def choose(driver: Chrome, way: str) -> None:
    driver.execute_script(
        "const s = document.getElementById('colour'); s.value = arguments[0]; s.dispatchEvent(new Event('change'))",
        way,
    )


def text(driver: Chrome, name: str) -> str:
    """What an element shows, by its id."""
    return driver.find_element(By.ID, name).text


def is_shown(driver: Chrome, name: str) -> bool:
    """Whether an element is seen, by its id."""
    return driver.find_element(By.ID, name).is_displayed()


def wait_until(driver: Chrome, condition: str) -> None:
    """Wait for what the browser does in its own time, such as events, until a condition of the page holds."""
    driver.execute_async_script(
        f"const done = arguments[0]; const look = () => ({condition}) ? done() : setTimeout(look, 20); look();"
    )
