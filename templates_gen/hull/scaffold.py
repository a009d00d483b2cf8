"""The files to start from: a hull file of a plain boat, every key explained, to be overwritten with your own figures;
and the log of a boat, begun on the day its moulds are made, with drawing, stock and laps as they are then.
"""

from collections.abc import Iterable
from typing import Literal

from templates_gen.hull import plain_boat as plain
from templates_gen.hull.json_schema import SCHEMA_FILE
from templates_gen.hull.lengths import to_mm
from templates_gen.hull.measured.as_built import half_way_names, place_names
from templates_gen.hull.model import Hull
from templates_gen.hull.names import shown_key
from templates_gen.units import MM_PER_INCH, UnitName, format_length

EndKind = Literal["stem", "transom"]

_PER_LINE = 4
_COLUMN = 34
_MEASURE = {
    "mm": "lengths are in millimetres",
    "in": "lengths are in inches and decimals of an inch",
    "ft-in-8": 'feet-inches-eighths: "2-3-4" is 2 ft 3 4/8 in, "2-3-4+" a sixteenth more',
}

_EXACT = 1e-6
_OTHER_UNITS = '    # or "eighths": plain numbers are then eighths of an inch'


def scaffold(fore: EndKind, aft: EndKind, units: UnitName) -> str:
    """Return the text of a hull file to start from; it reads and builds as it stands.

    Parameters
    ----------
    fore, aft : "stem" or "transom"
    units : UnitName
    """
    write = _Writer(units)
    parts = [
        _head(write),
        _stations(write, fore, aft),
        _keel(write),
        _end(write, "fore", fore),
        _end(write, "aft", aft),
        _planking(write, fore, aft),
        _moulds(write),
        _lands(write),
    ]
    return "\n".join(parts)


class _Writer:
    """Writes lengths and points in a file's units."""

    def __init__(self, units: UnitName) -> None:
        self.units = units

    def length(self, length: float) -> str:
        """A length in mm: to the millimetre or a tenth, a hundredth of an inch, or a sixteenth."""
        if self.units == "mm":
            return f"{length:g}"
        if self.units == "in":
            return f"{round(length / MM_PER_INCH, 3 if length < MM_PER_INCH else 2):g}"
        return f'"{format_length(length, self.units)}"'

    def stock(self, size: float) -> str:
        """A size of stock in mm: to the millimetre or a tenth, or to the nearest eighth of an inch."""
        eighth = MM_PER_INCH / 8
        return self.length(size if self.units == "mm" else round(size / eighth) * eighth)

    def sizes(self, sizes: tuple[float, float]) -> str:
        """Two sizes of stock."""
        return f"[{self.stock(sizes[0])}, {self.stock(sizes[1])}]"

    def point(self, point: plain.Point) -> str:
        return f"[{self.length(point[0])}, {self.length(point[1])}]"

    def points(self, points: Iterable[plain.Point]) -> str:
        """Points in lines of four."""
        texts = [self.point(point) for point in points]
        lines = [", ".join(texts[i : i + _PER_LINE]) for i in range(0, len(texts), _PER_LINE)]
        return "[\n" + "".join(f"    {line},\n" for line in lines) + "]"


def _line(assignment: str, remark: str) -> str:
    """A line with its remark in the column of remarks."""
    return f"{assignment.ljust(_COLUMN)}# {remark}\n"


def _head(write: _Writer) -> str:
    return (
        f"#:schema ./{SCHEMA_FILE.name}\n"
        "# A hull file to start from: a plain boat, which can be built as it is. Replace its figures with yours.\n"
        "# Give one half of the boat. Distances run aft from an upright line at the fore end, heights up from the\n"
        "# base line, half-breadths out from the centreline. Keys with # before them may be left out: take the #\n"
        "# away to use them. The first line tells editors where the schema of this file is; you may take it out.\n\n"
        + _line("format = 1", "of the hull file itself, always 1")
        + _line('name = "My boat"', "printed on every template")
        + _line(f'units = "{write.units}"', _MEASURE[write.units])
        + _line(f"waterline = {write.stock(plain.WATERLINE)}", "height; leave it out and none is drawn")
        + _line('# edition = "first"', "printed as given, so that sheets of two versions are never mixed")
        + "\n[lines]\n"
        + _line('to = "inside"', 'sections are to the "inside" or the "outside" of the planking')
        + _line(
            f"# fair = {write.length(1.0)}",
            "move marks by at most this to make the lines fair; all moves are listed",
        )
    )


def _stations(write: _Writer, fore: EndKind, aft: EndKind) -> str:
    lines = [*_toward(fore), plain.MIDDLE, *reversed(_toward(aft))]
    tables = [_station(write, index, lines[index]) for index in range(len(lines))]
    return (
        "# ---- Stations, fore to aft, three or more: give as many as you have, with a mould at each ----\n\n"
        + "\n".join(tables)
    )


def _toward(end: EndKind) -> tuple[plain.Lines, plain.Lines]:
    return plain.TOWARD_STEM if end == "stem" else plain.TOWARD_TRANSOM


def _station(write: _Writer, index: int, lines: plain.Lines) -> str:
    at = f"at = {write.length((index + 1) * plain.SPACING)}"
    rabbet = f"rabbet = {write.point(lines.rabbet)}"
    if index:
        first = f'name = "{index + 1}"\n{at}\n{rabbet}\nsection = '
    else:
        first = (
            _line('name = "1"', "in quotes; written on the mould and on every strake")
            + _line(at, "distance")
            + _line("# mould = false", "for a station that gets no mould")
            + _line(rabbet, "[half-breadth, height] where the outside of the garboard meets the keel")
            + _line("# section:", "[half-breadth, height], from the rabbet out to the sheer, the last point")
            + "section = "
        )
    return f"[[station]]\n{first}{write.points(lines.section)}\n"


def _keel(write: _Writer) -> str:
    return (
        "# ---- Backbone ----\n\n[keel]\n"
        + _line('joint = "hog"', '"rebate", "hog" (the garboard lies on a hog) or "flat" (a flat bottom)')
        + _line(f"hog = {write.sizes(plain.HOG)}", "width and depth")
        + _line(f"# siding = {write.stock(44.0)}", "the keel's thickness; left out: twice the rabbet's half-breadth")
    )


def _end(write: _Writer, name: str, kind: EndKind) -> str:
    where = f"[{name}]".ljust(_COLUMN) + f"# the {'fore' if name == 'fore' else 'after'} end: a {kind}\n"
    return where + (_stem(write, name) if kind == "stem" else _transom(write, name))


def _stem(write: _Writer, name: str) -> str:
    return (
        'kind = "stem"\n'
        + _line('joint = "rebate"', 'or "bevel": planks trimmed flush with its face, a false stem over them')
        + _line(f"siding = {write.stock(plain.STEM_SIDING)}", "its full thickness at the rabbet line")
        + _line(
            f"wood_inside = {write.stock(plain.WOOD_INSIDE)}",
            "wood inside the rabbet line, along the side, with the apron",
        )
        + _line(f"apron = {write.stock(plain.APRON)}", "width of an apron wider than the siding; left out: none is")
        + _line("# rabbet:", "the rabbet line, [distance, height], from the foot on the keel up to the head")
        + f"rabbet = {write.points(_mirrored(plain.STEM_RABBET, name))}\n"
        + _line("# face:", "its outer edge; left out: not drawn")
        + f"face = {write.points(_mirrored(plain.STEM_FACE, name))}\n"
    )


def _transom(write: _Writer, name: str) -> str:
    profile = ", ".join(write.point(point) for point in _mirrored(plain.TRANSOM_PROFILE, name))
    return (
        'kind = "transom"\n'
        + _line("# profile:", "its outer face at the centreline, [distance, height], bottom and top")
        + f"profile = [{profile}]\n"
        + _line(f"thickness = {write.stock(plain.TRANSOM_THICKNESS)}", "of its wood")
        + _line(f"# radius = {write.stock(1800.0)}", "of an outer face bowed outward; left out: flat")
        + _line(f"rabbet = {write.point(plain.TRANSOM.rabbet)}", "as at a station, on the outer face")
        + f"section = {write.points(plain.TRANSOM.section)}\n"
    )


def _mirrored(points: Iterable[plain.Point], name: str) -> list[plain.Point]:
    """Points of an end forward, or the same counted from the after end."""
    return [(x if name == "fore" else plain.LENGTH - x, z) for x, z in points]


def _planking(write: _Writer, fore: EndKind, aft: EndKind) -> str:
    text = (
        "# ---- Planking ----\n\n[planking]\n"
        + _line('method = "riveted"', 'or "glued": a lap that is left out is twice or three times the thickness')
        + _line(f"strakes = {plain.STRAKES}", "on each side; `check` reports when they are too few")
        + _line(f"thickness = {write.stock(plain.THICKNESS)}", "of the stock as measured; or a list, garboard first")
        + _line(f"lap = {write.stock(plain.LAP)}", "square to the edge")
        + _line(
            f"# least_edge = {write.length(plain.THICKNESS / 2)}",
            "of the edge that planing must leave; left out: half the thickness",
        )
        + "\n"
    )
    remark = "Length of the half-laps that bring strakes flush. A stem needs them, a transom may go without."
    gerald = f"{write.stock(plain.GERALD)}"
    kinds = {"fore": fore, "aft": aft}
    table = f"# {remark}\n[planking.gerald]\n"
    geralds = "".join(f"{'' if kind == 'stem' else '# '}{end} = {gerald}\n" for end, kind in kinds.items())
    return text + table + geralds + "\n" + _fastenings(write)


def _fastenings(write: _Writer) -> str:
    return (
        _line("# [fastenings]", "along the lands; left out: every six thicknesses")
        + _line(f"# timbers = {write.stock(150.0)}", "from timber to timber")
        + _line("# between = 2", "how many there are between two timbers")
    )


def _moulds(write: _Writer) -> str:
    return (
        "[moulds]\n"
        + _line(f"thickness = {write.stock(plain.MOULD_THICKNESS)}", "of their wood")
        + _line('edge = "faceted"', 'straight from land to land; or "smooth"')
        + _line(f"base = {write.stock(plain.BASE)}", "height of the building line that all moulds reach")
        + "\n[allowances]".ljust(_COLUMN + 1)
        + "# wood left outside the net line\n"
        + f"transom = {write.stock(40.0)}\nhood = {write.stock(10.0)}\nsheer = {write.stock(5.0)}\n"
    )


def _lands(write: _Writer) -> str:
    return (
        "# ---- Lands: where the upper edges of the strakes run ----\n\n[lands]\n"
        + _line('by = "even"', 'the program lines them off; or "girth" or "offsets", with a row for each place')
        + _line("# garboard = 1.15", "its visible width over that of the other strakes; left out: 1")
        + _line(f"# rubbing_strip = {write.stock(25.0)}", "width of the sheer strake that a rubbing strip hides")
        + _line("# [lands.pins]", "marks that stay where you put them; the others give way")
        + _line(f"# 3 = {{2 = {write.stock(250.0)}}}", "at station 3 land 2, by its girth from the rabbet")
    )


def log_to_start(hull: Hull) -> str:
    """Return the text of an as-built file for a boat of which nothing hangs yet; it reads as it stands."""
    planking, moulds = hull.planking, [station.name for station in hull.stations if station.mould]
    figures = ", ".join(f"{shown_key(name)} = {_figure(0.0, hull.units)}" for name in place_names(hull))
    mould = shown_key(moulds[len(moulds) // 2]) if moulds else "NAME"
    laps = [planking.lap_on(land) for land in range(1, planking.strakes)]
    drawn = _figures(laps, hull.units) if laps else "none"
    little = _figure(MM_PER_INCH / 8.0 if hull.units != "mm" else 2.0, hull.units)
    lines = [
        f"# The log of {hull.name}: what you measure on the boat while you plank it.",
        "# From now on leave the hull file as it is: the marks on the moulds are those of this drawing.",
        "format = 1",
        f'hull = "{hull.fingerprint}"',
        f'units = "{hull.units}"{_OTHER_UNITS if hull.units != "mm" else ""}',
        _stock(planking.thickness, hull.units),
        "",
        "# Moulds that stand out of their places: out, in, toward_sheer, toward_keel, forward or aft.",
        f"# [mould.{mould}]",
        f"# out = {little}",
        "# Write [mould.NAME.port] for one side. On a boat built keel up the sheer is below.",
        "# The same of an end, [end.fore] or [end.aft]; a stem stands neither in nor out.",
        "# [end.fore]",
        f"# forward = {little}",
        "",
        "# Each strake once it hangs, from the garboard up: how far its upper inside corner is from its drawn mark.",
        *_half_way(hull, little),
        "# Write [strake.1.port] and [strake.1.starboard] for each side by itself, [strake.1.remade] for a strake",
        "# that you took off and hung again.",
        "# [strake.1]",
        f"# toward_sheer = {{ {figures} }}",
        "# toward_keel = { }",
        f"# thickness = {_figure(planking.thickness[0], hull.units)}    # of its stock; as drawn: "
        f"{_figures(planking.thickness, hull.units)}",
        f"# lap = {_figure(planking.lap, hull.units)}    # as set off for the next strake; as drawn: {drawn}",
    ]
    return "\n".join(lines) + "\n"


def _half_way(hull: Hull, little: str) -> tuple[str, ...]:
    """The line that shows how a place between two moulds is given, if the boat has one."""
    name = next((name for name in half_way_names(hull)[1:] if name), "")
    return (f"# Half-ways may be given too, among the others: {shown_key(name)} = {little}.",) if name else ()


def _stock(thickness: tuple[float, ...], units: UnitName) -> str:
    """The line of the stock for what is still to be hung, if one figure can say it."""
    own = _figure(thickness[0], units)
    line = f"stock = {own}    # thickness of the stock that is still to be hung; write what yours measures"
    is_exact = abs(to_mm(own.strip('"') if units == "ft-in-8" else float(own), units) - thickness[0]) < _EXACT
    return line if is_exact and len(set(thickness)) == 1 else f"# {line}"


def _figures(lengths: tuple[float, ...] | list[float], units: UnitName) -> str:
    """Lengths for a remark; one for all where all are alike."""
    every = [_figure(length, units) for length in lengths]
    return every[0] if len(set(every)) == 1 else ", ".join(every)


def _figure(length: float, units: UnitName) -> str:
    """A length in mm as the file has it."""
    if units == "ft-in-8":
        return f'"{format_length(length, units)}"'
    return f"{length:g}" if units == "mm" else f"{round(length / MM_PER_INCH, 8):g}"
