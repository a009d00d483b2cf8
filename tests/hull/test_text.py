"""Files that are no hull files at all: one fault each."""

from collections.abc import Callable
from pathlib import Path

import pytest

from templates_gen.errors import Fault, HullFileError
from templates_gen.hull.reader import read_hull

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]


@pytest.mark.parametrize(
    ("content", "line", "words"),
    [
        (b'name = "\xff"', 1, "not plain text in UTF-8"),
        (b'format = 1\nname = "x\n', 2, "this is not TOML"),
        (b"format = 1\n[keel\njoint = 3", 2, "this is not TOML"),
        (b"a = 1\na = 2", 2, "in the file twice"),
        (b"a = [1,\n2,\n", 3, "this is not TOML"),
        (b"a = " + b"[" * 100_000, 0, "nested more than 20 deep"),
        (b"a = " + b"[" * 30 + b"]" * 30, 0, "nested more than 20 deep"),
        (b"\nb = " + b"9" * 5000, 2, "a number has thousands of digits"),
        (b"# " + b"x" * 1_000_000, 1, "too large for a hull file"),
        (b"\x00", 1, "this is not TOML"),
    ],
    ids=["latin", "quote", "bracket", "twice", "cut off", "endless", "deep", "digits", "large", "zero byte"],
)
def test_what_is_no_hull_file_at_all_is_one_fault(content: bytes, line: int, words: str, faults_of: FaultsOf) -> None:
    (fault,) = faults_of(content)
    assert fault.line == line
    assert words in fault.text


def test_a_file_that_cannot_be_read_is_one_fault(tmp_path: Path) -> None:
    for path, words in (
        (tmp_path / "none.toml", "there is no such file"),
        (tmp_path, "this is a folder"),
        (Path("/dev/null"), "not an ordinary file"),
        (Path("a\0b"), "cannot be read"),
        (tmp_path / ("x" * 300), "cannot be read"),
    ):
        with pytest.raises(HullFileError) as raised:
            read_hull(path)
        (fault,) = raised.value.faults
        assert words in fault.text
        assert fault.file.isprintable()


def test_a_file_that_may_not_be_opened_is_one_fault(
    sound: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    path = tmp_path / "boat.toml"
    path.write_text(sound)
    monkeypatch.setattr(Path, "open", refused)
    with pytest.raises(HullFileError, match="cannot be read: Permission denied"):
        read_hull(path)


def test_a_file_too_large_for_its_stations_is_faulted_at_the_first_too_many_with_their_count(
    faults_of: FaultsOf,
) -> None:
    one = '[[station]]\nname = "{}"\nat = 1.0\n' + "# " + "x" * 200 + "\nrabbet = [1, 2]\n\n"
    (fault,) = faults_of("format = 1\n" + "".join(one.format(n) for n in range(10_000)))
    assert fault.line == 1 + 200 * 6 + 1
    assert fault.value == "10000"
    assert "10000 stations" in fault.text
    assert fault.expected == "at most 200 stations"
