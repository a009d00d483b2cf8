"""A hundred hostile inputs, those that once failed, and that the guard notices what it guards against."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.fuzz import guard
from tests.fuzz.guard import fault_of, guarded_fault
from tests.fuzz.inputs import KINDS, Input, input_of, made_input

FAILURES = sorted((Path(__file__).parents[1] / "data" / "hostile").glob("*.json"))
SEED, COUNT = 20261129, 100
QUICK = ("offsets", "start", "scale-page", "mend")
"""Commands that read and do no more than a second's work."""


def quick_inputs() -> Iterator[Input]:
    """Yield a hundred inputs, all but four of them of commands that only read."""
    slow = 4
    count = number = 0
    while count < COUNT:
        one = made_input(SEED, number)
        is_slow = one.words[0] not in QUICK
        if not is_slow or slow:
            slow -= is_slow
            count += 1
            yield one
        number += 1


def test_a_hundred_hostile_inputs_end_as_they_should() -> None:
    assert [(one.words, fault) for one in quick_inputs() if (fault := fault_of(one))] == []


@pytest.mark.parametrize("path", FAILURES, ids=lambda path: path.stem)
def test_what_once_failed_ends_as_it_should(path: Path) -> None:
    assert fault_of(input_of(path)) == ""


def test_the_same_number_gives_the_same_input_and_all_kinds_come() -> None:
    made = [made_input(3, number) for number in range(60)]
    assert made == [made_input(3, number) for number in range(60)]
    assert {name for one in made for name in one.files} > {"offsets.csv", "offsets.xlsx", "offsets.ods"}
    assert {one.words[0] for one in made} > {"check", "offsets", "line-off", "spile", "plank"}
    assert len(KINDS) == 8


def test_an_input_comes_back_from_its_file(tmp_path: Path) -> None:
    one = Input({"a.csv": b"a,b\n", "b.xlsx": b"\xff\x00"}, ("check", "é"))
    (tmp_path / "one.json").write_text(one.as_json(fault="none"), encoding="utf-8")
    assert input_of(tmp_path / "one.json") == one


@pytest.mark.parametrize(
    ("app", "words"),
    [
        ("raise KeyError('lost')", "KeyError: 'lost'"),
        ("raise BaseException('panic')", "panic"),
        ("raise SystemExit(3)", "exit status 3"),
        ("raise SystemExit(130)", ""),
        ("print('Traceback (most recent call last)')", "Traceback"),
        ("open('out.pdf.part', 'w').close()", "left behind: out.pdf.part"),
        ("while True: pass", "over 0.2 s"),
    ],
)
def test_the_guard_notices_a_command_that_ends_badly(monkeypatch: pytest.MonkeyPatch, app: str, words: str) -> None:
    monkeypatch.setattr(guard, "app", lambda _words: exec(app))
    monkeypatch.setattr(guard, "MOST_SECONDS", 0.2)
    monkeypatch.setattr(guard, "MOST_BYTES", 10**12)
    fault = guarded_fault(Input({}, ()))
    assert words in fault
    assert bool(words) == bool(fault)
