"""What the pieces that fit inside the planking must be, as far as their own figures and the boat's length tell."""

from collections.abc import Iterator

from templates_gen.hull.checks.ends import boat_extent
from templates_gen.hull.model import CrossPiece
from templates_gen.hull.parts import Parts
from templates_gen.hull.problem import Problem, spoken


def inside_problems(parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with each piece: sizes of nothing, heights crossed, places outside the boat."""
    for piece in parts.inside:
        yield from _size_problems(piece)
        yield from _height_problems(piece, parts)
        yield from _place_problems(piece, parts)


def _size_problems(piece: CrossPiece) -> Iterator[Problem]:
    """Yield sizes that must be more than nothing, and a hole for water where there is no keel."""
    name = f"{piece.kind} {piece.number}"
    for key, size in (("thickness", piece.thickness), ("width", piece.width)):
        if size is not None and size <= 0:
            text = f"the {key} of {name} must be more than 0"
            yield Problem(("inside", piece.index, key), text, "more than 0", piece.kind)
    if piece.limber < 0:
        text = f"the limber hole of {name} must not be less than 0; leave limber out if there is none"
        yield Problem(("inside", piece.index, "limber"), text, "0 or more", piece.kind)
    elif piece.limber and piece.bottom is not None:
        text = f"{name} has a limber hole but begins above the keel, at its bottom; take limber or bottom out"
        yield Problem(("inside", piece.index, "limber"), text, "no limber, or no bottom", piece.kind)


def _height_problems(piece: CrossPiece, parts: Parts) -> Iterator[Problem]:
    """Yield a top that is not above the bottom."""
    if piece.bottom is None or piece.top is None or piece.top > piece.bottom:
        return
    top, bottom = spoken(piece.top, parts.units), spoken(piece.bottom, parts.units)
    text = f"the top of {piece.kind} {piece.number}, {top}, is not above its bottom, {bottom}; exchange them"
    yield Problem(("inside", piece.index, "top"), text, f"more than {bottom}", piece.kind)


def _place_problems(piece: CrossPiece, parts: Parts) -> Iterator[Problem]:
    """Yield a piece outside the boat, and one that is thicker than the bay between two stations that it stands in."""
    extent = boat_extent(parts)
    name = f"{piece.kind} {piece.number}"
    if extent is None:
        return
    first, last = (spoken(place, parts.units) for place in extent)
    if not extent[0] < piece.at < extent[1]:
        text = f"{name} stands at {spoken(piece.at, parts.units)}, outside the boat; move it"
        yield Problem(("inside", piece.index, "at"), text, f"between {first} and {last}", piece.kind)
        return
    stops = sorted({*extent, *(station.at for station in parts.stations.values())})
    before = max(stop for stop in stops if stop <= piece.at)
    after = min(stop for stop in stops if stop > piece.at)
    bay = spoken(after - before, parts.units)
    if piece.thickness >= after - before:
        text = (
            f"{name} is {spoken(piece.thickness, parts.units)} thick, as much as the bay that it stands in, from "
            f"{spoken(before, parts.units)} to {spoken(after, parts.units)}, or more; check the thickness and units"
        )
        yield Problem(("inside", piece.index, "thickness"), text, f"less than {bay}", piece.kind)
