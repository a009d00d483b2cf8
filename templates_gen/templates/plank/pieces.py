"""A plank measured on the boat as a template: its outline with every mark, and the bevel boards of its lands."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, About, EndName
from templates_gen.drawing.piece import Facing, Folio, Path, Piece, Role
from templates_gen.geometry.flat_strakes import narrowest_board
from templates_gen.geometry.places import RuledPlace
from templates_gen.geometry.plank.lands import PlankLand, planed_thickness, take_off
from templates_gen.geometry.plank.marks import fastenings_along, hollow_depths, marked_edge
from templates_gen.geometry.plank.outline import FlatPlank, longer
from templates_gen.geometry.setting_out import SettingOut
from templates_gen.numerics.chains import running
from templates_gen.templates.bevels.board import boards_for
from templates_gen.templates.bevels.facts import LandFacts
from templates_gen.templates.plank.lands import land_pieces
from templates_gen.templates.plank.tables import measured_table, plank_tables
from templates_gen.templates.strakes.geralds import GERALD_NOTE, HELD_NOTE
from templates_gen.templates.strakes.lines import Shape, StrakeLines, lines_of
from templates_gen.templates.strakes.pieces import fastening_holes
from templates_gen.templates.strakes.spiling import of_side
from templates_gen.templates.strakes.words import strake_words
from templates_gen.words import piece_name

Array = NDArray[np.float64]


def plank_folio(plank: FlatPlank, lands: tuple[PlankLand, ...]) -> Folio:
    """Return the template of a measured plank, what is laid on its lands, and its tables."""
    measured = plank.measured
    out = plank.setting_out()
    lines = _lines(plank, lands, out)
    piece = of_side(_piece(plank, lines), measured.side)
    boards = boards_for(measured, measured.lap_on, [facts for land in lands if (facts := land_facts(land))])
    title = f"Strake {measured.strake} as measured, {measured.side.upper()} side"
    tables = plank_tables(plank, lands, out, lines.rivets)
    pieces = (piece, *boards, *land_pieces(lands))
    return Folio("strakes", title, pieces, tables, (measured_table(plank, lands),))


def _lines(plank: FlatPlank, lands: tuple[PlankLand, ...], out: SettingOut) -> StrakeLines:
    """The plank's template before it is lettered."""
    measured = plank.measured
    by_side = {land.side: land for land in lands}
    below, above = by_side.get("below"), by_side.get("above")
    along = [tick.u_lower for tick in out.ticks]
    scarfs = [path for end in ENDS for path in _scarf(plank, end)]
    shape = Shape(
        number=measured.strake,
        lap=measured.lap,
        low=plank.lower,
        high=plank.upper,
        middle=plank.middle,
        fore=plank.ends["fore"],
        aft=plank.ends["aft"],
        rough=() if plank.rough is None else (Path(plank.rough, Role.ROUGH, closed=True),),
        upper=None if above is None else marked_edge(above),
        lower=None if below is None else marked_edge(below),
        hollow_depths=np.zeros(len(along)) if below is None else hollow_depths(below, along),
        rivets=None if below is None else fastenings_along(below),
        rivets_name="old holes" if measured.reuses_holes else "rivets",
        named=tuple(("scarf begins here", path.points) for path in scarfs),
    )
    return lines_of(shape, out, measured.notation, scarfs)


def _scarf(plank: FlatPlank, end: EndName) -> tuple[Path, ...]:
    """The line at which the scarf to the old plank begins; none where its length was not measured."""
    length = plank.measured.ends[end].scarf
    return () if length is None else (Path(plank.moved_end(end, -length), Role.SCRIBE),)


def land_facts(land: PlankLand) -> LandFacts | None:
    """Return what the bevel board shows of a land: the places where its bevel was read; None where none was."""
    run = land.run
    if run is None:
        return None
    plank = land.plank
    kept = np.flatnonzero(~run.is_left_out)
    places = tuple(RuledPlace(plank.place(land.places[i]), float(run.along[i])) for i in kept)
    bevel = run.at(run.along[kept])
    off = take_off(bevel, land.lap)
    is_hollow = bevel < 0.0
    planed = np.array([planed_thickness(land, bool(hollow)) or np.nan for hollow in is_hollow])
    widths = plank.edges["upper"].run.at(run.along[kept]) - plank.edges["lower"].run.at(run.along[kept])
    return LandFacts(
        land.land,
        places,
        bevel,
        bevel,
        off,
        planed - off,
        off,
        off,
        is_hollow,
        np.array([land.is_in_gerald(float(along)) for along in run.along[kept]]),
        widths - land.lap,
        widths - land.lap,
    )


def _piece(plank: FlatPlank, lines: StrakeLines) -> Piece:
    """The template as it is to port."""
    measured = plank.measured
    labels, arrows = strake_words(measured.notation, lines, _facts(plank, lines))
    about = About("strake", measured.strake)
    return Piece(
        piece_name(about),
        "strakes",
        (f"Strake {measured.strake}: outline as MEASURED on the boat",),
        (*lines.paths, *arrows),
        () if measured.reuses_holes else fastening_holes(lines.rivets),
        labels,
        _notes(plank, lines),
        about=about,
        facing=Facing("port", "this face OUT"),
    )


def _facts(plank: FlatPlank, lines: StrakeLines) -> tuple[tuple[str, ...], ...]:
    """What is written in the plank's field once."""
    measured, notation = plank.measured, plank.measured.notation
    length = float(running(plank.middle)[-1])
    width = float(np.max(np.linalg.norm(plank.upper - plank.lower, axis=1)))
    board = narrowest_board(np.concatenate([lines.outline, *(path.points for path in lines.rough)]))
    size = " × ".join(notation.spoken_length(side) for side in board)
    return (
        (
            f"{measured.name} {measured.fingerprint}, strake {measured.strake}, as measured on the boat",
            f"net length {notation.spoken_length(length)}, greatest net width {notation.spoken_length(width)}",
            f"board {size}, {notation.spoken_length(measured.thickness)} thick, edges square",
        ),
        (f"strake {measured.strake}: laid flat as the batten lay; offer it up before you cut wood",),
    )


def _notes(plank: FlatPlank, lines: StrakeLines) -> tuple[str, ...]:
    """How the pattern is used, and what it takes for granted."""
    measured, notation = plank.measured, plank.measured.notation
    notes = [
        "Cut to the middle of the net line, edges square. It runs fair between the points that were measured; "
        "the table of points says how far each is from it. The long dashes outside it are the rough line: leave that "
        "wood until the plank is fitted. Where there are none, no allowance was given.",
        "Scribe ticks and lines of long dashes with short gaps on the face you look at, which goes out; "
        "short dashes are on the far face.",
        "The plank is laid flat as the batten lay: this takes for granted that the batten lay free, never forced "
        "sideways, over the whole width of the plank. A plank that is twisted or hollow across is wider or narrower "
        "in the middle than a flat batten can show. Offer the pattern up to the boat before you cut wood.",
        _turn_note(plank),
        "Without paper: strike the datum line on the board, lay off the distances along it and the ordinates square "
        "to it from the table, and run a batten through the points.",
    ]
    if measured.reuses_holes:
        notes.append(
            "The ticks on the line along the lower lap show where the old holes of the strake below come, as "
            "measured along the batten; how far up the lap each one is was not measured. Do not drill on them: hang "
            "the plank and drill outward through the old holes. Along the upper edge drill from the holes of the old "
            "strake above."
        )
    elif lines.rivets is not None:
        notes.append(
            "The holes along the lower edge are for a NEW strake below: drill both planks together when the plank "
            "hangs. Where the strake below is old, drill none of them: hang the plank and drill outward through the "
            "holes that the old strake has. A second row of holes between old ones can split it. Along the upper "
            "edge drill from the holes of the old strake above."
        )
    if any(measured.ends[end].scarf is not None for end in ENDS):
        notes.append(
            "The line across a scarfed end is where its scarf begins; the end itself is the feather edge. Plane the "
            "face that meets the scarf of the old plank: which one it is was not measured."
        )
    if any(edge is not None and edge.geralds for edge in (lines.upper, lines.lower)):
        notes.append(
            f"The figures in the geralds are depths in {notation.depth_words}, bevel and gerald together: first what "
            f"comes off at the edge, then what comes off at the line along the lap. {GERALD_NOTE} "
            f"{HELD_NOTE}"
        )
    return tuple(notes)


def _turn_note(plank: FlatPlank) -> str:
    """What the plank's thickness does to its length."""
    measured, notation = plank.measured, plank.measured.notation
    each = longer(measured)
    if abs(each) < _SAME_THICKNESS:
        return "The batten was as thick as the plank: both bend about the same middle, and the length is the plank's."
    way = "longer" if each > 0.0 else "shorter"
    if measured.turn is not None:
        more = notation.spoken_fine(abs(each) * measured.turn)
        return (
            f"The plank is {more} {way} than it was on the batten, for it bends further out: spread evenly over it."
        )
    for_ten = notation.spoken_fine(abs(each) * float(np.radians(10.0)))
    return (
        "How far the batten turned from end to end was not measured. For every 10 degrees the plank, which is not as "
        f"thick as the batten, wants to be {for_ten} {way} than drawn: fit one end first."
    )


_SAME_THICKNESS = 0.1
"""Half the difference of plank and batten that makes no length worth a word, mm."""
