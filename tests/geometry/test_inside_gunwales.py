"""Gunwale strips and timbers against closed forms: a prism, an upright cylinder, plane geometry."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from templates_gen.errors import BoatError
from templates_gen.geometry.fastenings import timbers
from templates_gen.geometry.inside.gunwales import gunwale_shape, timbers_shape
from templates_gen.hull.model import Fastenings, Gunwale, TimberList
from templates_gen.hull.reader import read_hull
from tests.flow import boat_of, shell_of
from tests.geometry.exact_hulls import (
    AFT,
    ALONG,
    FORE,
    THICKNESS,
    TRANSOM_THICKNESS,
    Array,
    Cylinder,
    Plane,
    oblique_prism,
    on_line,
    prism_faces,
    unit,
)
from tests.geometry.test_inside_across import prism_facets

HULLS = Path(__file__).parents[2] / "hulls"
CLOSE = 0.02


def strip(part: str = "inwale", below: float = 0.0, depth: float = 30.0) -> Gunwale:
    return Gunwale(0, 1, part, 18.0, depth, below)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("part", "inboard", "out"), [("inwale", TRANSOM_THICKNESS, 0.0), ("outwale", 0.0, THICKNESS)]
)
@pytest.mark.parametrize("below", [0.0, 15.0])
def test_a_strip_of_a_prism_is_straight_and_ends_on_both_transoms(
    part: str, inboard: float, out: float, below: float
) -> None:
    shape = gunwale_shape(shell_of(oblique_prism()), strip(part, below))
    face = prism_faces()[-1]
    start = on_line(face.upper - below * face.up + out * face.out)
    ends = [FORE.meets(start, ALONG, inboard), AFT.meets(start, ALONG, -inboard)]
    assert shape.length == pytest.approx(float(np.linalg.norm(ends[1] - ends[0])), abs=CLOSE)
    assert shape.sweep < CLOSE
    # how far the plank leans out, in the plane square to the strip: from the level line to the plank's normal there
    level = unit(np.cross([0.0, 0.0, 1.0], ALONG))
    lean = np.arccos(face.normal @ level)
    assert [one.bevel for one in shape.places] == pytest.approx([lean] * len(shape.places), abs=np.radians(0.02))
    for end, plane, sign in (("fore", FORE, -1.0), ("aft", AFT, 1.0)):
        cut = shape.cuts[end]  # type: ignore[index]
        assert np.tan(cut.face) == pytest.approx(longer(plane, start, face.up @ ACROSS_OF, sign), abs=1e-4)
        assert np.tan(cut.through) == pytest.approx(longer(plane, start, face.normal, sign), abs=1e-4)


ACROSS_OF = np.stack([on_line(np.array([1.0, 0.0])), on_line(np.array([0.0, 1.0]))])


def longer(plane: Plane, point: Array, way: Array, sign: float) -> float:
    """How much longer a strip is that runs a millimetre of `way` from a point, up to a plane at one end."""
    first, second = plane.meets(point, ALONG), plane.meets(point + way, ALONG)
    return float(sign * (second - first) @ ALONG)


def test_a_strip_on_an_upright_cylinder_lies_flat_as_it_unrolls() -> None:
    cylinder = Cylinder()
    hull = cylinder.hull()
    shape = gunwale_shape(shell_of(hull), strip("outwale", depth=20.0))
    outside = cylinder.radius + cylinder.thickness
    first, last = (cylinder.end_turn(plane, outside, "upper") for plane in cylinder.ends)
    turns = np.linspace(first, last, 4001)
    unrolled = np.column_stack([outside * turns, cylinder.height("upper", turns)])
    assert shape.length == pytest.approx(float(np.linalg.norm(np.diff(unrolled, axis=0), axis=1).sum()), abs=0.1)
    chord = unit(unrolled[-1] - unrolled[0])
    flat = (unrolled - unrolled[0]) @ np.column_stack([chord, [-chord[1], chord[0]]])
    assert np.abs(flat[:, 1]).max() > 10.0
    rises = np.interp(shape.flat[:, 0], flat[:, 0], flat[:, 1])
    assert np.abs(shape.flat[:, 1] - rises).max() < 0.1
    assert shape.sweep == pytest.approx(float(np.abs(flat[:, 1]).max()), abs=0.1)
    assert max(abs(one.bevel) for one in shape.places) < np.radians(0.1)  # its sides are upright


@pytest.mark.parametrize("name", ["dinghy", "double_ender", "faering"])
def test_laid_flat_a_strip_follows_the_upper_edge_of_the_sheer_strake_laid_flat(name: str) -> None:
    hull = read_hull(HULLS / f"{name}.toml")
    edge = boat_of(hull).strakes[-1].edge("upper")
    shape = gunwale_shape(shell_of(hull), strip("outwale", depth=20.0))
    run = float(np.linalg.norm(np.diff(edge, axis=0), axis=1).sum())
    # one lies at mid-thickness, the other on the outside: millimetres longer on a bent plank
    assert abs(shape.length - run) < 10.0
    chord = unit(edge[-1] - edge[0])
    rises = (edge - edge[0]) @ np.array([-chord[1], chord[0]])
    assert shape.sweep == pytest.approx(float(np.abs(rises).max()), rel=0.03)


@pytest.mark.parametrize("name", ["dinghy", "double_ender", "faering"])
def test_an_inwale_ends_on_the_inside_of_the_stem_and_stations_are_in_their_order(name: str) -> None:
    hull = read_hull(HULLS / f"{name}.toml")
    inside, outside = (gunwale_shape(shell_of(hull), strip(part, depth=20.0)) for part in ("inwale", "outwale"))
    assert inside.length < outside.length - 30.0
    for shape in (inside, outside):
        lengths = [one.length for one in shape.places]
        assert lengths == sorted(lengths)
        assert lengths[0] == 0.0
        assert lengths[-1] == shape.length
        assert len(lengths) == len(hull.stations) + 2
        assert shape.flat[[0, -1], 1] == pytest.approx([0.0, 0.0], abs=1e-9)
        assert abs(shape.places[0].rise) < 1e-9


def test_timbers_run_from_corner_to_corner() -> None:
    hull = replace(oblique_prism(), fastenings=Fastenings(200.0, 1000.0))
    shape = timbers_shape(shell_of(hull), TimberList(0, 1))
    assert [timber.x for timber in shape.timbers] == [x for x in timbers(hull).tolist() if 110.0 < x < 2650.0]
    for timber in shape.timbers:
        facets = prism_facets(timber.x)
        corners = np.array([[0.0, facets[0][0][1]], facets[0][0], *(high for _, high in facets)])
        exact = np.linalg.norm(np.diff(corners, axis=0), axis=1).sum()
        assert timber.half == pytest.approx(float(exact), abs=CLOSE)


def test_timbers_lie_on_the_hog_and_none_crosses_a_stem() -> None:
    hull = read_hull(HULLS / "dinghy.toml")
    shell = shell_of(hull)
    shape = timbers_shape(shell, TimberList(0, 1))
    assert [timber.x for timber in shape.timbers] == np.arange(525.0, 3540.0, 150.0).tolist()
    station = hull.stations[2]
    near = min(shape.timbers, key=lambda timber: abs(timber.x - station.at))
    girth = float(np.linalg.norm(np.diff(np.vstack([station.rabbet, station.section]), axis=0), axis=1).sum())
    # half the keel, and the section's girth; corners cut a little off, and the hog a little more
    assert girth + 22.0 - 30.0 < near.half < girth + 22.0 + 10.0


REFUSED = {
    "deeper than the strake": (
        "pram",
        strip(depth=90.0),
        "depth",
        "reaches below the sheer strake, which has room for",
    ),
    "too far down": ("dinghy", strip("rubbing strip", below=70.0, depth=30.0), "depth", "where it is narrowest"),
}


def test_a_strip_as_shallow_as_what_comes_off_for_a_level_top_is_refused_and_a_narrower_one_passes() -> None:
    shell = shell_of(read_hull(HULLS / "dinghy.toml"))
    with pytest.raises(BoatError, match="over its width for a level top, and is only 28 mm deep") as refused:
        gunwale_shape(shell, replace(strip(depth=28.0), width=180.0))
    assert refused.value.key == ("inside", 0, "width")
    least = float(str(refused.value).split("make it less than ")[1].split(" mm")[0])
    shape = gunwale_shape(shell, replace(strip(depth=28.0), width=least - 1.0))
    steepest = max(abs(place.bevel) for place in shape.places)
    assert (least - 1.0) * np.tan(steepest) < 28.0 < 180.0 * np.tan(steepest)


@pytest.mark.parametrize("case", REFUSED)
def test_a_strip_that_does_not_fit_on_the_sheer_strake_is_refused(case: str) -> None:
    name, piece, key, words = REFUSED[case]
    with pytest.raises(BoatError, match=words) as refused:
        gunwale_shape(shell_of(read_hull(HULLS / f"{name}.toml")), piece)
    assert refused.value.key == ("inside", 0, key)
