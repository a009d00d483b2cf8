"""Draws README's picture of the page anew: `python -m tests.look.picture` writes hulls/look.png."""

import io
import tempfile
from pathlib import Path

from PIL import Image

from templates_gen.checking import findings
from templates_gen.hull.reader import read_hull
from templates_gen.look.page import page_html
from tests.flow import boat_of
from tests.look.browser import browser

ROOT = Path(__file__).resolve().parent.parent.parent
WIDTH, HEIGHT = 1180, 820


def main() -> None:
    """Write the picture: a tablet held level, the dinghy with six strakes hung, strake 4 alone, its figures."""
    boat = boat_of(read_hull(ROOT / "hulls" / "dinghy.toml"))
    with tempfile.TemporaryDirectory() as folder, browser(WIDTH, HEIGHT) as driver:
        path = Path(folder) / "boat.html"
        path.write_bytes(page_html(boat, findings(boat)))
        size = {"width": WIDTH, "height": HEIGHT, "deviceScaleFactor": 1, "mobile": False}
        driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        driver.get(path.as_uri())
        driver.execute_script("hang(6); pick({ strake: 4 }); isolate(null)")
        image = Image.open(io.BytesIO(driver.get_screenshot_as_png())).convert("RGB")
    image.quantize(64, dither=Image.Dither.NONE).save(ROOT / "hulls" / "look.png", optimize=True)


if __name__ == "__main__":
    main()
