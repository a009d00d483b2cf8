"""The Measure view of the page in a browser, as a builder uses it: tapping, saving, opening files."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import Any

from selenium.common.exceptions import StaleElementReferenceException
from selenium.webdriver import Chrome
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import WebDriverWait

from templates_gen.geometry.as_built.boat import drawn_widths
from templates_gen.hull.measured.as_built import AsBuilt, place_names, read_as_built
from templates_gen.hull.model import Hull
from templates_gen.look.page import page_html
from templates_gen.pipeline import hull_of
from tests.flow import boat_of, shell_of

HULLS = Path(__file__).resolve().parents[2] / "hulls"
TAP = """
for (const selector of arguments[0]) {
  const node = document.querySelector(`#panel-measure ${selector}`);
  // what may lie under the keys is scrolled to the top first, as a builder does
  if (!node.closest(".keypad")) node.scrollIntoView({ block: "start" });
  const box = node.getBoundingClientRect();
  const top = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
  if (top !== node && !node.contains(top)) throw new Error(`${selector} is covered`);
  node.focus();
  node.click();
}
"""
OFTEN = 0.02
"""Seconds from one look to the next at whether the browser has done what is waited for."""

SIZES = {"phone": (390, 844), "tablet": (820, 1180), "desk": (1440, 900)}
HAND = """format = 1
units = "mm"
stock = 6.5
[strake.1]
lap = 17.5
[strake.1.starboard]
above_mark = { fore = -1, 1 = -0.5, 2 = 0, 3 = 1, 4 = 1.5, aft = 2 }
[strake.1.port]
above_mark = { aft = -0.5, 4 = 0, 3 = -0.5, 2 = 1.5, 1 = 10.5, fore = 1 }
sure = [1]
[strake.2.port]
toward_sheer = { fore = 1.5, 1 = 2, 2 = 2.5, 3 = 2, 4 = 1, aft = 0.5 }
[strake.2.starboard]
toward_keel = { fore = 1.5, 1 = 1.5, 2 = 1, 3 = 1 }
"""


@cache
def hull_named(name: str) -> Hull:
    return hull_of(HULLS / f"{name}.toml")


@cache
def page(name: str) -> bytes:
    return page_html(boat_of(hull_named(name)), ())


@dataclass
class Measuring:
    """The Measure view in a browser, as a builder uses it."""

    driver: Chrome
    folder: Path

    def open(self, hull: str, html: bytes | None = None) -> None:
        """Open a boat's page at the view, with nothing kept from before."""
        (self.folder / f"{hull}.html").write_bytes(html or page(hull))
        # all pages on the disk share what is kept: it is cleared by one that has nothing else to load
        empty = self.folder / "empty.html"
        empty.write_text("<!doctype html><title>empty</title>", encoding="utf-8")
        self.driver.get(empty.as_uri())
        self.driver.execute_script("localStorage.clear()")
        self._open(hull)

    def reopen(self, hull: str) -> None:
        """Close the page and open it again."""
        self.driver.get("about:blank")
        self._open(hull)

    def _open(self, hull: str) -> None:
        self.driver.get((self.folder / f"{hull}.html").as_uri())
        self.driver.find_element(By.ID, "tab-measure").click()

    def one(self, selector: str) -> Any:
        return self.driver.find_element(By.CSS_SELECTOR, f"#panel-measure {selector}")

    def every(self, selector: str) -> list[Any]:
        return self.driver.find_elements(By.CSS_SELECTOR, f"#panel-measure {selector}")

    def tap(self, *selectors: str) -> None:
        """Tap one thing after another."""
        self.driver.execute_script(TAP, selectors)

    def key(self, keys: Sequence[str]) -> None:
        self.tap(*(f'[data-key="{key}"]' for key in keys))

    def mark(self, *lengths: float) -> None:
        """Tap figures in mm with their directions, one after another: + is toward the sheer."""
        taps: list[str] = []
        for length in lengths:
            whole, half = divmod(abs(length), 1.0)
            keys = [*(f"{whole:.0f}" if whole else ""), *("½" if half else "")] if length else ["on its mark"]
            taps += [f'[data-key="{key}"]' for key in keys]
            taps += [f'[data-way="{"sheer" if length > 0.0 else "keel"}"]'] if length else []
        self.tap(*taps)

    def field(self, name: str) -> str:
        """The selector of a field by the beginning of its name."""
        return f'.field[aria-label^="{name}"]'

    def label(self, name: str) -> str:
        """What a field says of itself, in one look: the view may draw itself anew between two."""
        script = "return document.querySelector(`#panel-measure ${arguments[0]}`).ariaLabel"
        return str(self.driver.execute_script(script, self.field(name)))

    def fields(self) -> list[str]:
        script = "return [...document.querySelectorAll('#panel-measure .field')].map((one) => one.ariaLabel)"
        return list(self.driver.execute_script(script))

    def send_file(self, text: str) -> None:
        """Open a saved file with this text."""
        path = self.folder / "to open.txt"
        path.write_text(text, encoding="utf-8")
        message = "document.querySelector('#panel-measure .saved').textContent"
        self.driver.execute_script(f"{message} = ''")
        with suppress(StaleElementReferenceException):  # the view may be drawn anew before the driver has its answer
            self.one("input[type=file]").send_keys(str(path))
        WebDriverWait(self.driver, 20, OFTEN).until(lambda driver: driver.execute_script(f"return {message}"))

    def save(self) -> str:
        """Save the file, and return what was downloaded."""
        for old in self.folder.glob("*.toml"):
            old.unlink()
        self.tap("[data-save]")
        WebDriverWait(self.driver, 20, OFTEN).until(lambda _: [*self.folder.glob("*.toml")])
        (path,) = self.folder.glob("*.toml")
        return path.read_text(encoding="utf-8")


def read(hull: Hull, path: Path, text: str) -> AsBuilt:
    """What the program reads in a file, less what its bytes alone decide."""
    path.write_text(text, encoding="utf-8")
    measured = read_as_built(path, hull, drawn_widths(shell_of(hull)))
    return replace(measured, fingerprint="", source=None)


def tap_hand(view: Measuring, hull: Hull) -> None:
    """Tap the figures of HAND, in the order in which one walks round the boat."""
    one = read(hull, view.folder / "by hand.txt", HAND)
    places = place_names(hull)
    for strake in one.strakes:
        for side, order in (("port", places), ("starboard", places[::-1])):
            figures = strake.sides[side].above_mark  # type: ignore[index]
            for is_given, run in groupby(order, figures.__contains__):
                if is_given:
                    view.mark(*(figures[place] for place in run))
                    continue
                for _ in run:
                    view.driver.switch_to.active_element.send_keys(Keys.ARROW_DOWN)
        if strake.number == 1:
            view.tap(view.field("lap set off"))
            view.key(["1", "7", ".", "5"])
            view.tap(view.field("stock still"))
            view.key(["6", ".", "5"])
        view.tap('[aria-label="the strake above"]')
