"""Breasthooks and quarter knees: plan angle, curve along the sheer strake, and bevels to what they bear on.

The top face lies in a plane square to the centreplane that holds the sheer at the corner and at the arm's end, or as
far below it as the hull file says. In it s runs from the corner into the boat, y out from the centreline.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.errors import BoatError
from templates_gen.geometry.ends import rulings_at_end
from templates_gen.geometry.inside.level import ruled_cut
from templates_gen.geometry.inside.room import SPOKEN, refusal, stem_profile
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rabbet_line import TransomFace
from templates_gen.hull.model import CornerPiece, Transom
from templates_gen.numerics.chains import points_at, running
from templates_gen.numerics.curves import Batten
from templates_gen.units import spoken_length

Array = NDArray[np.float64]

_SAMPLES = 801
_MARGIN, _DEEP = 1.3, 4.0
_ACROSS = 33
_INNER = 49
_RUN_ON = 300.0
_ROUNDS = 20


@dataclass(frozen=True)
class TopPlane:
    """A plane square to the centreplane: a point on the centreline, its direction into the boat, its normal up."""

    origin: Array
    into: Array
    up: Array

    def lowered(self, depth: float) -> "TopPlane":
        """Return the parallel plane `depth` mm under it."""
        return TopPlane(self.origin - depth * self.up, self.into, self.up)

    def flat(self, points: Array) -> Array:
        """Return (s, y) of points (n, 3), shape (n, 2), square to the plane."""
        return np.column_stack([(points - self.origin) @ self.into, points[:, 1]])

    def point(self, flat: Array) -> Array:
        """Return the points (n, 3) of the plane at (s, y)."""
        return np.asarray(self.origin + flat[:, :1] * self.into + flat[:, 1:] * np.array([0.0, 1.0, 0.0]))


@dataclass(frozen=True)
class CornerShape:
    """A half of a breasthook, or one knee, (s, y).

    Attributes
    ----------
    piece : CornerPiece
    plane : TopPlane
    plank, plank_under : Array, shape (p, 2)
        On the inside of the sheer strake from the corner to the arm's end, on the top and on the bottom face.
    seat, seat_under : Array, shape (q, 2)
        On the stem or the transom, from the centreline, or the end of a knee's arm, to the corner.
    inner : Array, shape (r, 2)
        The free edge from the arm's end on the plank to the centreline, or to the end of the arm on the transom.
    plan_angle : float
        Between the arms, from the corner to their ends, radians: of a breasthook between port and starboard arm.
    plank_bevels : Array, shape (3,)
        At the corner, the middle and the end of the arm: the angle of the plank's inner face to the top face less a
        right angle, radians, positive where the top face is the larger.
    seat_bevel : float
        The same to the stem or the transom, at the corner.
    """

    piece: CornerPiece
    plane: TopPlane
    plank: Array
    plank_under: Array
    seat: Array
    seat_under: Array
    inner: Array
    plan_angle: float
    plank_bevels: Array
    seat_bevel: float

    @property
    def about(self) -> About:
        """Return what it is."""
        return About(self.piece.kind, self.piece.number)

    @property
    def outline(self) -> Array:
        """Return the outline of the top face, closed, shape (n, 2): along the seat, the plank, and back."""
        return np.vstack([self.seat[:-1], self.plank, self.inner])


def corner_shape(shell: PlankedShell, piece: CornerPiece) -> CornerShape:
    """Return a breasthook or a knee.

    Raises
    ------
    BoatError
        Where it does not fit into the boat, with the key of the hull file that it is about.
    """
    _check_arms(shell, piece)
    plane, arm_u = _top_plane(shell, piece)
    seats = [_Seat(shell, piece, one) for one in (plane, plane.lowered(piece.thickness))]
    u = np.linspace(shell.u_end(piece.end), arm_u, _SAMPLES)
    planks = [_plank(shell, piece, seat, u) for seat in seats]
    (plank, bevels), (under, _) = planks
    corner, end = plank[0], plank[-1]
    seat, seat_under = (one.line(piece, line[0, 1]) for one, (line, _) in zip(seats, planks, strict=True))
    _check_transom_arm(shell, piece, float(corner[1]))
    arms = (end - corner, seat[0] - corner) if piece.kind == "knee" else (end - corner, (end - corner) * [1.0, -1.0])
    angle = float(np.arccos(arms[0] @ arms[1] / np.linalg.norm(arms[0]) / np.linalg.norm(arms[1])))
    inner = _inner(shell, piece, plank, seat)
    return CornerShape(
        piece, plane, plank, under, seat, seat_under, inner, angle, bevels, seats[0].bevel(corner[None])
    )


def _check_arms(shell: PlankedShell, piece: CornerPiece) -> None:
    """Refuse arms that are shorter than their ends are wide, or than the piece is thick."""
    least = max(piece.tip, piece.thickness)
    for key in ("arm", "transom_arm") if piece.kind == "knee" else ("arm",):
        arm = getattr(piece, key)
        if arm < least:
            long, wide = (spoken_length(one, shell.hull.units) for one in (arm, least))
            text = f"has {key} {long}; give at least {wide}, as much as its tip is wide and the piece is thick"
            raise refusal(piece, key, text)


def _top_plane(shell: PlankedShell, piece: CornerPiece) -> tuple[TopPlane, float]:
    """The plane of the top face, and the ruling as far as which its arm may run."""
    strake, fore = shell.planking.strakes, piece.end == "fore"
    start = _sheer_at_corner(shell, piece)
    whole = float(shell.length_along(strake, np.array(shell.u_aft)))
    begin = float(shell.length_along(strake, np.array(start)))
    if piece.arm * _MARGIN + _DEEP * (piece.below + piece.thickness) >= (whole - begin if fore else begin) / 2:
        text = f"has arms of {spoken_length(piece.arm, shell.hull.units)}, too long for the boat; make arm less"
        raise refusal(piece, "arm", text)
    deep = _DEEP * (piece.below + piece.thickness)  # the corner lies farther in on a lower plane
    lengths = begin + np.array([piece.arm, _MARGIN * piece.arm + deep]) * (1.0 if fore else -1.0)
    end, far = shell.rulings_at_lengths(strake, lengths)
    first, last = shell.upper(strake, np.array([start, end])) * np.array([1.0, 0.0, 1.0])
    into = (last - first) / np.linalg.norm(last - first)
    up = np.array([-into[2], 0.0, into[0]]) * (1.0 if into[0] > 0.0 else -1.0)
    sheer = shell.upper(strake, np.linspace(start, end, _SAMPLES)) * np.array([1.0, 0.0, 1.0])
    hollow = max(0.0, -float(((sheer - first) @ up).min()))  # the sheer between both ends of the arm lies lower
    return TopPlane(first - (piece.below + hollow) * up, into, up), float(far)


def _sheer_at_corner(shell: PlankedShell, piece: CornerPiece) -> float:
    """The ruling at which the sheer passes the inner edge of the stem, or the transom's inner face."""
    strake = shell.planking.strakes
    if piece.kind == "knee":
        face = _inner_face(shell, piece)
        return float(rulings_at_end(shell, strake, piece.end, np.ones(1), 0.0, face.distance)[0])
    u = np.linspace(shell.u_end(piece.end), (shell.u_fore + shell.u_aft) / 2, _SAMPLES)
    sheer, edge = shell.upper(strake, u), _run_on(stem_profile(shell, piece.end)[1])
    past = (sheer[:, 0] - np.interp(sheer[:, 2], edge[:, 1], edge[:, 0])) * (1.0 if piece.end == "fore" else -1.0)
    at = np.flatnonzero((past[:-1] < 0.0) & (past[1:] >= 0.0))
    if len(at) == 0:
        raise refusal(piece, "end", "does not meet the inside of the stem at the sheer; check wood_inside")
    k = int(at[0])
    return float(u[k] + past[k] / (past[k] - past[k + 1]) * (u[k + 1] - u[k]))


def _run_on(edge: Array) -> Array:
    """A stem's inner edge run on above its head, straight."""
    step = edge[-1] - edge[-2]
    return np.vstack([edge, edge[-1] + _RUN_ON * step / np.linalg.norm(step)])


def _inner_face(shell: PlankedShell, piece: CornerPiece) -> TransomFace:
    transom = shell.hull.end(piece.end)
    assert isinstance(transom, Transom)
    return shell.hung.faces[piece.end].inboard(transom.thickness)


class _Seat:
    """What a piece bears on at the end of the boat, cut by one plane: s of its line at any y."""

    def __init__(self, shell: PlankedShell, piece: CornerPiece, plane: TopPlane) -> None:
        self.plane = plane
        self._face = _inner_face(shell, piece) if piece.kind == "knee" else None
        self._s, self._normal = (0.0, np.zeros(3)) if self._face is not None else self._stem(shell, piece)

    def _stem(self, shell: PlankedShell, piece: CornerPiece) -> tuple[float, Array]:
        """s where the plane meets the stem's inner edge, and that face's normal, out of the piece."""
        edge = _run_on(stem_profile(shell, piece.end)[1])
        points = np.column_stack([edge[:, 0], np.zeros(len(edge)), edge[:, 1]])
        over = (points - self.plane.origin) @ self.plane.up
        at = np.flatnonzero(over[:-1] * over[1:] <= 0.0)
        if len(at) == 0:
            raise refusal(piece, "end", "does not meet the inside of the stem; check wood_inside")
        k = int(at[-1])
        met = points[k] + over[k] / (over[k] - over[k + 1]) * (points[k + 1] - points[k])
        along = (points[k + 1] - points[k]) / np.linalg.norm(points[k + 1] - points[k])
        normal = np.array([-along[2], 0.0, along[0]]) * (1.0 if piece.end == "fore" else -1.0)
        return float((met - self.plane.origin) @ self.plane.into), normal

    def past(self, flat: Array) -> Array:
        """How far points (n, 2) of the plane lie past the seat, toward the end of the boat, mm or so."""
        if self._face is None:
            return np.asarray(self._s - flat[:, 0])
        return self._face.distance(self.plane.point(flat))

    def line(self, piece: CornerPiece, corner: float) -> Array:
        """The seat's line from the centreline, or a knee's arm's end, out to the corner at y, (q, 2)."""
        if self._face is None:
            return np.array([[self._s, 0.0], [self._s, corner]])
        y = np.linspace(max(corner - piece.transom_arm, 0.0), corner, _ACROSS)
        flat = np.column_stack([np.zeros(_ACROSS), y])
        for _ in range(_ROUNDS):
            ahead = flat + np.array([1e-3, 0.0])
            rate = (self.past(ahead) - self.past(flat)) / 1e-3
            flat[:, 0] -= self.past(flat) / rate
        return flat

    def bevel(self, flat: Array) -> float:
        """The bevel to it at a point (1, 2), radians, positive where the top face is the larger."""
        normal = self._normal if self._face is None else self._face.normal(self.plane.point(flat))[0]
        return float(np.arcsin(-normal @ self.plane.up))


def _plank(shell: PlankedShell, piece: CornerPiece, seat: _Seat, u: Array) -> tuple[Array, Array]:
    """The line on the sheer strake's inside from the seat to the arm's end, (p, 2), and its three bevels."""
    strake = shell.planking.strakes
    cut = ruled_cut(shell, strake, seat.plane.origin, seat.plane.up, u)
    flat = seat.plane.flat(cut.points)
    past = seat.past(flat)
    k = int(np.flatnonzero(past > 0.0)[-1]) if (past > 0.0).any() else 0
    if past[k] <= 0.0 or k + 1 >= len(past):
        raise refusal(piece, "end", "does not reach the corner of the sheer strake there; check the end's profile")
    share = past[k] / (past[k] - past[k + 1])
    corner = flat[k] + share * (flat[k + 1] - flat[k])
    line = np.vstack([corner, flat[k + 1 :]])
    run = running(line)
    rulings = np.concatenate([[u[k] + share * (u[k + 1] - u[k])], u[k + 1 :]])
    shares = np.concatenate([[cut.share[k] + share * (cut.share[k + 1] - cut.share[k])], cut.share[k + 1 :]])
    if run[-1] < piece.arm:
        raise _too_long(shell, piece)
    _check_strake(shell, piece, rulings[run <= piece.arm], shares[run <= piece.arm])
    end = points_at(line, run, piece.arm)
    at = np.array([0.0, piece.arm / 2, piece.arm])
    normals = shell.normal(strake, np.interp(at, run, rulings), np.interp(at, run, shares))
    return np.vstack([line[run < piece.arm - 1e-9], end]), np.arcsin(-normals @ seat.plane.up)


def _check_transom_arm(shell: PlankedShell, piece: CornerPiece, room: float) -> None:
    """Refuse a knee with an arm on the transom that is longer than the transom is wide from the centreline, mm."""
    if piece.kind == "knee" and piece.transom_arm > room + SPOKEN:
        arm, wide = (spoken_length(one, shell.hull.units) for one in (piece.transom_arm, room))
        text = f"has a transom_arm of {arm}, but the transom is {wide} from the corner to the centreline there"
        raise refusal(piece, "transom_arm", f"{text}; make transom_arm {wide} or less")


def _too_long(shell: PlankedShell, piece: CornerPiece) -> BoatError:
    return refusal(piece, "arm", f"has arms of {spoken_length(piece.arm, shell.hull.units)}, too long; make arm less")


def _check_strake(shell: PlankedShell, piece: CornerPiece, u: Array, share: Array) -> None:
    """Refuse a piece that reaches below the sheer strake, on to the land."""
    strake = shell.planking.strakes
    low = 0.0
    if strake > 1:
        lap = shell.planking.lap_on(strake - 1)
        low = float((lap / (shell.lapping(strake - 1, u).y + lap)).max())
    if float(share.min()) < low:
        text = "reaches below the sheer strake; make below or thickness less"
        raise refusal(piece, "below" if piece.below else "thickness", text)


def _inner(shell: PlankedShell, piece: CornerPiece, plank: Array, seat: Array) -> Array:
    """The free edge: a parabola from arm to arm through the throat."""
    corner, end = plank[0], plank[-1]
    along = (end - plank[-2]) / np.linalg.norm(end - plank[-2])
    tip = end + piece.tip * np.array([along[1], -along[0]])
    if piece.kind == "breasthook":
        throat = np.array([seat[0, 0] + piece.throat, 0.0])
        curve = Batten(np.stack([tip, throat, tip * np.array([1.0, -1.0])]))
        points = curve.point(np.linspace(0.0, curve.knots[1], _INNER))
    else:
        ways = [(one - corner) / np.linalg.norm(one - corner) for one in (end, seat[0])]
        throat = corner + piece.throat * (ways[0] + ways[1]) / np.linalg.norm(ways[0] + ways[1])
        across = ways[1]
        other = seat[0] + piece.tip * np.array([-across[1], across[0]]) * (1.0 if across[1] < 0.0 else -1.0)
        curve = Batten(np.stack([tip, throat, other]))
        points = curve.point(np.linspace(0.0, curve.knots[-1], _INNER))
    room = np.interp(points[:, 0], plank[:, 0], plank[:, 1]) - points[:, 1]
    within = points[:, 0] <= end[0]
    ahead = points[:, 0] - np.interp(points[:, 1], seat[:, 1], seat[:, 0])
    if (room[within] <= 0.0).any() or (ahead <= 0.0).any() or (points[:-1, 1] < -1e-9).any():
        throat_of, tip_of = (spoken_length(one, shell.hull.units) for one in (piece.throat, piece.tip))
        text = f"has no room for its inner edge with a throat of {throat_of} and tips of {tip_of}; change one of them"
        raise refusal(piece, "throat", text)
    return np.asarray(points)
