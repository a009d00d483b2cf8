"""What the pieces that fit inside the planking must be, as far as their own figures and the boat's length tell."""

from collections.abc import Iterator

from templates_gen.hull.checks.ends import boat_extent
from templates_gen.hull.model import CornerPiece, CrossPiece, Gunwale, Inside, Midship, Stem, Thwart, Transom
from templates_gen.hull.parts import Parts
from templates_gen.hull.problem import Problem, spoken


def inside_problems(parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with each piece: sizes of nothing, heights or edges crossed, places outside the boat."""
    for piece in parts.inside:
        yield from _size_problems(piece)
        if isinstance(piece, CrossPiece):
            yield from _across_problems(piece, parts)
        elif isinstance(piece, Thwart):
            yield from _thwart_problems(piece, parts)
        elif isinstance(piece, CornerPiece):
            yield from _below_problems(piece)
            yield from _corner_problems(piece, parts)
        elif isinstance(piece, Gunwale):
            yield from _below_problems(piece)
        elif "fastenings" not in parts.raw or (parts.fastenings is not None and parts.fastenings.timbers is None):
            text = "timbers need the distance from timber to timber; give timbers in [fastenings]"
            yield Problem(("inside", piece.index), text, "[fastenings] with timbers", piece.kind, "timbers")


def _problem(piece: Inside, key: str, text: str, expected: str) -> Problem:
    return Problem(("inside", piece.index, key), text, expected, piece.kind)


def _name(piece: Inside) -> str:
    return f"{piece.kind} {piece.number}"


def _size_problems(piece: Inside) -> Iterator[Problem]:
    """Yield sizes that must be more than nothing."""
    for key in ("thickness", "width", "depth", "arm", "throat", "tip"):
        size = getattr(piece, key, None)
        if size is not None and size <= 0:
            yield _problem(piece, key, f"the {key} of {_name(piece)} must be more than 0", "more than 0")


def _across_problems(piece: CrossPiece, parts: Parts) -> Iterator[Problem]:
    """Yield heights crossed, holes that cannot be, and what is wrong with the place."""
    if piece.limber < 0:
        text = f"the limber hole of {_name(piece)} must not be less than 0; leave limber out if there is none"
        yield _problem(piece, "limber", text, "0 or more")
    elif piece.limber and piece.bottom is not None:
        text = f"{_name(piece)} has a limber hole but begins above the keel, at its bottom; take limber or bottom out"
        yield _problem(piece, "limber", text, "no limber, or no bottom")
    if piece.bottom is not None and piece.top is not None and piece.top <= piece.bottom:
        top, bottom = spoken(piece.top, parts.units), spoken(piece.bottom, parts.units)
        text = f"the top of {_name(piece)}, {top}, is not above its bottom, {bottom}; exchange them"
        yield _problem(piece, "top", text, f"more than {bottom}")
    outside = list(_outside_problems(piece, "at", piece.at, parts))
    yield from outside or _bay_problems(piece, parts)


def _outside_problems(piece: Inside, key: str, place: float, parts: Parts) -> Iterator[Problem]:
    """Yield that a place is outside the boat."""
    extent = boat_extent(parts)
    if extent is not None and not extent[0] < place < extent[1]:
        first, last = (spoken(end, parts.units) for end in extent)
        text = f"{_name(piece)} has {key} = {spoken(place, parts.units)}, outside the boat; move it"
        yield _problem(piece, key, text, f"between {first} and {last}")


def _bay_problems(piece: CrossPiece, parts: Parts) -> Iterator[Problem]:
    """Yield that a piece is thicker than the bay between two stations that it stands in."""
    extent = boat_extent(parts)
    if extent is None:
        return
    stops = sorted({*extent, *(station.at for station in parts.stations.values())})
    before = max(stop for stop in stops if stop <= piece.at)
    after = min(stop for stop in stops if stop > piece.at)
    if piece.thickness >= after - before:
        thick, first, last = (spoken(one, parts.units) for one in (piece.thickness, before, after))
        text = (
            f"{_name(piece)} is {thick} thick, at least as much as the bay that it stands in, from {first} to "
            f"{last}; check the thickness and units"
        )
        yield _problem(piece, "thickness", text, f"less than {spoken(after - before, parts.units)}")


def _thwart_problems(piece: Thwart, parts: Parts) -> Iterator[Problem]:
    """Yield edges outside the boat, or crossed."""
    for key, place in (("fore", piece.fore), ("aft", piece.aft)):
        yield from _outside_problems(piece, key, place, parts)
    if piece.aft <= piece.fore:
        fore, aft = spoken(piece.fore, parts.units), spoken(piece.aft, parts.units)
        text = f"the after edge of {_name(piece)}, at {aft}, is not aft of its forward edge, at {fore}; exchange them"
        yield _problem(piece, "aft", text, f"more than {fore}")


def _below_problems(piece: CornerPiece | Gunwale) -> Iterator[Problem]:
    """Yield that a piece at the sheer is above it."""
    if piece.below < 0:
        text = f"below of {_name(piece)} must not be less than 0; leave it out where it is level with the sheer"
        yield _problem(piece, "below", text, "0 or more")


def _corner_problems(piece: CornerPiece, parts: Parts) -> Iterator[Problem]:
    """Yield an end that is of the wrong kind, and a stem of which too little is known."""
    end, name = parts.end(piece.end), _name(piece)
    if piece.kind == "breasthook":
        if end is not None and not isinstance(end, Stem):
            text = f'{name} needs a stem, but [{piece.end}] is none; change its end, or make it a "knee"'
            yield _problem(piece, "end", text, "an end with a stem")
        elif isinstance(end, Stem) and end.wood_inside is None:
            text = f"{name} bears on the inside of the stem, which is not known; give wood_inside in [{piece.end}]"
            yield Problem((piece.end, "wood_inside"), text, "a length", piece.kind)
        return
    if piece.transom_arm <= 0:
        yield _problem(piece, "transom_arm", f"the transom_arm of {name} must be more than 0", "more than 0")
    if end is not None and (not isinstance(end, Transom) or isinstance(end, Midship)):
        text = f'{name} needs a transom, but [{piece.end}] is none; change its end, or make it a "breasthook"'
        yield _problem(piece, "end", text, "an end with a transom")
