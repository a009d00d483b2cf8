"""The scanner of places, checked against tomllib."""

import tomllib
from typing import Any

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from templates_gen.hull.positions import KeyPath, places

BLANKS = st.sampled_from(["", " ", "\t", "  "])
BREAKS = st.sampled_from(["", " ", "\n", "\r\n", " # a [comment] = \"that\" {means} 'nothing'\n", "\n\n\t"])
LETTERS = st.characters(codec="utf-8", exclude_characters="\x7f", exclude_categories=["Cc", "Cs"])


def escaped(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'


KEYS = st.one_of(
    st.from_regex(r"[A-Za-z0-9_-]{1,4}", fullmatch=True),
    st.text(LETTERS, max_size=4).map(escaped),
    st.text(LETTERS, max_size=4).filter(lambda text: "'" not in text).map(lambda text: f"'{text}'"),
)
SCALARS = st.one_of(
    st.integers().map(str),
    st.floats().map(lambda number: repr(number) if number == number else "nan"),
    st.sampled_from(
        ["true", "false", "1979-05-27 07:32:00", "1979-05-27T07:32:00Z", "07:32:00", "0xdead_beef", "-inf"]
    ),
    st.text(LETTERS, max_size=6).map(escaped),
    st.text(LETTERS, max_size=6).filter(lambda text: "'" not in text).map(lambda text: f"'{text}'"),
    st.sampled_from(
        ['"""\n[a]\nb = "c" \\" \\\n  d"""', "'''\n# not a comment\n'quoted' '''", '""""quoted""""', "''''''"]
    ),
)


def lists(items: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    parts = st.lists(st.tuples(BREAKS, items, BREAKS), max_size=3)
    return st.tuples(parts, st.booleans(), BREAKS).map(
        lambda drawn: (
            "["
            + ",".join("".join(part) for part in drawn[0])
            + ("," if drawn[1] and drawn[0] else "")
            + drawn[2]
            + "]"
        )
    )


def inline_tables(items: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    pairs = st.lists(st.tuples(BLANKS, KEYS, BLANKS, items, BLANKS), max_size=3)
    return pairs.map(
        lambda drawn: "{" + ",".join(f"{a}{key}{b}={a}{value}{c}" for a, key, b, value, c in drawn) + "}"
    )


VALUES = st.recursive(SCALARS, lambda items: st.one_of(lists(items), inline_tables(items)), max_leaves=8)
DOTTED = st.tuples(st.lists(KEYS, min_size=1, max_size=3), BLANKS).map(
    lambda drawn: f"{drawn[1]}.{drawn[1]}".join(drawn[0])
)
PAIRS = st.tuples(BLANKS, DOTTED, BLANKS, VALUES, st.sampled_from(["", " # = [["])).map(
    lambda drawn: f"{drawn[0]}{drawn[1]}{drawn[2]}={drawn[2]}{drawn[3]}{drawn[4]}"
)
HEADERS = st.tuples(st.sampled_from([("[", "]"), ("[[", "]]")]), BLANKS, DOTTED).map(
    lambda drawn: f"{drawn[0][0]}{drawn[1]}{drawn[2]}{drawn[1]}{drawn[0][1]}"
)
FEW_HEADERS = st.sampled_from(["[[a]]", "[[a]]", "[a.b]", "[[a.c]]", "[d]", '["d".e]', "[[f.g]]"])
LINES = st.lists(st.one_of(PAIRS, HEADERS, FEW_HEADERS, st.sampled_from(["", "  # remark"])), max_size=12)
DOCUMENTS = st.tuples(LINES, st.sampled_from(["\n", "\r\n"])).map(lambda drawn: drawn[1].join(drawn[0]))


def paths_of(value: Any, path: KeyPath = ()) -> dict[KeyPath, Any]:
    """Return every key path that tomllib found, with its value."""
    found = {path: value} if path else {}
    if isinstance(value, dict):
        for key, inner in value.items():
            found |= paths_of(inner, (*path, key))
    if isinstance(value, list):
        for index, inner in enumerate(value):
            found |= paths_of(inner, (*path, index))
    return found


@settings(max_examples=200, deadline=None)
@given(DOCUMENTS)
def test_the_scanner_finds_every_key_and_element_that_tomllib_finds_with_its_value(text: str) -> None:
    try:
        parsed = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        assume(False)
    wanted = paths_of(parsed)
    found = places(text)
    assert set(found) == set(wanted)
    for path, place in found.items():
        assert place.line == text.count("\n", 0, place.start) + 1
        if place.stop > place.start:
            again = tomllib.loads("value = " + text[place.start : place.stop])["value"]
            assert repr(again) == repr(wanted[path])  # repr, so that nan equals nan


def test_lines_are_those_that_an_editor_shows() -> None:
    text = '\n# remark\nname = "x"\n[[station]]\nat = 1\nsection = [\n  [1, 2],\n  [3,\n 4],\n]\n'
    text += "[[station]]\nat = 2\n[a.b]\nc = 3\n"
    lines = {path: place.line for path, place in places(text).items()}
    assert lines == {
        ("name",): 3,
        ("station",): 4,
        ("station", 0): 4,
        ("station", 0, "at"): 5,
        ("station", 0, "section"): 6,
        ("station", 0, "section", 0): 7,
        ("station", 0, "section", 0, 0): 7,
        ("station", 0, "section", 0, 1): 7,
        ("station", 0, "section", 1): 8,
        ("station", 0, "section", 1, 0): 8,
        ("station", 0, "section", 1, 1): 9,
        ("station", 1): 11,
        ("station", 1, "at"): 12,
        ("a",): 13,
        ("a", "b"): 13,
        ("a", "b", "c"): 14,
    }
