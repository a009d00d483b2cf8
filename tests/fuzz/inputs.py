"""Inputs to spoil, and the ways of spoiling them: the same seed and number give the same input."""

import base64
import io
import json
import random
import re
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.hull.tables import HULL, TABLE
from tests.hull.test_offsets_workbooks import ods, xlsx

ROOT = Path(__file__).parents[2]


def _text(name: str) -> str:
    return (ROOT / f"{name}.toml").read_text(encoding="utf-8")


HULLS = [_text(f"hulls/{path.stem}") for path in sorted((ROOT / "hulls").glob("*.toml"))]
README = (ROOT / "README.md").read_text(encoding="utf-8")
INSIDE = README.partition("<!-- inside -->\n```toml\n")[2].partition("```")[0]
"""Every kind of piece that goes inside the planking of the dinghy."""

DINGHY, LITTLE = _text("hulls/dinghy"), _text("tests/data/little")
"""The little boat is computed in half a second; it is spoilt as often as the demonstration hulls together."""

DINGHY_AS_BUILT, DINGHY_SPILING = _text("tests/data/dinghy_as_built"), _text("tests/data/dinghy_spiling")
PLANK = _text("tests/data/plank")
ON_OLD_HOLES = PLANK.replace("between = 5\nfirst = 27\n", "old_holes = [30, 82.5, 134, 187, 240.5, 292]\n")
LITTLE_AS_BUILT, LITTLE_SPILING = _text("tests/data/little_as_built"), _text("tests/data/little_spiling")

FIGURES = ["0", "-0", "1", "-1", "0.001", "1e3", "1e308", "-1e308", "nan", "inf", "-inf", "9" * 30, "1_0", "0x1F",
           "0.5", "25.4", "100000", "1e-300", '"2-3-4"', '"2-3-4+"', "true", "[]", "{}", '""',
           "1979-05-27"]  # fmt: skip
WORDS = ["", " ", "fore", "aft", "in", "out", "port", "remade", "mould", "stem", "transom", "midship", "mirror",
         "even", "girth", "offsets", "hog", "flat",
         "é", "é", "１２", "\x1b[31m", "\u202e", "a/b", "..", "-", "?", ".", "=1+1", "0-0-0", "x" * 300]  # fmt: skip
OPTIONS = [
    *("--paper", "a4", "letter", "roll 610", "--margin", "10", "nan", "1e9", "-5", "--square", "99.4x100.3", "0x0"),
    *("--only", "strakes", "strake 4", "moulds,", "--stock", "2440x1220", "1x1", "axb", "--scarf", "8", "--json"),
    *("--form", "--as-built", "boat.toml", "asbuilt.toml", "5", "--keep", "--units", "in", "--pictures", "\udcff"),
    *("--log", "boat.toml"),
    *("--help", "--version", "--fore", "--strakes", "--out", "out", "--only", "station 3"),
]
COMMANDS = ["make", "check", "offsets", "line-off", "start", "spile", "plank", "book", "look", "scale-page", "mend"]


@dataclass(frozen=True)
class Input:
    """Some files in a folder, and the words of a command that is run there."""

    files: dict[str, bytes]
    words: tuple[str, ...]

    def as_json(self, **notes: object) -> str:
        """Return the input as JSON, with notes of what happened."""
        files = {name: _as_text(data) for name, data in self.files.items()}
        return json.dumps({**notes, "words": self.words, "files": files}, indent=1) + "\n"


def _as_text(data: bytes) -> dict[str, str]:
    try:
        return {"text": data.decode()}
    except UnicodeDecodeError:
        return {"base64": base64.b64encode(data).decode()}


def input_of(path: Path) -> Input:
    """Return an input that was written as JSON."""
    kept = json.loads(path.read_text(encoding="utf-8"))
    files = {
        name: one["text"].encode() if "text" in one else base64.b64decode(one["base64"])
        for name, one in kept["files"].items()
    }
    return Input(files, tuple(kept["words"]))


def made_input(seed: int, number: int) -> Input:
    """Return one input, spoilt at random."""
    dice = random.Random(f"{seed}:{number}")
    kind = dice.choices(list(KINDS), [4, 3, 3, 3, 1, 1, 3, 2])[0]
    return KINDS[kind](dice)


def _hull(dice: random.Random) -> Input:
    text = dice.choice([*HULLS, DINGHY + INSIDE, *[LITTLE] * len(HULLS)])
    if dice.random() < 0.2:
        text = text.replace("[lines]", f"[lines]\nfair = {dice.choice([0.001, 1, 3, 25])}")
    words = dice.choices(
        [("check",), ("check", "--json"), ("offsets",), ("line-off",), ("make", "--out", "out")], [3, 1, 8, 8, 1]
    )[0]
    return Input({"boat.toml": spoilt(text.encode(), dice)}, (words[0], "boat.toml", *words[1:]))


def _table(name: str, data: Callable[[], bytes]) -> Callable[[random.Random], Input]:
    def made(dice: random.Random) -> Input:
        table = data()
        table = spoilt(table, dice) if name.endswith(".csv") or dice.random() < 0.5 else repacked(table, dice)
        files = {"boat.toml": HULL.replace("offsets.csv", name).encode(), name: table}
        return Input(files, ("check" if dice.random() < 0.1 else "offsets", "boat.toml"))

    return made


def _as_built(dice: random.Random) -> Input:
    hull, measured = dice.choices([(DINGHY, DINGHY_AS_BUILT), (LITTLE, LITTLE_AS_BUILT)], [1, 3])[0]
    files = {"boat.toml": hull.encode(), "asbuilt.toml": spoilt(measured.encode(), dice)}
    words = dice.choices([("check", "boat.toml"), ("look", "boat.toml", "--out", "out")], [9, 1])[0]
    return Input(files, (*words, "--as-built", "asbuilt.toml"))


def _spiling(dice: random.Random) -> Input:
    hull, measured, strake = dice.choices([(DINGHY, DINGHY_SPILING, "5"), (LITTLE, LITTLE_SPILING, "3")], [1, 3])[0]
    files = {"boat.toml": hull.encode(), "batten.toml": spoilt(measured.encode(), dice)}
    return Input(files, ("spile", "boat.toml", strake, "batten.toml", "--out", "out"))


def _plank(dice: random.Random) -> Input:
    return Input(
        {"plank.toml": spoilt(dice.choice([PLANK, ON_OLD_HOLES]).encode(), dice)},
        ("plank", "plank.toml", "--out", "out"),
    )


def _command(dice: random.Random) -> Input:
    files = {"boat.toml": HULL.encode(), "offsets.csv": TABLE.encode(), "asbuilt.toml": DINGHY_AS_BUILT.encode()}
    words = [dice.choice(OPTIONS + WORDS) for _ in range(dice.randrange(6))]
    return Input(files, (dice.choice(COMMANDS), *(["boat.toml"] * (dice.random() < 0.7)), *words))


KINDS: dict[str, Callable[[random.Random], Input]] = {
    "hull": _hull,
    "csv": _table("offsets.csv", TABLE.encode),
    "xlsx": _table("offsets.xlsx", lambda: _packed(_parts(xlsx()))),
    "ods": _table("offsets.ods", lambda: _packed(_parts(ods()))),
    "as built": _as_built,
    "spiling": _spiling,
    "command": _command,
    "plank": _plank,
}


def spoilt(data: bytes, dice: random.Random) -> bytes:
    """Return data with one to four things about it changed."""
    for _ in range(dice.choice([1, 1, 1, 2, 3, 4])):
        data = dice.choice([_bytes_changed, _figure_changed, _figure_changed, _word_changed, _lines_changed])(
            data, dice
        )
        if dice.random() < 0.02:
            data = data.decode(errors="replace").encode(dice.choice(["utf-16", "utf-8-sig", "utf-16-le", "utf-7"]))
    return data


def _bytes_changed(data: bytes, dice: random.Random) -> bytes:
    """Change, take out, put in or repeat some bytes."""
    at = dice.randrange(len(data) + 1)
    size = dice.choice([1, 1, 2, 8, 100])
    piece = dice.choice(
        [dice.randbytes(size), data[at : at + size] * dice.choice([1, 2, 50]), b"", b"\0", b'"', b"\r"]
    )
    return data[:at] + piece + data[at + dice.choice([0, size]) :]


def _spans(data: bytes, is_part: Callable[[str], bool]) -> list[tuple[int, int]]:
    """Return where letters of a kind stand together."""
    found, start = [], None
    for at, letter in enumerate(data.decode("latin-1") + "\n"):
        if is_part(letter) and start is None:
            start = at
        elif not is_part(letter) and start is not None:
            found.append((start, at))
            start = None
    return found


def _figure_changed(data: bytes, dice: random.Random) -> bytes:
    """Put another figure in the place of one."""
    spans = _spans(data, lambda letter: letter in "0123456789.")
    if not spans:
        return data
    start, stop = dice.choice(spans)
    old = data[start:stop].decode()
    new = dice.choice([*FIGURES, f"{old}0", f"-{old}", f"0.{old}", old[::-1], f"{dice.uniform(-4000, 4000):.1f}"])
    return data[:start] + new.encode() + data[stop:]


def _word_changed(data: bytes, dice: random.Random) -> bytes:
    """Put another word in the place of a key, a name or a choice."""
    spans = _spans(data, lambda letter: letter.isalpha() or letter in "_-")
    if not spans:
        return data
    start, stop = dice.choice(spans)
    other = data[slice(*dice.choice(spans))]
    new = dice.choice([dice.choice(WORDS).encode(), other, b"", data[start:stop] * 2, data[start:stop].upper()])
    return data[:start] + new + data[stop:]


def _lines_changed(data: bytes, dice: random.Random) -> bytes:
    """Take out, repeat, move or join lines."""
    lines = data.split(b"\n")
    start = dice.randrange(len(lines))
    some = lines[start : start + dice.choice([1, 1, 3, 10])]
    rest = lines[:start] + lines[start + len(some) :]
    at = dice.randrange(len(rest) + 1)
    what = dice.randrange(4)
    if what == 0:
        return b"\n".join(rest)
    if what == 1:
        return b"\n".join(rest[:at] + some * dice.choice([1, 2, 60]) + rest[at:])
    if what == 2:
        return b"\n".join(lines[:start] + some * dice.choice([2, 200]) + lines[start:])
    return dice.choice([b"\r", b"\r\n", b";", b""]).join(lines)


def _parts(data: bytes) -> dict[str, bytes]:
    """Return a workbook's parts; the day on which it was made is always the same."""
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    return {name: re.sub(rb"\d{4}-\d\d-\d\dT[0-9:]+Z", b"2026-01-01T00:00:00Z", part) for name, part in parts.items()}


def _packed(parts: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as packed:
        for name, part in parts.items():
            packed.writestr(zipfile.ZipInfo(name), part, zipfile.ZIP_DEFLATED)
    return stream.getvalue()


def repacked(data: bytes, dice: random.Random) -> bytes:
    """Return a workbook with one of its parts spoilt and packed again."""
    parts = _parts(data)
    chosen = dice.choice([name for name in parts if "sheet" in name or "content" in name] + list(parts))
    return _packed(parts | {chosen: _part_changed(parts[chosen], dice)})


def _part_changed(part: bytes, dice: random.Random) -> bytes:
    if dice.random() < 0.5:
        return spoilt(part, dice)
    many = 10 ** dice.randrange(12)
    old, new = dice.choice(
        [
            (b'r="B3"', f'r="{dice.choice(["XFD1048576", "A99999999", "ZZZZ1", "B0", "b3", "B3 "])}"'.encode()),
            (b'<row r="3"', f'<row r="{dice.choice([0, -1, 10**6, 10**12, "x"])}"'.encode()),
            (b"<table:table-row", f'<table:table-row table:number-rows-repeated="{many}"'.encode()),
            (b"<table:table-cell", f'<table:table-cell table:number-columns-repeated="{many}"'.encode()),
            (b"<v>", b"<f>1+1</f><v>"),
            (b't="s"', dice.choice([b't="e"', b't="d"', b't="b"', b't="inlineStr"', b't="n"'])),
            (b"?>", b'?><!DOCTYPE a [<!ENTITY a "aaaaaaaa"><!ENTITY b "&a;&a;&a;">]>'),
            (b"float", dice.choice([b"date", b"time", b"boolean", b"currency", b"string", b"x"])),
        ]
    )  # fmt: skip
    return part.replace(old, new, dice.choice([1, -1]))
