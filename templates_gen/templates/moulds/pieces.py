"""Moulds: a half of each, able to be set up, with both faces, land marks and the planking drawn in section on it."""

from templates_gen.about import About
from templates_gen.drawing.marks import line
from templates_gen.drawing.piece import Facing, Label, Path, Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.places import station_place
from templates_gen.templates.moulds.edge import far_face, flats_of, land_ticks, planking_in_section
from templates_gen.templates.moulds.outline import Mould, moulds_of
from templates_gen.templates.moulds.surroundings import below, keel_in_section, levels, scribed_levels
from templates_gen.templates.moulds.words import mirrored_stations, notes, side_of_line, words
from templates_gen.words import piece_name


def mould_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return one piece, "mould NAME", for each station with a mould; its millimetres are the station's (y, z).

    The mirrored stations of half a boat have none of their own: their moulds are the given ones, turned end for end.
    """
    return tuple(_piece(boat, mould) for mould in moulds_of(boat) if not mould.shape.station.mirrors)


def _piece(boat: Boat, mould: Mould) -> Piece:
    shape = mould.shape
    flats = flats_of(shape, mould.outline.foot)
    paths = [Path(mould.outline.closed, Role.CUT, closed=True), _centreline(mould)]
    labels: list[Label] = []
    for more_paths, more_labels in (
        land_ticks(shape, flats),
        far_face(boat, shape, mould.faces, flats, mould.notch, scribed_levels(boat, mould)),
        planking_in_section(boat, shape),
        keel_in_section(boat, mould),
        words(boat, mould),
    ):
        paths += more_paths
        labels += more_labels
    level_paths, level_labels = levels(boat, mould, labels)
    paths += level_paths
    labels += level_labels
    hull, mirrored = boat.hull, mirrored_stations(boat, mould)
    about = About("mould", place=station_place(hull, shape.station))
    face = "AFT" if mould.faces.wood == "fore" else "FORWARD"
    title = (
        f"Mould {mould.name}",
        f"{face} face, set on the station line; {side_of_line(mould)}",
        "with the writing upright: as seen from AFT, starboard half, SHEER up",
        "make two, one the mirror image of the other; join them on the centreline",
        *(f"make two more for station {one.name}; turn them end for end there" for one in mirrored),
    )
    return Piece(
        piece_name(about),
        "moulds",
        title,
        tuple(paths),
        (),
        tuple(labels),
        notes(boat, mould),
        serves=tuple(station_place(hull, one) for one in (shape.station, *mirrored)),
        about=about,
        facing=Facing("starboard", f"{face} face"),
    )


def _centreline(mould: Mould) -> Path:
    """The centreline carried down from the mould's bottom past the keel."""
    return line(Role.CENTRELINE, (0.0, mould.notch.top), (0.0, below(mould)))
