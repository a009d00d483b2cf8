"""Tables of a plank measured on the boat: what was measured and what was not, points, lands and fastenings."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, About, EndName
from templates_gen.drawing.piece import Table
from templates_gen.geometry.fastenings import Rivets
from templates_gen.geometry.plank.lands import PlankGerald, PlankLand, planed_thickness, take_off
from templates_gen.geometry.plank.marks import fastened_places
from templates_gen.geometry.plank.outline import FlatPlank
from templates_gen.geometry.setting_out import SettingOut
from templates_gen.hull.measured.plank import ReadBevel
from templates_gen.hull.measured.spiling import EDGES
from templates_gen.notation import Notation
from templates_gen.numerics.chains import running
from templates_gen.templates.bevels.facts import QUARTER_NAMES
from templates_gen.templates.cards import tenths
from templates_gen.templates.strakes.geralds import HELD_NOTE
from templates_gen.templates.strakes.tables import ordinates_table
from templates_gen.words import on_sheet

Array = NDArray[np.float64]
Row = tuple[str, ...]

NOT_MEASURED = "NOT MEASURED"
_NONE = "–"


def measured_table(plank: FlatPlank, lands: tuple[PlankLand, ...]) -> Table:
    """Return what was measured, what was not, and what is drawn of it."""
    measured = plank.measured
    rows = [*_outline_rows(plank)]
    for land in lands:
        rows += _land_rows(land)
    for end in ENDS:
        rows += _end_rows(plank, lands, end)
    rows += _thickness_rows(plank)
    return Table(
        f"Strake {measured.strake}, {measured.side.upper()}: what was measured on the boat, and what was not",
        ("part", "measured", "drawn"),
        tuple(rows),
        (
            "What was not measured is not drawn. Measure it, add it to the file, and make the sheets again; or leave "
            "that part to be fitted at the boat.",
        ),
        word_columns=(0, 1, 2),
        about=About("strake", measured.strake),
    )


def _outline_rows(plank: FlatPlank) -> Iterator[Row]:
    measured, notation = plank.measured, plank.measured.notation
    for edge in EDGES:
        fair = plank.edges[edge]
        ways = []
        count = sum(place in measured.by_widths for place in fair.places)
        arcs = sum(place in measured.arcs[edge] for place in fair.places)
        for number, way in ((count, "square to the batten"), (len(fair.places) - count - arcs, "by offsets"),
                            (arcs, "by two arcs")):  # fmt: skip
            ways += [f"{number} {way}"] if number else []
        out = fair.left_out
        drawn = "fair between them" if not out else f"fair between them; left out: {', '.join(out)}"
        if not fair.run.is_judged:
            drawn += "; too few to find a slip"
        yield f"{edge} edge", f"{len(fair.places)} points: {', '.join(ways)}", drawn
    turn = NOT_MEASURED if measured.turn is None else tenths(measured.turn)
    stretched = "length as on the batten" if measured.turn is None else "length at mid-thickness"
    batten = notation.spoken_length(measured.batten) if measured.batten else "thin"
    yield "batten", f"{batten}; its turn from end to end: {turn}", stretched
    if plank.apart:
        listed = ", ".join(plank.apart)
        yield "ticks", f"two points far apart along the batten: {listed}", "no tick there"


def _land_rows(land: PlankLand) -> Iterator[Row]:
    notation, measured = land.plank.measured.notation, land.plank.measured
    strake = (
        f"strake {land.land + 1} over this plank" if land.side == "above" else f"this plank over strake {land.land}"
    )
    name = f"land {land.land}: {strake}"
    shared = ", the same as above" if land.side == "below" and not measured.has_own_lap_below else ""
    yield (
        name,
        f"lap {notation.spoken_length(land.lap)}{shared}",
        "lap line" if land.side == "above" else "short dashes inside",
    )
    if land.run is None:
        yield f"land {land.land}: bevels", NOT_MEASURED, "no bevel board, no take-off"
        return
    gaps = sum(one.gap is not None for one in land.read)
    count = len(land.read)
    ways = ", ".join(
        f"{number} {way}" for number, way in ((count - gaps, "with a bevel"), (gaps, "by a gap")) if number
    )
    out = [land.places[slip.index] for slip in land.run.slips]
    drawn = f"from {land.places[0]} to {land.places[-1]}"
    yield f"land {land.land}: bevels", f"{count}: {ways}", drawn + (f"; left out: {', '.join(out)}" if out else "")
    inside = [place for place in measured.bevels[land.side] if place not in land.places]
    if inside:
        yield f"land {land.land}: bevels", f"inside a gerald: {', '.join(inside)}", "not used"


def _end_rows(plank: FlatPlank, lands: tuple[PlankLand, ...], end: EndName) -> Iterator[Row]:
    measured, notation = plank.measured, plank.measured.notation
    given = measured.ends[end]
    name = f"{'fore' if end == 'fore' else 'after'} end"
    count = len(given.points)
    yield name, f"lies on a {given.on}", f"a curve through {count} points" if count else "straight, corner to corner"
    allowance = "none given" if given.allowance is None else notation.spoken_length(given.allowance)
    yield f"{name}: allowance", allowance, "rough line" if given.allowance else "the net line only"
    if given.on == "scarf":
        scarf = NOT_MEASURED if given.scarf is None else f"{notation.spoken_length(given.scarf)} long"
        yield f"{name}: scarf", scarf, _NONE if given.scarf is None else "where it begins"
    if given.on in ("stem", "transom"):
        yield f"{name}: its own bevel", NOT_MEASURED, "square; fit it at the boat"
        gerald = NOT_MEASURED if given.gerald is None else f"{notation.spoken_length(given.gerald)} long"
        if given.gerald is None:
            yield f"{name}: gerald", gerald, _NONE
        for land in lands if given.gerald is not None else ():
            own = next(one for one in land.geralds if one.end == end)
            missing = (
                f"not drawn: {', '.join(own.missing)} not measured"
                if own.missing
                else "a card; depths at its quarters"
            )
            yield f"{name}: gerald of land {land.land}", gerald, missing


def _thickness_rows(plank: FlatPlank) -> Iterator[Row]:
    measured, notation = plank.measured, plank.measured.notation
    yield "thickness", notation.spoken_length(measured.thickness), "depths are taken from it"
    if measured.strake > 1:
        below = measured.thickness_below
        yield (
            "thickness of the strake below",
            NOT_MEASURED if below is None else notation.spoken_length(below),
            "in gerald depths",
        )
        given = measured.fastened
        if given is None:
            yield "fastenings of the lower edge", NOT_MEASURED, "no holes"
        elif given.old_holes:
            words = f"{len(given.old_holes)} old holes of the strake below"
            yield "fastenings of the lower edge", words, "a tick at each, at mid-lap; no holes to drill"
        elif given.between is not None:
            yield "fastenings of the lower edge", f"at each place, {given.between} between two places", "holes"
        else:
            spacing = notation.spoken_length(given.spacing or 0.0)
            yield "fastenings of the lower edge", f"at each place, at most {spacing} apart", "holes"
    if not measured.is_sheer:
        yield "fastenings of the upper edge", NOT_MEASURED, "no holes: drill from the old ones"


def plank_tables(
    plank: FlatPlank, lands: tuple[PlankLand, ...], out: SettingOut, fastened: Rivets | None
) -> tuple[Table, ...]:
    """Return the tables of a plank's points, ordinates, lands, geralds and fastenings."""
    measured = plank.measured
    scarfs: tuple[Array, ...] = ()
    ends = (plank.ends["fore"], plank.ends["aft"])
    tables = [_points_table(plank), ordinates_table(measured.strake, ends, out, scarfs, measured.notation, True)]
    tables += [_land_table(land) for land in lands if land.run is not None]
    drawn = [(land, gerald) for land in lands for gerald in land.geralds if not gerald.missing]
    tables += [_gerald_table(drawn, measured.notation)] if drawn else []
    if fastened is not None:
        table = _old_holes_table if measured.reuses_holes else _fastening_table
        tables.append(table(plank, out, fastened))
    return tuple(tables)


def _points_table(plank: FlatPlank) -> Table:
    """Every point as it was read, and how far above or below the fair edge it lies."""
    measured, notation = plank.measured, plank.measured.notation
    rows = []
    for place in measured.places:
        cells = [on_sheet(plank.place(place))]
        for edge in EDGES:
            fair = plank.edges[edge]
            if place not in fair.places:
                cells += [_NONE] * 3
                continue
            k = fair.places.index(place)
            star = " *" if fair.run.is_left_out[k] else ""
            figures = (
                notation.length(float(fair.run.along[k]) / plank.scale),
                notation.signed(float(fair.run.values[k])),
            )
            cells += [*figures, notation.signed(float(fair.run.off[k])) + star]
        rows.append(tuple(cells))
    unit = notation.fine_units
    headings = (
        heading
        for edge in EDGES
        for heading in (notation.heading(f"{edge}:\nalong"), f"offset\n({unit})", f"off the fair\nedge ({unit})")
    )
    return Table(
        f"Strake {measured.strake}: every point as measured, and how far it is from the fair edge",
        ("place", *headings),
        tuple(rows),
        (
            "Along the batten's straight edge, and square to it, + up. Off the fair edge: + above it. *: all other "
            "points say otherwise; it is left out of the outline. Read it again.",
        ),
        about=About("strake", measured.strake),
    )


def _land_table(land: PlankLand) -> Table:
    """Bevels as read and fair, and what they take off, at every place of the edge."""
    plank, notation = land.plank, land.plank.measured.notation
    edge = plank.edges[land.which]
    rows = tuple(_land_row(land, place, edge.along(place)) for place in edge.places)
    unit = notation.depth_unit
    over = f"strake {land.land + 1} over strake {land.land}"
    notes = [
        "Bevels are square to the land, between the faces of the two strakes; minus: hollow, planed inside the upper "
        "strake at its lower edge. Fair: the smooth run of all readings. Take-off: the lap times the tangent.",
        f"{_NONE}: no bevel was read there or beyond it, or the gerald's depths hold there. *: all other readings "
        "say otherwise; left out.",
    ]
    if any(_read_in_gerald(land, place) for place in edge.places):
        notes.append(
            "A bevel that was read in a gerald has the gerald in it. Fair is the bevel that the land would have "
            "there without the gerald; the bevel board leaves the place out. A reading is not used where the upper "
            "strake's width or the lower strake's thickness was not measured."
        )
    if land.side == "below":
        notes.append(
            "Where it is not hollow this bevel is planed on the old strake below: try it with the board, and plane "
            "nothing off that fits."
        )
    return Table(
        f"Land {land.land}: {over}",
        (
            "place",
            "bevel\nread",
            "bevel\nfair",
            f"take-off at\nthe edge ({unit})",
            f"edge left\n({unit})",
            "planed on",
        ),
        rows,
        tuple(notes),
        word_columns=(0, 1, 5),
        about=About("land", land.land),
    )


def _land_row(land: PlankLand, place: str, along: float) -> Row:
    plank, notation = land.plank, land.plank.measured.notation
    name = on_sheet(plank.place(place))
    read, bevel = _read_at(land, place, along), float(land.bevels(np.array([along]))[0])
    if not np.isfinite(bevel):
        return name, read, _NONE, _NONE, _NONE, _NONE
    if land.is_in_gerald(along):
        return name, read, tenths(bevel), _NONE, _NONE, "use the gerald's depths"
    off = float(take_off(np.array(bevel), land.lap))
    is_upper = bevel < 0.0
    is_own = is_upper == (land.side == "below")
    thickness = planed_thickness(land, is_upper)
    left = _NONE if thickness is None else notation.depth_cell(thickness - off)
    strake = land.land + is_upper
    where = f"{'this plank' if is_own else f'strake {strake}'}, {'INSIDE' if is_upper else 'OUTSIDE'}"
    return name, read, tenths(bevel), notation.depth_cell(off), left, where


def _read_in_gerald(land: PlankLand, place: str) -> bool:
    along = land.plank.edges[land.which].along(place)
    return place in land.plank.measured.bevels[land.side] and land.is_in_gerald(along)


def _read_at(land: PlankLand, place: str, along: float) -> str:
    """A place's bevel as it was read, and whether it is used as it stands; "–" where none was read."""
    one = land.plank.measured.bevels[land.side].get(place)
    if one is None:
        return _NONE
    words = read_words(one, land.plank.measured.notation)
    if place not in land.places:
        return f"{words} in the gerald, not used"
    assert land.run is not None
    star = " *" if land.run.is_left_out[land.places.index(place)] else ""
    return f"{words}{' in the gerald' if land.is_in_gerald(along) else ''}{star}"


def read_words(one: ReadBevel, notation: Notation) -> str:
    """Return a bevel as it was read: "6.5°", "gap 2.5 at 40"."""
    if one.gap is None or one.width is None:
        return tenths(one.angle)
    return f"gap {notation.depth(one.gap)} at {notation.length(one.width)}"


def _gerald_table(drawn: list[tuple[PlankLand, PlankGerald]], notation: Notation) -> Table:
    """What comes off the plank at the quarters of its geralds."""
    rows = []
    for land, gerald in drawn:
        edge = "upper edge, OUTSIDE" if land.side == "above" else "lower edge, INSIDE"
        for k, name in enumerate(QUARTER_NAMES):
            figures = (float(gerald.at_edge[k]), float(gerald.at_inner_line[k]))
            thickness = land.plank.measured.thickness
            cells = (cell for figure in figures for cell in (figure, thickness - figure))
            rows.append((f"{edge}, {gerald.end}", name, *map(notation.depth_cell, cells)))
    return Table(
        "Geralds of this plank by quarters of their length, from the start to the plank's end",
        ("gerald", "at", "off at\nthe edge", "left\nthere", "off one\nlap in", "left\nthere"),
        tuple(rows),
        (
            f"Depths are in {notation.depth_words}, square to the face, gerald and bevel together. {HELD_NOTE} "
            "A gerald starts gently, runs in evenly, and takes half the "
            "thickness of the lower strake at the end (common practice).",
        ),
        word_columns=(0, 1),
    )


def _fastening_table(plank: FlatPlank, out: SettingOut, fastened: Rivets) -> Table:
    """Where each fastening comes along the lower edge, and from the datum."""
    places = fastened_places(plank)
    rows = []
    for number, (centre, on_timber) in enumerate(zip(fastened.centres, fastened.on_timber, strict=True), start=1):
        cells = _hole_cells(plank, out, centre)
        nearest = min(places, key=lambda name: abs(places[name] - centre[0]), default="") if on_timber else ""
        rows.append((str(number), *cells, on_sheet(plank.place(nearest)) if nearest else ""))
    return Table(
        f"Fastenings along the lower edge: {len(rows)}",
        ("number", *_hole_headings(plank.measured.notation), "on"),
        tuple(rows),
        (
            "Along the edge from its fore corner. Holes are at mid-lap; move those that would meet a scarf.",
            "There is one on each place that was measured, and the others are spaced evenly between two places. "
            "Where a timber stands between two places, move the nearest one on to it.",
            "This list is for a new strake below. Where the strake below is old, drill outward through its holes.",
        ),
        word_columns=(0, 4),
        about=About("strake", plank.measured.strake),
    )


def _old_holes_table(plank: FlatPlank, out: SettingOut, fastened: Rivets) -> Table:
    """Where each old hole of the strake below comes on the plank."""
    measured, notation = plank.measured, plank.measured.notation
    assert measured.fastened is not None
    rows = tuple(
        (str(number), notation.length(hole), *_hole_cells(plank, out, centre))
        for number, (hole, centre) in enumerate(zip(measured.fastened.old_holes, fastened.centres, strict=True), 1)
    )
    return Table(
        f"Old holes of strake {measured.strake - 1} along the lower edge: {len(rows)}",
        ("number", notation.heading("along the\nbatten"), *_hole_headings(notation)),
        rows,
        (
            "Along the batten as measured, and along the edge from its fore corner. They are marked at mid-lap, for "
            "how far up the lap each one is was not measured.",
            "Do not drill by this list: hang the plank and drill outward through the old holes. A hole that comes "
            "out far from its tick shows that the plank does not lie where it was measured.",
        ),
        word_columns=(0,),
        about=About("strake", measured.strake),
    )


def _hole_headings(notation: Notation) -> tuple[str, str, str]:
    """The headings of `_hole_cells`."""
    along = (notation.heading("along the\nedge"), notation.heading("along the\ndatum"))
    return *along, f"from the datum\n({notation.fine_units})"


def _hole_cells(plank: FlatPlank, out: SettingOut, centre: Array) -> tuple[str, str, str]:
    """Where the middle of a hole, (2,), comes along the lower edge, along the datum, and from the datum."""
    notation = plank.measured.notation
    along = float(np.interp(centre[0], plank.lower[:, 0], running(plank.lower)))
    at, ordinate = out.datum.measured(centre)
    return notation.length(along), notation.length(at), notation.signed(ordinate)
