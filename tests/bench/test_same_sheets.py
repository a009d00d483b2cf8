"""The same sheets under another seed of hashes, number of threads, locale, kernel and folder."""

from pathlib import Path

from tests.bench.bench_same_sheets import LAYOUT, Way, differing, files_of, ways
from tests.sweep import sweep

LITTLE = Path(__file__).parents[1] / "data" / "little.toml"


@sweep
def test_the_same_sheets_are_made_in_every_way(tmp_path: Path) -> None:
    known = {way.name: way for way in ways([])}
    plain = files_of(LITTLE, known["plain"], tmp_path / "plain")
    assert {"tiles.json", "moulds.pdf", "strakes.pdf", "measurements.json"} <= plain.keys()
    settings = {"PYTHONHASHSEED": "7", "TZ": "Asia/Kathmandu"}
    for name in ("4 threads", "locale tr_TR.UTF-8", "no UTF-8 mode"):
        settings |= known[name].settings
    assert differing(plain, files_of(LITTLE, Way("all at once", settings), tmp_path / "another folder")) == []
    other = files_of(LITTLE, known["kernel Nehalem"], tmp_path / "kernel")
    assert [name for name in differing(plain, other) if name.endswith(LAYOUT)] == []


def test_a_file_that_differs_or_is_missing_is_noticed() -> None:
    assert differing({"a": b"1", "b": b"2", "c": b"3"}, {"a": b"1", "b": b"0", "d": b""}) == ["b", "c", "d"]
