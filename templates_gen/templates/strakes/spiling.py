"""A spiled strake as a template, compared with the computed one, and the blank form to fill in at the boat."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, Hand
from templates_gen.drawing.piece import BLANK, Facing, Folio, Path, Piece, Role, Table
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.setting_out import SettingOut, setting_out
from templates_gen.geometry.spiling.overlay import Laid, strake_points
from templates_gen.geometry.spiling.warp import Warp
from templates_gen.geometry.strake_marks import Edge, datum_of, off_datum, outline_of
from templates_gen.hull.measured.as_built import place_title
from templates_gen.hull.measured.spiling import EDGES
from templates_gen.hull.model import Hull
from templates_gen.stock.shaping import cut_to_hand, mirrored
from templates_gen.templates.sketches import spiling_sketch
from templates_gen.templates.strakes.at_marks import ordinate_cell
from templates_gen.templates.strakes.lines import StrakeLines, datum_paths, strake_lines
from templates_gen.templates.strakes.words import strake_words
from templates_gen.words import piece_name

Array = NDArray[np.float64]


def spiled_folio(hull: Hull, strake: FlatStrake, laid: Laid, warp: Warp, side: Hand | None = None) -> Folio:
    """Return a spiled strake's template, of one side or for both, and its two tables."""
    lines = _carried(strake_lines(hull, strake, setting_out(strake)), warp)
    tables = (differences_table(hull, strake, laid), _ordinates(hull, strake, lines, warp))
    piece, title = _piece(hull, strake, lines), f"Strake {strake.number} by spiling"
    if side is None:
        return Folio("strakes", title, (piece,), tables)
    own = tuple(replace(table, title=f"{table.title}, {side.upper()} side") for table in tables)
    return Folio("strakes", f"{title}, {side.upper()} side", (of_side(piece, side),), own)


def of_side(piece: Piece, side: Hand) -> Piece:
    """Return a strake's template, which is drawn to port, for one side only and of that hand."""
    own = cut_to_hand(piece)
    own = mirrored(own) if side == "starboard" else own
    return replace(
        own,
        name=f"{piece.name} {side.upper()}",
        title=(
            f"{piece.title[0]}, {side.upper()} side only",
            f"{side.upper()}, this face OUT",
            f"FORE {'left' if side == 'port' else 'right'}, SHEER edge up",
            "with the writing upright, KEEL edge down",
            "make one",
        ),
    )


def _piece(hull: Hull, strake: FlatStrake, lines: StrakeLines) -> Piece:
    number, count = strake.number, hull.planking.strakes
    thickness = hull.notation.spoken_thickness(hull.planking.thickness[number - 1])
    facts = ((f"strake {number}: as spiled at the boat", f"{thickness} thick, edges square"),)
    labels, arrows = strake_words(hull.notation, lines, facts)
    computed = outline_of(strake.edge("lower"), strake.end("aft"), strake.edge("upper"), strake.end("fore"))
    about = About("strake", number)
    return Piece(
        piece_name(about),
        "strakes",
        (
            f"Strake {number} of {count}: outline as SPILED",
            "PORT, this face OUT; turn over for starboard",
            "FORE end left, SHEER edge up, KEEL edge down",
            "make one and its mirror",
        ),
        (*lines.paths, *arrows, Path(computed, Role.NOTE, closed=True)),
        (),
        labels,
        (
            "Cut to the middle of the net line: it runs fair between the points read off the batten. The thin "
            "outline is the strake as computed, for comparison; the table gives the distances between the two.",
            "Ticks, lap lines, geralds and rivets are those of the computed strake, moved with its edges.",
            "Offer the pattern up to the boat before you cut wood.",
        ),
        about=about,
        facing=Facing("port", "this face OUT"),
    )


def _carried(lines: StrakeLines, warp: Warp) -> StrakeLines:
    """A strake's lines carried to the spiled strake, with a new straight datum."""
    out = _carried_setting_out(lines, warp)
    paths = [replace(path, points=warp(path.points)) for path in lines.paths if path.role != Role.DATUM]
    fastened = None if lines.rivets is None else replace(lines.rivets, centres=warp(lines.rivets.centres))
    carried = replace(
        lines,
        outline=warp(lines.outline),
        low=warp(lines.low),
        high=warp(lines.high),
        middle=warp(lines.middle),
        fore=warp(lines.fore),
        aft=warp(lines.aft),
        rough=tuple(replace(path, points=warp(path.points)) for path in lines.rough),
        setting_out=out,
        between=np.array([warp(tick) for tick in lines.between]).reshape(-1, 2, 2),
        upper=_carried_edge(lines.upper, warp),
        lower=_carried_edge(lines.lower, warp),
        rivets=fastened,
    )
    return replace(carried, paths=(*paths, *datum_paths(carried)))


def _carried_setting_out(lines: StrakeLines, warp: Warp) -> SettingOut:
    out = lines.setting_out
    ticks = tuple(
        replace(tick, lower=warp(tick.lower[None])[0], upper=warp(tick.upper[None])[0]) for tick in out.ticks
    )
    laps = (lines.lap if lines.lower is not None else 0.0, lines.lap if lines.upper is not None else 0.0)
    along = off_datum(warp(lines.low), warp(lines.high), laps, lines.rivets is not None)
    datum = datum_of(warp(lines.middle), warp(lines.outline), along)
    return SettingOut(datum, ticks, warp(out.lower), warp(out.upper))


def _carried_edge(edge: Edge | None, warp: Warp) -> Edge | None:
    if edge is None:
        return None
    geralds = tuple(
        replace(
            gerald,
            start=warp(gerald.start),
            quarters=tuple(replace(quarter, line=warp(quarter.line)) for quarter in gerald.quarters),
        )
        for gerald in edge.geralds
    )
    turns = tuple((warp(line), hollow) for line, hollow in edge.turns)
    return replace(edge, inner_line=warp(edge.inner_line), geralds=geralds, turns=turns)


def differences_table(hull: Hull, strake: FlatStrake, laid: Laid) -> Table:
    """Return how far every spiled point lies from the computed one, aft and toward the sheer."""
    by_place: dict[str, dict[str, tuple[str, str]]] = {}
    for (edge, place), off, out in zip(laid.places, laid.off, laid.is_left_out, strict=True):
        star = " *" if out else ""
        figures = (hull.notation.signed(float(off[0])) + star, hull.notation.signed(float(off[1])) + star)
        by_place.setdefault(place, {})[edge] = figures
    order = [place for place in strake_points(strake)["lower"] if place in by_place]
    unit = hull.notation.fine_units
    rows = tuple(
        (place_heading(hull, place), *(figure for edge in EDGES for figure in by_place[place].get(edge, ("–", "–"))))
        for place in order
    )
    return Table(
        f"Strake {strake.number}: spiled against computed",
        ("place", *(f"{edge} edge\n{way} ({unit})" for edge in EDGES for way in ("+ aft", "+ to sheer"))),
        rows,
        (
            "The spiling is turned and moved to lie on the computed strake, never stretched. Both edges off the "
            "same way in the middle: the batten was edge-set. Edges too far apart or too close everywhere: a wrong "
            "radius. One point far forward or aft: a wrong place.",
            "*: does not fit the rest of its edge, and is left out of the outline.",
        ),
        about=About("strake", strake.number),
    )


def _ordinates(hull: Hull, strake: FlatStrake, lines: StrakeLines, warp: Warp) -> Table:
    rows = []
    points = strake_points(strake)
    for place in points["lower"]:
        cells = [place_heading(hull, place)]
        for edge in EDGES:
            along, ordinate = lines.datum.measured(warp(points[edge][place][None])[0])
            cells += [hull.notation.length(along), ordinate_cell(ordinate, hull.notation)]
        rows.append(tuple(cells))
    return Table(
        f"Strake {strake.number} as spiled: ordinates from its datum line",
        (
            "place",
            *(
                heading
                for edge in EDGES
                for heading in (
                    hull.notation.heading(f"{edge} edge\nat"),
                    f"{edge} edge\nordinate ({hull.notation.fine_units})",
                )
            ),
        ),
        tuple(rows),
        (
            "Distances are along the datum, from a square line through the foremost point; ordinates are square to "
            "it, up toward the SHEER.",
        ),
        word_columns=(0, 2, 4),
        about=About("strake", strake.number),
    )


def place_heading(hull: Hull, place: str) -> str:
    """Return how a place is written in a table: "mould 2", "fore corner", "half-way 2-3"."""
    return f"{place} corner" if place in ("fore", "aft") else place_title(hull, place)


def form_folio(hull: Hull, strake: FlatStrake) -> Folio:
    """Return the blank forms to fill in at the boat for one strake, by offsets and by arcs."""
    return Folio(
        "strakes", f"Spiling form for strake {strake.number}", (), form_tables(hull, strake), sketch=spiling_sketch()
    )


def form_tables(hull: Hull, strake: FlatStrake) -> tuple[Table, Table]:
    """Return one strake's two blank forms: distances and offsets, or two arcs to each point."""
    head = _form_head(hull, strake)
    return _offsets_form(hull, strake, head), _arcs_form(hull, strake, head)


def _form_head(hull: Hull, strake: FlatStrake) -> tuple[str, ...]:
    unit = hull.notation.length_words
    below = "rabbet line" if strake.number == 1 else f"lap line on strake {strake.number - 1}"
    return (
        f"Lower edge: the {below}. Upper edge: the marks of strake {strake.number} on stem, moulds and transom. All "
        f"in {unit}. Fasten the batten between them as it lies naturally, never forced sideways. Strike a straight "
        f"line on "
        f"it. Boat: {hull.name}, drawing {hull.fingerprint or '–'}. Side: port / starboard. Batten's thickness: "
        f"{BLANK}",
        "You may leave half-ways out. The sketch on the first page shows what to measure.",
    )


def _offsets_form(hull: Hull, strake: FlatStrake, head: tuple[str, ...]) -> Table:
    points = strake_points(strake)
    widths = {
        place: hull.notation.length(float(np.linalg.norm(points["upper"][place] - low)))
        for place, low in points["lower"].items()
    }
    edges = (f"{edge} edge\n{what}" for edge in EDGES for what in ("along", "+ to sheer\n- to keel"))
    notes = (
        *head,
        "Along: from the fore end of the straight line. Offsets: square to it, + toward the sheer, - toward the "
        "keel, whichever way up the boat is built. 'Computed' is the computed width of the strake; compare it to "
        "find a mistake while you are at the boat.",
    )
    rows = tuple((place_heading(hull, place), *[BLANK] * 4, width) for place, width in widths.items())
    title = f"Strake {strake.number}: spiling by offsets"
    return Table(
        title, ("place", *edges, "width\ncomputed"), rows, notes, is_form=True, about=About("strake", strake.number)
    )


def _arcs_form(hull: Hull, strake: FlatStrake, head: tuple[str, ...]) -> Table:
    edges = (
        heading for edge in EDGES for heading in (f"{edge}:\n1st along", "1st\n+ / -", "2nd\nalong", "2nd\n+ / -")
    )
    notes = (
        *head,
        f"Radius: {BLANK} Set the compass once and do not change it: measure it on a rule before and after. From "
        "every point swing two arcs on to the batten and prick where they cross the straight line, or any two places "
        "on them: those are the centres, the forward one first.",
    )
    rows = tuple((place_heading(hull, place), *[BLANK] * 8) for place in strake_points(strake)["lower"])
    return Table(
        f"Strake {strake.number}: spiling by two arcs",
        ("place", *edges),
        rows,
        notes,
        is_form=True,
        about=About("strake", strake.number),
    )
