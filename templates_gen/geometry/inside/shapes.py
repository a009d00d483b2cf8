"""Every kind of piece that is put inside the planking: from a table of the hull file to its shape."""

from templates_gen.geometry.inside.across import AcrossShape, across_shape
from templates_gen.geometry.inside.corners import CornerShape, corner_shape
from templates_gen.geometry.inside.gunwales import GunwaleShape, TimbersShape, gunwale_shape, timbers_shape
from templates_gen.geometry.inside.level import ThwartShape, thwart_shape
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import CornerPiece, CrossPiece, Gunwale, Inside, Thwart

InsideShape = AcrossShape | ThwartShape | CornerShape | GunwaleShape | TimbersShape


def inside_shape(shell: PlankedShell, piece: Inside) -> InsideShape:
    """Return the shape of a piece that is put inside the planking. Raises BoatError where it does not fit."""
    match piece:
        case CrossPiece():
            return across_shape(shell, piece)
        case Thwart():
            return thwart_shape(shell, piece)
        case CornerPiece():
            return corner_shape(shell, piece)
        case Gunwale():
            return gunwale_shape(shell, piece)
        case _:
            return timbers_shape(shell, piece)
