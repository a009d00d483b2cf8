"""The faces of transoms against closed forms."""

import numpy as np
import pytest

from templates_gen.geometry.rabbet_line import transom_face
from templates_gen.hull.model import Transom


def raked(rake: float, radius: float, end: str = "aft") -> Transom:
    """A transom of 1000 mm up its profile, raked outward by `rake` degrees."""
    lean = 1000.0 * np.sin(np.radians(rake)) * (1.0 if end == "aft" else -1.0)
    profile = np.array([[3000.0, 100.0], [3000.0 + lean, 100.0 + 1000.0 * np.cos(np.radians(rake))]])
    return Transom(profile, 20.0, radius, np.zeros(2), np.zeros((2, 2)))


def test_a_flat_raked_transom_is_as_tall_as_its_height_over_the_cosine_of_its_rake() -> None:
    # Identity: true height = projected height / cos(rake); 400 mm at 10 degrees is 406.1706 mm.
    face = transom_face(raked(10.0, 0.0), "aft")
    assert face.bench(face.point_at(np.array([250.0, 500.0]))) == pytest.approx([250.0, 406.1706], abs=1e-4)


def test_a_curved_transom_is_as_broad_as_its_arc() -> None:
    # Identity: half arc = r asin(b / r), sag = r - sqrt(r^2 - b^2); r 1500, b 600: 617.2753 and 125.2273 mm.
    face = transom_face(raked(0.0, 1500.0), "aft")
    point = face.point_at(np.array([600.0, 400.0]))
    assert face.bench(point) == pytest.approx([617.2753, 300.0], abs=1e-4)
    assert point[0] == pytest.approx(3000.0 - 125.2273, abs=1e-4)


@pytest.mark.parametrize("end", ["fore", "aft"])
@pytest.mark.parametrize(("rake", "radius"), [(0.0, 0.0), (12.0, 0.0), (13.0, 1800.0), (-8.0, 1200.0)])
@pytest.mark.parametrize("depth", [0.0, 18.0])
def test_bench_and_point_are_each_other_s_inverse_and_lie_on_the_face(
    end: str, rake: float, radius: float, depth: float
) -> None:
    face = transom_face(raked(rake, radius, end), end).inboard(depth)  # type: ignore[arg-type]
    bench = np.array([[0.0, 0.0], [300.0, 200.0], [510.0, 700.0]])
    points = face.point(bench)
    assert face.distance(points) == pytest.approx(0.0, abs=1e-9)
    assert face.bench(points) == pytest.approx(bench, abs=1e-9)


@pytest.mark.parametrize(("rake", "radius"), [(12.0, 0.0), (13.0, 1800.0)])
def test_the_inner_face_lies_a_thickness_inside_the_outer_along_its_normal(rake: float, radius: float) -> None:
    outer = transom_face(raked(rake, radius), "aft")
    points = outer.point(np.array([[100.0, 50.0], [450.0, 600.0]]))
    inside = points - 20.0 * outer.normal(points)
    assert outer.inboard(20.0).distance(inside) == pytest.approx(0.0, abs=1e-9)
    assert outer.distance(inside) == pytest.approx(-20.0)


def test_the_normal_is_the_slope_of_the_distance() -> None:
    face = transom_face(raked(13.0, 1800.0), "fore")
    point = face.point(np.array([400.0, 300.0]))
    step = 1e-4
    slope = [
        float(face.distance(point + step * axis) - face.distance(point - step * axis)) / (2 * step)
        for axis in np.eye(3)
    ]
    assert face.normal(point) == pytest.approx(slope, abs=1e-7)
