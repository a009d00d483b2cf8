"""The parabolic hull of Wigley, from tables of offsets at several spacings, against its closed form.

y = B/2 (1 - xi^2) (1 - zeta^2), xi = 2x/L from -1 to 1, zeta = z/T from -1 to 0. Source: W. C. S. Wigley, "A
comparison of experiment and calculated wave-profiles and wave-resistances for a form having parabolic waterlines",
Proceedings of the Royal Society A 144 (1934), 144-159 (from memory); L = 10 m, B = 1 m, T = 0.625 m.
"""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from templates_gen.geometry.sections import station_sections
from templates_gen.hull.model import Hull
from templates_gen.hull.reader import read_hull
from templates_gen.numerics.curves import Batten
from tests.bench.slips import wigley_text

LENGTH, BEAM, DRAUGHT = 10_000.0, 1000.0, 625.0
XI = (-0.9, -0.8, -0.75, -0.5, -0.25, 0.0, 0.25, 0.5, 0.75, 0.9)
SPACINGS = (4, 8, 16, 32)  # bays from keel to waterline


def half_breadth(xi: float, zeta: float) -> float:
    """The closed form, mm."""
    return BEAM / 2 * (1 - xi**2) * (1 - zeta**2)


def half_girth(xi: float) -> float:
    """Arc length of a section's parabola y = b (1 - s^2), z = T s from keel to waterline, mm (closed form)."""
    slope = 2 * (BEAM / 2 * (1 - xi**2)) / DRAUGHT
    return DRAUGHT / 2 * (np.sqrt(1 + slope**2) + np.arcsinh(slope) / slope)


def say(length: float) -> str:
    """A length as the table has it, to a nanometre's thousandth."""
    return f"{length:.9f}"


def hull_of(folder: Path, bays: int, stations: tuple[float, ...] = XI) -> Hull:
    """The hull read from a table with so many bays from keel to waterline."""
    zetas = np.linspace(-1.0, 0.0, bays + 1)
    at = [LENGTH / 2 * (1 + xi) for xi in stations]
    rows = [["measure", "line", *(str(i + 1) for i in range(len(stations)))], ["distance", "", *map(say, at)]]
    rows.append(["height", "sheer", *["0"] * len(at)])
    rows.append(["height", "rabbet", *[say(-DRAUGHT)] * len(at)])
    rows.append(["half-breadth", "sheer", *(say(half_breadth(xi, 0.0)) for xi in stations)])
    rows.append(["half-breadth", "rabbet", *["0"] * len(at)])
    for zeta in zetas[1:-1]:
        rows.append(
            ["half-breadth", f"waterline {say(zeta * DRAUGHT)}", *(say(half_breadth(xi, zeta)) for xi in stations)]
        )
    (folder / "offsets.csv").write_text("\n".join(",".join(row) for row in rows))
    text = wigley_text("mm", [str(i + 1) for i in range(len(at))])
    text = text.replace("5080.0", repr(LENGTH)).replace("-317.5", repr(-DRAUGHT)).replace("-150.0", "-300.0")
    (folder / "boat.toml").write_text(text)
    return read_hull(folder / "boat.toml")


def orders(errors: list[float]) -> list[float]:
    """The order of convergence from each spacing to the next, which is half of it."""
    return [float(np.log2(wide / narrow)) for wide, narrow in pairwise(errors)]


def check_order(errors: list[float]) -> None:
    """Assert third order or better over all halvings, second at the last (a change of sign may spoil one)."""
    assert float(np.mean(orders(errors))) > 3.0
    assert orders(errors)[-1] > 2.0


def test_the_check_of_order_can_fail() -> None:
    with pytest.raises(AssertionError):
        check_order([1.0, 0.25, 0.0625, 0.0156])
    check_order([1.0, 1 / 16, 1 / 256, 1 / 4096])


def test_the_closed_form_gives_the_girths_that_are_published_for_it() -> None:
    # computed in double precision for L = 10, B = 1, T = 0.625 by another hand, in metres
    for xi, girth in ((0.0, 0.833565876984959), (0.25, 0.8122763903927294), (0.75, 0.6728238657070156)):
        assert half_girth(xi) == pytest.approx(1000 * girth, abs=1e-6)


def test_girths_converge_to_the_closed_form(tmp_path: Path) -> None:
    for xi in (0.0, 0.25, 0.5, 0.75):
        errors = []
        for bays in SPACINGS:
            section = station_sections(hull_of(tmp_path, bays))[XI.index(xi)]
            errors.append(abs(section.girth - half_girth(xi)))
        assert errors[1] < 0.2  # eight waterlines: two tenths of a millimetre of 830
        assert errors[-1] < 0.005
        check_order(errors)


def area(batten: Batten) -> float:
    """Area between a section and the centreplane, mm2, by eight-point Gauss-Legendre in every bay."""
    nodes, weights = np.polynomial.legendre.leggauss(8)
    total = 0.0
    for start, stop in pairwise(batten.knots):
        t = (start + stop) / 2 + (stop - start) / 2 * nodes
        total += (stop - start) / 2 * float(np.sum(weights * batten.point(t)[:, 0] * batten.slope(t)[:, 1]))
    return total


def test_section_areas_converge_to_two_thirds_of_the_rectangle(tmp_path: Path) -> None:
    # The midship coefficient of a parabola is 2/3.
    for xi in (0.0, 0.5, 0.75):
        exact = 2 / 3 * BEAM / 2 * (1 - xi**2) * DRAUGHT
        errors = []
        for bays in SPACINGS:
            batten = station_sections(hull_of(tmp_path, bays))[XI.index(xi)].batten
            errors.append(abs(area(batten) - exact) / exact)
        assert errors[1] < 2e-4
        check_order(errors)


@pytest.mark.parametrize(
    ("xi", "zeta", "normal"),
    [
        (-0.5, -0.5, (-0.064179, 0.855725, -0.513435)),
        (-0.8, -0.25, None),
        (0.0, -0.5, (0.0, 0.780869, -0.624695)),
    ],
)
def test_normals_converge_to_the_closed_form(
    tmp_path: Path, xi: float, zeta: float, normal: tuple[float, float, float] | None
) -> None:
    # F = y - f(x, z) has the gradient (-f_x, 1, -f_z): f_x = -2 xi B/L (1 - zeta^2), f_z = -zeta B/T (1 - xi^2)
    gradient = np.array([2 * xi * BEAM / LENGTH * (1 - zeta**2), 1.0, zeta * BEAM * (1 - xi**2) / DRAUGHT])
    exact = gradient / np.linalg.norm(gradient)
    if normal is not None:  # as published with the closed form, to six digits
        assert exact == pytest.approx(normal, abs=1e-6)
    errors = []
    for bays in SPACINGS:
        hull = hull_of(tmp_path, bays)
        sections = station_sections(hull)
        row = round((zeta + 1) * bays)
        section = sections[XI.index(xi)].batten
        waterline = Batten(
            np.array([[s.at, *b.batten.marks[row]] for s, b in zip(hull.stations, sections, strict=True)])
        )
        up = np.array([0.0, *section.slope(section.knots[row])])
        aft = waterline.slope(waterline.knots[XI.index(xi)])
        found = np.cross(up, aft)
        found *= np.sign(found[1]) / np.linalg.norm(found)
        errors.append(float(np.arccos(np.clip(found @ exact, -1.0, 1.0))))
    assert np.degrees(errors[1]) < 0.15
    assert np.degrees(errors[-1]) < 0.02
    assert errors[-1] < errors[0] / 4
