"""Strips of surface for the tests of flattening, and how two flat outlines are compared."""

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import cumulative_simpson
from scipy.interpolate import CubicSpline

Array = NDArray[np.float64]


def ruled(lower: Array, upper: Array, rows: int = 5) -> Array:
    """Return a grid (m, rows, 3) of even steps from each point of one edge (m, 3) to its fellow on the other."""
    return lower[:, None] + np.linspace(0.0, 1.0, rows)[:, None] * (upper - lower)[:, None]


def plane_quadrilateral(corners: Array, columns: int, rows: int = 5) -> Array:
    """Return a grid over a quadrilateral with corners (4, d): lower left, lower right, upper right, upper left."""
    share = np.linspace(0.0, 1.0, columns)[:, None]
    lower = corners[0] + share * (corners[1] - corners[0])
    return ruled(lower, corners[3] + share * (corners[2] - corners[3]), rows)


def helicoid(twist: float, width: float, length: float, columns: int, rows: int = 5) -> Array:
    """Return a straight strip twisted evenly by `twist` radians for a millimetre, about its middle line."""
    along = np.linspace(0.0, length, columns)
    axis = np.stack([along, 0.0 * along, 0.0 * along], axis=-1)
    across = np.stack([0.0 * along, np.cos(twist * along), np.sin(twist * along)], axis=-1)
    return ruled(axis - across * width / 2.0, axis + across * width / 2.0, rows)


def rolled(flat: Array, radius: float, lean: float) -> Array:
    """Return points (…, 2) of a plane rolled on to a cylinder whose axis leans by `lean` radians from the y axis."""
    cosine, sine = np.cos(lean), np.sin(lean)
    round_it, along_it = flat[..., 0] * cosine + flat[..., 1] * sine, flat[..., 1] * cosine - flat[..., 0] * sine
    turn = round_it / radius
    return np.stack([radius * np.sin(turn), along_it, radius * (1.0 - np.cos(turn))], axis=-1)


def forefoot_plank(refinement: int, rows: int = 5) -> Array:
    """Return a 4 m plank in columns of 37.5 mm and less, divided by `refinement`, its lower edge bent at one end.

    The lower edge runs straight for 3.75 m, is bent upward by 70° at a radius of 250 mm, and ends straight. Columns
    stand square to the boat for 3.5 m; from there they join points of equal share of both edges, bunched so that
    speed along the edges is continuous, and the last of them lies within 10° of the lower edge.
    """
    body, reach, bend, radius = 3000.0, 250.0, np.radians(70.0), 250.0
    land = reach + radius * bend + 20.0
    run = np.linspace(0.0, 900.0, 30001)
    turn = np.clip((run - reach) / radius, 0.0, bend)
    profile = CubicSpline(
        run,
        np.stack(
            [
                body + cumulative_simpson(np.cos(turn), x=run, initial=0.0),
                20.0 - 10.0 * np.clip(run / 600.0, 0.0, 1.0),
                cumulative_simpson(np.sin(turn), x=run, initial=0.0),
            ],
            axis=-1,
        ),
    )
    tip = profile(land)
    marks = [
        [-600, 148, 113],
        [0, 150, 95],
        [600, 150, 85],
        [1200, 145, 82],
        [1800, 130, 88],
        [2400, 100, 105],
        [3000, 58, 145],
    ]
    upper = CubicSpline(
        np.append(np.arange(-600.0, 3001.0, 600.0), tip[0]), np.array([*marks, [tip[0], 12.0, tip[2]]])
    )
    fine = np.linspace(body, tip[0], 30001)
    arc = cumulative_simpson(np.linalg.norm(upper(fine, 1), axis=-1), x=fine, initial=0.0)
    at_arc = CubicSpline(arc, fine)
    speed = float(np.linalg.norm(upper(body, 1)))
    lower_length, upper_length = land - 60.0, float(arc[-1])
    slow = min(lower_length, upper_length / speed)

    amidships = np.linspace(-525.0, body, 94 * refinement + 1)
    share = np.linspace(0.0, 1.0, 32 * refinement + 1)[1:]
    lower_run = slow * share + (lower_length - slow) * share**3
    upper_run = slow * speed * share + (upper_length - slow * speed) * share**3
    keel = np.stack([amidships, 20.0 + 0.0 * amidships, 0.0 * amidships], axis=-1)
    return ruled(
        np.concatenate([keel, profile(lower_run)]),
        np.concatenate([upper(amidships), upper(at_arc(upper_run))]),
        rows,
    )


def apart(found: Array, expected: Array) -> float:
    """Return the greatest distance between two sets of points (…, d) laid on one another without turning one over."""
    a = found.reshape(-1, found.shape[-1]) - found.reshape(-1, found.shape[-1]).mean(axis=0)
    b = expected.reshape(a.shape) - expected.reshape(a.shape).mean(axis=0)
    left, _, right = np.linalg.svd(a.T @ b)
    keep = np.eye(a.shape[1])
    keep[-1, -1] = np.sign(np.linalg.det(left @ right))
    return float(np.linalg.norm(a @ left @ keep @ right - b, axis=-1).max())
