"""The Measure view in headless Firefox: what is tapped is kept and written as in Chromium, at three sizes."""

from itertools import combinations
from pathlib import Path

import pytest

from tests.look.firefox import Firefox
from tests.look.measuring import SIZES, TAP, page
from tests.look.test_measure import RECTS, overlap
from tests.look.test_measure_rule import CLOSE, JUDGE, RULE, case, data_of, program
from tests.sweep import sweep

pytestmark = sweep

TAPPED = (
    '[data-key="1"]', '[data-key="½"]', '[data-way="sheer"]', '[data-key="2"]', '[data-way="sheer"]',
    '[data-key="on its mark"]', '[data-key="1"]', '[data-key="2"]', '[data-way="keel"]',
    '[data-key="1"]', '[data-way="sheer"]', '[data-key="1"]', '[data-way="sheer"]', '[data-key="1"]',
)  # fmt: skip
WRITTEN = "toward_sheer = { fore = 1.5, 1 = 2, 2 = 0, 4 = 1, 5 = 1 }\ntoward_keel = { 3 = 12 }\n"
LABELS = "return [...document.querySelectorAll('#panel-measure .field')].map((one) => one.getAttribute('aria-label'))"


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> str:
    path: Path = tmp_path_factory.mktemp("firefox") / "boat.html"
    path.write_bytes(page("dinghy"))
    return f"{path.as_uri()}#measure"


def test_figures_are_tapped_marked_and_kept_when_the_page_is_closed(window: Firefox, address: str) -> None:
    window.get(address)
    window.run(TAP, ['[data-apart="false"]', *TAPPED])
    for _ in range(2):
        labels = window.run(LABELS)
        assert labels[3] == "both sides, mould 3: 12, toward keel, measure again"
        assert labels[6] == "both sides, transom: 1, which way?"
        assert WRITTEN in window.run("return document.querySelector('#panel-measure textarea').value")
        window.get("about:blank")
        window.get(address)


def test_page_and_program_agree(window: Firefox, address: str) -> None:
    window.get(address)
    cases = [case("dinghy", seed) for seed in range(8)]
    results = window.run(RULE + JUDGE, {"dinghy": data_of("dinghy")}, [one.for_page for one in cases])
    for one, found in zip(cases, results, strict=True):
        result = program(one)
        assert [(slip["strake"], slip["place"]) for slip in found["slips"]] == [
            (slip.strake, slip.place) for slip in result.slips
        ]
        assert [slip["expected"] for slip in found["slips"]] == pytest.approx(
            [slip.expected for slip in result.slips], abs=CLOSE[bool(one.measured.moulds)]
        )
        assert [(m["what"], m["strake"]) for m in found["mistakes"]] == [(m.what, m.strake) for m in result.mistakes]


@pytest.mark.parametrize("size", SIZES)
def test_nothing_overlaps(window: Firefox, address: str, size: str) -> None:
    window.resize(*SIZES[size])
    window.get(address)
    for mode in ("hung", "spiling"):
        window.run(TAP, [f'[data-mode="{mode}"]'])
        assert window.run("return document.documentElement.scrollWidth <= window.innerWidth")
        for group in (".work", ".keypad"):
            boxes = window.run(RECTS, group)
            assert len(boxes) > 5
            assert all(box["height"] >= 43.9 for box in boxes)
            assert not [pair for pair in combinations(boxes, 2) if overlap(*pair)]
