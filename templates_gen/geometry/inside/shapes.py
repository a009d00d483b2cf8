"""Every kind of piece that is put inside the planking: from a table of the hull file to its shape."""

from templates_gen.geometry.inside.across import AcrossShape, across_shape
from templates_gen.geometry.inside.corners import CornerShape, corner_shape
from templates_gen.geometry.inside.level import ThwartShape, thwart_shape
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import CrossPiece, Inside, Thwart

InsideShape = AcrossShape | ThwartShape | CornerShape


def inside_shape(shell: PlankedShell, piece: Inside) -> InsideShape:
    """Return the shape of a piece that is put inside the planking. Raises BoatError where it does not fit."""
    if isinstance(piece, CrossPiece):
        return across_shape(shell, piece)
    return thwart_shape(shell, piece) if isinstance(piece, Thwart) else corner_shape(shell, piece)
