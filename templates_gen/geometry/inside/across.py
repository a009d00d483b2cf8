"""Bulkheads, frames and floors: both faces of a piece across the boat, with the bevel and the steps of its edge.

What a piece across the boat may not do: reach above the sheer, begin below the planking, cross a stem or a transom.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName
from templates_gen.geometry.ends import rulings_at_planes
from templates_gen.geometry.inside.room import (
    SPOKEN,
    Facet,
    InsideSection,
    check_transoms,
    inside_section,
    refusal,
    stem_up_to,
)
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import CrossPiece, Stem
from templates_gen.units import spoken_length
from templates_gen.words import timber

Array = NDArray[np.float64]

_LEVEL = 1e-6
"""Radians: planking that closes in by less is level, as amidships in a boat that is alike at both ends."""

_NEAR = 1e-6


@dataclass(frozen=True)
class PlankedFacet:
    """One facet of the edge of a piece across the boat.

    Attributes
    ----------
    strake : int
    bevel : float
        The angle of the plank's inner face to the piece's faces less a right angle, radians: positive where the face
        on the line is the larger.
    inside : float
        How far inside the face on the line the far face is, square to the facet at its middle, mm; negative: outside.
    step, far_step : float
        How far it begins out from the corner of the strake below, on the face on the line and on the far face, mm; 0
        for the lowest.
    """

    strake: int
    bevel: float
    inside: float
    step: float
    far_step: float


@dataclass(frozen=True)
class AcrossShape:
    """A half of a bulkhead, a frame or a floor, (half-breadth, height).

    Attributes
    ----------
    piece : CrossPiece
    wood : "fore" or "aft"
        The side of the line that the wood is on.
    near, far : InsideSection
        The planking's inside at the face on the line, and at the far face.
    edge, far_edge : Array, shape (p, 2)
        The planked edge of either face, from the bottom, or the garboard's lower edge, up to the top.
    top : float
        Height of the top, mm.
    facets : tuple of PlankedFacet
        Those that the edge has a part of, from the lowest.
    """

    piece: CrossPiece
    wood: EndName
    near: InsideSection
    far: InsideSection
    edge: Array
    far_edge: Array
    top: float
    facets: tuple[PlankedFacet, ...]

    @property
    def about(self) -> About:
        """Return what it is."""
        return About(self.piece.kind, self.piece.number)


def across_shape(shell: PlankedShell, piece: CrossPiece) -> AcrossShape:
    """Return a bulkhead, a frame or a floor.

    Raises
    ------
    BoatError
        Where it does not fit into the boat, with the key of the hull file that it is about.
    """
    near = inside_section(shell, piece.at)
    wood = piece.side or _closing_in(shell, near)
    x_far = piece.at + (piece.thickness if wood == "aft" else -piece.thickness)
    _check_ends(shell, piece, (piece.at, x_far))
    near, far = _alike(near, inside_section(shell, x_far))
    _check_heights(shell, piece, (near, far))
    top = float(near.corners[-1, 1]) if piece.top is None else piece.top
    edges = [between(_line(piece, one), piece.bottom, top) for one in (near, far)]
    for face, edge in zip((near, far), edges, strict=True):
        check_transoms(shell, piece, "at", np.column_stack([np.full(len(edge), face.x), edge]))
    facets = _facets(shell, wood, near, far)
    low, high = edges[0][0, 1], edges[0][:, 1].max()
    shown = [
        facet
        for facet, cut in zip(facets, near.facets, strict=True)
        if cut.line[:, 1].max() > low + _NEAR and cut.line[:, 1].min() < high - _NEAR
    ]
    return AcrossShape(piece, wood, near, far, edges[0], edges[1], top, tuple(shown))


def _line(piece: CrossPiece, section: InsideSection) -> Array:
    return section.joggled if piece.edge == "joggled" else section.fair()


def between(line: Array, bottom: float | None, top: float) -> Array:
    """Return the part of a line, running up, from where it first rises past `bottom` to where it first reaches `top`.

    Parameters
    ----------
    line : Array, shape (p, 2)
    bottom : float or None
        None: from its beginning.
    top : float
        Where the line does not reach it, all of it is kept.
    """
    if bottom is not None:
        line = _cut(line, bottom)[1]
    return _cut(line, top)[0]


def _cut(line: Array, height: float) -> tuple[Array, Array]:
    """The parts of a line before and after it first rises to a height; nothing of it after where it never does."""
    above = np.flatnonzero(line[:, 1] >= height)
    if len(above) == 0:
        return line, line[:0]
    first = int(above[0])
    if first == 0:
        return line[:1], line
    low, high = line[first - 1], line[first]
    at = low + (height - low[1]) / (high[1] - low[1]) * (high - low)
    after = line[first + 1 :] if np.allclose(at, high, rtol=0.0, atol=1e-9) else line[first:]
    return np.vstack([line[:first], at]), np.vstack([at, after])


def _closing_in(shell: PlankedShell, section: InsideSection) -> EndName:
    """The side toward which the planking closes in; forward where it does so toward neither."""
    widths = [float(np.linalg.norm(facet.line[-1] - facet.line[0])) for facet in section.facets]
    turned = sum(
        width * _turned(shell, facet, section.x) for width, facet in zip(widths, section.facets, strict=True)
    )
    return "aft" if turned > _LEVEL * sum(widths) else "fore"


def _turned(shell: PlankedShell, facet: Facet, x: float) -> float:
    """The part along the boat, aft, of the outward unit normal of a strake's face in the middle of a facet at x."""
    middle = np.array([(1.0 + facet.low) / 2])
    return float(
        shell.normal(facet.strake, rulings_at_planes(shell, facet.strake, np.array([x]), middle), middle)[0, 0]
    )


def _alike(near: InsideSection, far: InsideSection) -> tuple[InsideSection, InsideSection]:
    """Both sections with the strakes that both have."""
    both = {facet.strake for facet in near.facets} & {facet.strake for facet in far.facets}
    first, second = (
        InsideSection(one.x, tuple(facet for facet in one.facets if facet.strake in both)) for one in (near, far)
    )
    return first, second


def _facets(shell: PlankedShell, wood: EndName, near: InsideSection, far: InsideSection) -> list[PlankedFacet]:
    sign = 1.0 if wood == "aft" else -1.0
    steps = zip((0.0, *near.steps), (0.0, *far.steps), strict=True)
    found = []
    for here, there, (step, far_step) in zip(near.facets, far.facets, steps, strict=True):
        turned = _turned(shell, here, (near.x + far.x) / 2)
        middle = (here.line[0] + here.line[-1]) / 2 - there.line[0]
        inside = -float(middle @ there.inward) / float(here.inward @ there.inward)
        found.append(PlankedFacet(here.strake, sign * float(np.arcsin(turned)), inside, float(step), float(far_step)))
    return found


def _check_ends(shell: PlankedShell, piece: CrossPiece, faces: tuple[float, float]) -> None:
    """Refuse a piece that crosses a stem or sternpost with either face, at x."""
    units = shell.hull.units
    for end in shell.hung.stems:
        member, name = shell.hull.end(end), timber(end)
        assert isinstance(member, Stem)
        foot = float(member.rabbet[0, 0])
        x, is_across = (min(faces), min(faces) < foot) if end == "fore" else (max(faces), max(faces) > foot)
        height = max(stem_up_to(shell, end, face) for face in faces)
        if is_across and piece.bottom is None:
            side = "aft" if end == "fore" else "forward"
            text = (
                f"crosses the {name}: its face at {spoken_length(x, units)} must stand {side} of the foot at "
                f"{spoken_length(foot, units)}; move it"
            )
            if np.isfinite(height):
                text += f", or give it a bottom of {spoken_length(height, units)} or more, above the {name}"
            raise refusal(piece, "at", text)
        if piece.bottom is not None and piece.bottom < height - SPOKEN:
            high = spoken_length(height, units)
            text = f"crosses the {name}, which reaches {high} high there; give it a bottom of {high} or more"
            raise refusal(piece, "bottom", text)


def _check_heights(shell: PlankedShell, piece: CrossPiece, faces: tuple[InsideSection, InsideSection]) -> None:
    """Refuse a top above the sheer, and heights at which there is no planking."""
    units = shell.hull.units
    if not faces[0].facets:
        raise refusal(piece, "at", "does not meet a whole strake; move it toward amidships")
    sheer = min(float(face.corners[-1, 1]) for face in faces)
    low = max(float(face.corners[0, 1]) for face in faces)
    if piece.top is not None and piece.top > sheer + SPOKEN:
        text = (
            f"reaches {spoken_length(piece.top, units)} high, above the sheer, which is at "
            f"{spoken_length(sheer, units)} there; make top {spoken_length(sheer, units)} or less, or leave it out"
        )
        raise refusal(piece, "top", text)
    for key, height in (("bottom", piece.bottom), ("top", piece.top)):
        if height is not None and not low < height:
            text = (
                f"has its {key} at {spoken_length(height, units)}, below the inside of the planking, which begins at "
                f"{spoken_length(low, units)} there; give more"
            )
            raise refusal(piece, key, text)
    if piece.bottom is not None and piece.bottom >= sheer:
        text = f"begins at {spoken_length(piece.bottom, units)}, above the sheer at {spoken_length(sheer, units)}"
        raise refusal(piece, "bottom", f"{text}; give less")
