"""What is printed looks as it did when its pictures were kept; and a picture tells a line moved or a label gone.

Where a change is meant, ``python -m tests.render.golden`` draws the pictures anew.
"""

from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely

from templates_gen.drawing.piece import Path, Piece, Role
from templates_gen.render.pdf.page import Page
from templates_gen.units import PT_PER_MM
from tests.render.golden import FOLDER, MOST, PICTURES, Picture, alone, differences, drawn, kept, page_showing, plan
from tests.sweep import more

LONG = ("book", "read-me-first", "stock")
"""Pictures of what takes long to draw."""

LARGEST = 40_000
"""Bytes of a kept picture at most."""


@pytest.mark.parametrize("name", [*(name for name in PICTURES if name not in LONG), *more(*LONG)])
def test_a_page_looks_as_it_did(name: str) -> None:
    assert differences(PICTURES[name](), kept(name)) <= MOST


def test_the_pictures_are_small_and_all_of_them_are_compared() -> None:
    assert {path.stem for path in FOLDER.iterdir()} == set(PICTURES)
    assert all(path.stat().st_size < LARGEST for path in FOLDER.iterdir())


SHORTEST = 4.0
"""mm of a line on a page that are looked for when it moves: some reach no farther than a corner."""


@cache
def page_of(kind: str, name: str) -> tuple[Page, Picture]:
    """Return the first page of a piece, and how it looks by itself."""
    made = plan(kind, name)
    page = made.pages[page_showing(made.pages, name)]
    return page, alone(made, page)


def with_part(page: Page, part: Piece) -> Page:
    """Return a page that shows another part of its only piece."""
    (placement,) = page.placements
    return replace(page, placements=(replace(placement, part=part),))


def moved(path: Path, by: float) -> Path:
    """Return a path moved so many mm square to its greatest extent."""
    points = path.points
    along = points[int(np.argmax(np.hypot(*(points - points[0]).T)))] - points[0]
    return replace(path, points=points + by * np.array([-along[1], along[0]]) / np.hypot(*along))


def changes(page: Page) -> Iterator[tuple[str, Page]]:
    """Yield a page with each of its labels left out in turn, and with each line on it moved by 2 mm."""
    (placement,) = page.placements
    part = placement.part
    for k, label in enumerate(part.labels):
        yield f"no {label.text!r}", with_part(page, replace(part, labels=part.labels[:k] + part.labels[k + 1 :]))
    clip = placement.clip
    area = shapely.box(clip.left, clip.bottom, clip.right, clip.top)
    for k, path in enumerate(part.paths):
        line = shapely.LineString(placement.matrix.scaled(1 / PT_PER_MM).apply(path.points))
        if path.role is not Role.HATCH and shapely.intersection(line, area).length > SHORTEST:
            paths = (*part.paths[:k], moved(path, 2.0), *part.paths[k + 1 :])
            yield f"{path.role.value} {k} moved", with_part(page, replace(part, paths=paths))


@pytest.mark.parametrize(
    ("kind", "name"), [("strakes", "strake 4"), *more(("moulds", "mould 2"), ("transom", "transom aft"))]
)
def test_a_label_gone_or_a_line_moved_by_2_mm_is_seen(kind: str, name: str) -> None:
    page, picture = page_of(kind, name)
    assert differences(picture, alone(plan(kind, name), page)) == 0
    seen = {text: differences(picture, alone(plan(kind, name), changed)) for text, changed in changes(page)}
    assert len(seen) >= 10
    assert [text for text, count in seen.items() if count <= MOST] == []


def test_what_is_drawn_anew_with_other_dots_is_not_seen() -> None:
    # a program that puts grey where another puts a little less, or half a dot aside
    picture = kept("strakes")
    paler = (255 - 0.8 * (255 - picture.astype(float))).astype(np.uint8)
    aside = ((picture.astype(np.uint16) + np.roll(picture, 1, axis=1)) // 2).astype(np.uint8)
    assert differences(picture, paler) == 0
    assert differences(picture, aside) == 0
    assert differences(picture, picture[1:]) > MOST


def test_a_drawing_for_a_router_shows_every_line() -> None:
    ends = "0\nSECTION\n2\nENTITIES\n"
    ends += "0\nLINE\n8\n0\n10\n0\n20\n0\n11\n100\n21\n0\n0\nLINE\n8\n0\n10\n0\n20\n{}\n11\n100\n21\n{}\n"
    ends += "0\nENDSEC\n0\nEOF\n"
    one, other = (drawn(ends.format(y, y).encode()) for y in (50.0, 52.0))
    assert (one < 128).sum() == 2 * 161
    assert differences(one, other) > MOST
