"""A measured plank against closed forms: straight lines, circular arcs, plane trigonometry."""

from pathlib import Path

import numpy as np
import pytest

from templates_gen.at_boat.plank import PlankToMake, plank_to_make

LAP, THICKNESS = 20.0, 9.0


def made(tmp_path: Path, text: str) -> PlankToMake:
    path = tmp_path / "plank.toml"
    path.write_text(text, encoding="utf-8")
    return plank_to_make(path)


def text_of(lower: dict[str, tuple[float, float]], upper: dict[str, tuple[float, float]], more: str = "") -> str:
    head = (
        f'format = 1\nname = "Plain"\nunits = "mm"\nstrake = 3\nside = "port"\nthickness = {THICKNESS}\nlap = {LAP}\n'
    )
    tables = ""
    for edge, points in (("lower", lower), ("upper", upper)):
        tables += f"[{edge}]\n" + "".join(f'"{place}" = [{x!r}, {y!r}]\n' for place, (x, y) in points.items())
    return f'{head}{tables}{more}[fore]\non = "stem"\n[aft]\non = "transom"\n'


def placed(x: np.ndarray, y: np.ndarray) -> dict[str, tuple[float, float]]:
    names = ["fore", *(f"timber {k}" for k in range(1, len(x) - 1)), "aft"]
    return {name: (float(a), float(b)) for name, a, b in zip(names, x, y, strict=True)}


def test_between_two_straight_lines_a_plank_is_a_trapezium(tmp_path: Path) -> None:
    x = np.linspace(100.0, 2100.0, 9)
    low, high = 10.0 + 0.03 * x, 120.0 + 0.01 * x
    plank = made(tmp_path, text_of(placed(x, low), placed(x, high))).plank
    corners = np.array([[100.0, 13.0], [2100.0, 73.0], [2100.0, 141.0], [100.0, 121.0]])
    found = np.array([plank.lower[0], plank.lower[-1], plank.upper[-1], plank.upper[0]])
    for i in range(4):
        for j in range(i):
            apart = float(np.linalg.norm(found[i] - found[j]))
            assert apart == pytest.approx(float(np.linalg.norm(corners[i] - corners[j])), abs=0.05)
    for line in (plank.lower, plank.upper):  # each edge straight: no point of it off its chord
        chord = (line[-1] - line[0]) / np.linalg.norm(line[-1] - line[0])
        off = (line - line[0]) @ np.array([-chord[1], chord[0]])
        assert np.abs(off).max() < 0.1


def test_between_two_circular_arcs_every_point_lies_on_its_circle(tmp_path: Path) -> None:
    # Two circles about one centre, radii 5000 and 5110 mm, the plank swept upward at its ends.
    x = np.linspace(-1000.0, 1000.0, 11)
    radii = {"lower": 5110.0, "upper": 5000.0}
    edges = {edge: placed(x, 5110.0 - np.sqrt(radius**2 - x**2)) for edge, radius in radii.items()}
    plank = made(tmp_path, text_of(edges["lower"], edges["upper"])).plank
    centre = np.array([[np.cos(plank.angle), -np.sin(plank.angle)], [np.sin(plank.angle), np.cos(plank.angle)]])
    middle = centre @ np.array([0.0, 5110.0])
    for edge, radius in radii.items():
        reach = np.linalg.norm(plank.edge(edge) - middle, axis=1)  # type: ignore[arg-type]
        assert np.abs(reach - radius).max() < 0.1
    # the lap line lies a lap inside the upper edge: on a third circle about the same centre
    above = next(
        land for land in made(tmp_path, text_of(edges["lower"], edges["upper"])).lands if land.side == "above"
    )
    from templates_gen.geometry.plank.marks import marked_edge

    line = marked_edge(above).inner_line
    assert np.abs(np.linalg.norm(line - middle, axis=1) - (5000.0 + LAP)).max() < 0.1


@pytest.mark.parametrize(("gap", "width"), [(3.0, 40.0), (-2.0, 60.0), (0.0, 50.0)])
def test_a_bevel_from_the_gap_under_a_scrap_is_plane_trigonometry(gap: float, width: float, tmp_path: Path) -> None:
    x = np.linspace(0.0, 2000.0, 9)
    edges = placed(x, 0.0 * x), placed(x, 100.0 + 0.0 * x)
    gaps = "".join(f'"timber {k}" = {{ gap = {gap}, width = {width} }}\n' for k in range(1, 8))
    land = made(tmp_path, text_of(*edges, more=f"[bevel]\n{gaps}")).lands[-1]
    assert land.run is not None
    assert land.bevels(np.array([1000.0]))[0] == pytest.approx(np.arctan(gap / width), abs=1e-6)
    assert [one.angle for one in land.read] == pytest.approx([np.arctan(gap / width)] * 7)


def test_what_was_not_measured_is_not_drawn(tmp_path: Path) -> None:
    x = np.linspace(0.0, 2000.0, 9)
    edges = placed(x, 0.0 * x), placed(x, 100.0 + 0.0 * x)
    bevels = '[bevel]\n"timber 2" = 5\n"timber 3" = 5\n"timber 5" = 6\n'
    result = made(tmp_path, text_of(*edges, more=bevels))
    below, above = result.lands
    assert below.run is None
    assert not below.geralds
    assert not above.geralds
    read = above.bevels(np.linspace(0.0, 2000.0, 9))
    assert np.isfinite(read).tolist() == [False, False, True, True, True, True, False, False, False]


def test_a_gerald_on_a_flat_land_takes_half_of_the_lower_strake_at_the_end(tmp_path: Path) -> None:
    # With no bevel the strakes are parallel: at a flush end the strake below keeps half its thickness, and so does
    # the plank on the land above; at the gerald's start 3/80 of it is gone (docs/geometry.md: the easing's share).
    x = np.linspace(0.0, 2000.0, 9)
    edges = placed(x, 0.0 * x), placed(x, 400.0 + 0.0 * x)
    flat = "".join(f'"timber {k}" = 0\n' for k in range(1, 8))
    text = text_of(*edges, more=f"[bevel]\n{flat}[bevel_below]\n{flat}")
    text = text.replace("lap = ", "thickness_below = 7\nlap = ")
    text = text.replace('"stem"', '"stem"\ngerald = 200\nwidth_above = 90')
    below, above = made(tmp_path, text).lands
    (up,) = above.geralds
    # the strake above leans in by 9 in its 90 past the lap, and at the lap line its lower edge comes in 2 mm further:
    # of the overlap there, 11 mm, each strake gives half
    assert up.at_edge[-1] == pytest.approx(THICKNESS / 2, abs=1e-6)
    assert up.at_inner_line[-1] == pytest.approx((THICKNESS + LAP * 9.0 / 90.0) / 2, abs=1e-6)
    # at the start the share is 3/16 of the easing's fifth, and the ease between convex and hollow adds a quarter of
    # its slope over the lap
    ease = LAP * np.tan(np.radians(1.0)) / 4.0
    assert up.at_edge[0] == pytest.approx(THICKNESS / 2 * 0.0375 + (1.0 - 0.0375) * ease, abs=1e-6)
    (down,) = below.geralds
    # the plank leans in by the strake below's thickness over its own width past the lap, 7 in 380
    assert down.at_inner_line[-1] == pytest.approx(7.0 / 2, abs=1e-6)
    assert down.at_edge[-1] == pytest.approx((7.0 + LAP * 7.0 / 380.0) / 2, abs=0.01)


def test_a_plank_bent_round_a_cylinder_is_as_long_as_its_own_middle(tmp_path: Path) -> None:
    # Batten and plank lie outside a cylinder of radius 1200 mm through 70 degrees: the middle of each is an arc.
    radius, batten, turn = 1200.0, 3.0, 70.0
    reach = np.radians(turn)
    x = np.linspace(0.0, reach * (radius + batten / 2), 9)
    text = text_of(placed(x, 0.0 * x), placed(x, 110.0 + 0.0 * x))
    text = text.replace("lap = ", f"batten = {batten}\nturn = {turn}\nlap = ")
    plank = made(tmp_path, text).plank
    long = float(np.linalg.norm(plank.lower[-1] - plank.lower[0]))
    assert long == pytest.approx(reach * (radius + THICKNESS / 2), abs=0.01)


def test_a_bevel_that_the_others_do_not_bear_out_is_named_and_left_out(tmp_path: Path) -> None:
    x = np.linspace(0.0, 2000.0, 11)
    read = [4.0, 4.5, 5.0, 5.5, 15.5, 6.5, 7.0, 7.5, 8.0]
    bevels = "".join(f'"timber {k}" = {angle}\n' for k, angle in enumerate(read, start=1))
    text = text_of(placed(x, 0.0 * x), placed(x, 100.0 + 0.0 * x), more=f"[bevel]\n{bevels}")
    result = made(tmp_path, text)
    (warning,) = (finding for finding in result.findings if finding.severity == "warning")
    assert "timber 5: a bevel of 15.5 degrees where the others lead to 6.0" in warning.text
    assert np.degrees(result.lands[-1].bevels(x[5:6]))[0] == pytest.approx(6.0, abs=0.1)


def test_a_place_whose_points_are_a_slip_apart_is_not_ticked(tmp_path: Path) -> None:
    x = np.linspace(0.0, 2000.0, 11)
    text = text_of(placed(x, 0.0 * x), placed(x, 100.0 + 0.0 * x)).replace("[1000.0, 100.0]", "[1050.0, 100.0]")
    result = made(tmp_path, text)
    assert result.plank.apart == ("timber 5",)
    assert "timber 5" not in [tick.place.station for tick in result.plank.ticks()]
    assert any("farther apart along the batten" in finding.text for finding in result.findings)


def test_fastenings_stand_at_every_place_and_evenly_between(tmp_path: Path) -> None:
    x = np.linspace(0.0, 2000.0, 11)
    more = "[fastenings]\nfirst = 50\nhole = 3\nbetween = 3\n"
    text = text_of(placed(x, 0.0 * x), placed(x, 100.0 + 0.0 * x), more=more)
    from templates_gen.geometry.plank.marks import fastenings_along

    found = fastenings_along(made(tmp_path, text).lands[0])
    assert found is not None
    inner = found.centres[:, 0]
    for place in x[1:-1]:  # at mid-lap: half a lap above the lower edge
        k = int(np.argmin(np.abs(inner - place)))
        assert found.centres[k] == pytest.approx([place, LAP / 2], abs=0.1)
    assert np.diff(inner[(inner >= 199.0) & (inner <= 1801.0)]) == pytest.approx(np.full(32, 50.0), abs=0.1)
    assert inner[0] == pytest.approx(50.0, abs=0.1)
