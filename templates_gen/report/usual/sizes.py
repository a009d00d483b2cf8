"""The sizes of a hull file, and the bands that they usually lie in."""

from collections.abc import Callable, Iterator

import numpy as np

from templates_gen.about import ENDS, EndName
from templates_gen.hull.model import Hull, Midship, Stem, Transom
from templates_gen.hull.parts import LAPS
from templates_gen.numerics.chains import nearest_point
from templates_gen.report.usual.bands import Band, Figure

Figures = Callable[[Hull], Iterator[Figure]]

COMMON = "common practice"
THINNEST, THICKEST, USUAL_STOCK = 1 / 1200, 1 / 180, 1 / 420
"""The planks' thickness over the boat's length."""

OF_PLANKS = "{times} times the planks' thickness"
UP_TO = "{times} mm, more in a boat of over 8 m"
OF_LAP = "{times} times the lap"


def stock_of(hull: Hull) -> float:
    """Return the thickness of the planks, mm: the middle one of a list; what is usual, where that is not."""
    stock, length = float(np.median(hull.planking.thickness)), length_of(hull)
    return stock if THINNEST * length <= stock <= THICKEST * length else USUAL_STOCK * length


def lap_of(hull: Hull) -> float:
    """Return the width of the laps, mm; what is usual, where that is not."""
    lap, stock = hull.planking.lap, stock_of(hull)
    return lap if 1.2 * stock <= lap <= 5.0 * stock else LAPS[hull.planking.method] * stock


def length_of(hull: Hull) -> float:
    """Return the length from end to end, mm."""
    ends = [end.rabbet if isinstance(end, Stem) else end.profile for end in (hull.fore, hull.aft)]
    x = np.concatenate([*(points[:, 0] for points in ends), [station.at for station in hull.stations]])
    return float(np.ptp(x))


def bulk_of(hull: Hull) -> float:
    """Return by how much moulds and allowances grow with the boat: 1 up to 8 m, then in proportion to the length."""
    return max(1.0, length_of(hull) / 8000.0)


def siding_of(hull: Hull) -> float:
    """Return the keel's full thickness, mm."""
    return hull.keel.siding or 2.0 * max(float(station.rabbet[0]) for station in hull.stations)


def _waterline(hull: Hull) -> Iterator[Figure]:
    low = min(float(station.rabbet[1]) for station in hull.stations)
    high = min(float(station.section[-1, 1]) for station in hull.stations)
    if hull.waterline is not None:
        yield Figure(("waterline",), "the waterline", hull.waterline, high - low, low)


def _fair(hull: Hull) -> Iterator[Figure]:
    if hull.fair is not None:
        yield Figure(("lines", "fair"), "[lines] fair", hull.fair)


def _keel(name: str, scale: Callable[[Hull], float]) -> Figures:
    def figures(hull: Hull) -> Iterator[Figure]:
        value = getattr(hull.keel, name)
        if value is not None and hull.keel.joint != "flat":
            yield Figure(("keel", name), f"[keel] {name}", value, scale(hull))

    return figures


def _twice_the_rabbet(hull: Hull) -> float:
    return 2.0 * max(float(station.rabbet[0]) for station in hull.stations)


def _hog(index: int, word: str, scale: Callable[[Hull], float]) -> Figures:
    def figures(hull: Hull) -> Iterator[Figure]:
        if hull.keel.hog is not None and hull.keel.joint == "hog":
            yield Figure(("keel", "hog", index), f"[keel] the hog's {word}", hull.keel.hog[index], scale(hull))

    return figures


def _inside(name: str, scale: Callable[[Hull], float]) -> Figures:
    """Yield a size of every piece inside the planking that has it."""

    def figures(hull: Hull) -> Iterator[Figure]:
        """Yield the figures of one hull."""
        for piece in hull.inside:
            value = getattr(piece, name, None)
            if value:
                yield Figure(
                    ("inside", piece.index, name), f"the {name} of {piece.kind} {piece.number}", value, scale(hull)
                )

    return figures


def given_ends(hull: Hull) -> Iterator[tuple[EndName, Stem | Transom]]:
    """Yield the ends that a hull's file gives."""
    for name in ENDS:
        end = hull.end(name)
        if not isinstance(end, Midship) and (name == "fore" or hull.half != "mirror"):
            yield name, end


def _stem(name: str, scale: Callable[[Hull, Stem], float]) -> Figures:
    def figures(hull: Hull) -> Iterator[Figure]:
        for end, stem in given_ends(hull):
            value = getattr(stem, name) if isinstance(stem, Stem) else None
            if value is not None and isinstance(stem, Stem):
                yield Figure((end, name), f"[{end}] {name}", value, scale(hull, stem))

    return figures


def _transom(name: str, scale: Callable[[Hull, Transom], float]) -> Figures:
    def figures(hull: Hull) -> Iterator[Figure]:
        for end, transom in given_ends(hull):
            if isinstance(transom, Transom):
                yield Figure((end, name), f"[{end}] {name}", getattr(transom, name), scale(hull, transom))

    return figures


def _profile(measure: Callable[[Hull, EndName, Transom], tuple[int, int, str, float, float, float]]) -> Figures:
    """Yield a figure of each transom's profile: its place there, words, value, scale and origin."""

    def figures(hull: Hull) -> Iterator[Figure]:
        for end, transom in given_ends(hull):
            if isinstance(transom, Transom):
                point, column, words, value, scale, origin = measure(hull, end, transom)
                yield Figure((end, "profile", point, column), f"[{end}] {words}", value, scale, origin)

    return figures


def _bottom(hull: Hull, _: EndName, transom: Transom) -> tuple[int, int, str, float, float, float]:
    height, rabbet = float(transom.profile[0, 1]), float(transom.rabbet[1])
    return 0, 1, "profile's bottom height", height, stock_of(hull), rabbet


def _top(hull: Hull, _: EndName, transom: Transom) -> tuple[int, int, str, float, float, float]:
    height, sheer = float(transom.profile[1, 1]), float(transom.section[-1, 1])
    return 1, 1, "profile's top height", height, max(stock_of(hull), _breadth(hull, transom) / 60.0), sheer


def _rake(_: Hull, end: EndName, transom: Transom) -> tuple[int, int, str, float, float, float]:
    """How far the top leans out; a bow transom's top lies forward, so that its scale is negative."""
    (bottom_x, bottom), (top_x, top) = transom.profile
    rise = max(float(top - bottom), 1.0)
    return 1, 0, "profile's top distance", float(top_x), rise if end == "aft" else -rise, float(bottom_x)


def _face_distances(hull: Hull) -> Iterator[Figure]:
    """Yield how far each point of a stem's face lies from its rabbet line, `scale`: the middle one of them."""
    for end, stem in given_ends(hull):
        if isinstance(stem, Stem) and stem.face is not None:
            away = np.array([nearest_point(stem.rabbet, point)[1] for point in stem.face])
            middle = max(float(np.median(away)), 0.1)
            for place, distance in enumerate(away):
                words = f"[{end}] point {place + 1} of face: its distance from the rabbet line"
                yield Figure((end, "face", place), words, float(distance), middle, is_derived=True)


def _face_thickness(hull: Hull) -> Iterator[Figure]:
    """Yield how far a stem's face lies from its rabbet line, in the middle."""
    for end, stem in given_ends(hull):
        if isinstance(stem, Stem) and stem.face is not None:
            away = float(np.median([nearest_point(stem.rabbet, point)[1] for point in stem.face]))
            yield Figure(
                (end, "face"),
                f"[{end}] face: its distance from the rabbet line",
                away,
                stock_of(hull),
                is_derived=True,
            )


def _breadth(_: Hull, transom: Transom) -> float:
    return 2.0 * float(np.max(transom.section[:, 0]))


def _rabbets(hull: Hull) -> Iterator[Figure]:
    """Yield the half-breadths of the rabbet line, of stations and transoms; `scale`: half the widest siding."""
    half = siding_of(hull) / 2 if hull.keel.siding else float(np.median([s.rabbet[0] for s in hull.stations]))
    for index, station in enumerate(hull.stations):
        key = ("station", index, "rabbet", 0)
        yield Figure(key, f'station "{station.name}": the rabbet\'s half-breadth', float(station.rabbet[0]), half)
    for end, transom in given_ends(hull):
        if isinstance(transom, Transom):
            half = float(hull.stations[0 if end == "fore" else -1].rabbet[0])
            words = f"[{end}] the rabbet's half-breadth"
            yield Figure((end, "rabbet", 0), words, float(transom.rabbet[0]), 1.5 * half)


def _strakes(hull: Hull) -> Iterator[Figure]:
    widest = max(
        float(np.linalg.norm(np.diff(np.vstack([one.rabbet, one.section]), axis=0), axis=1).sum())
        for one in hull.stations
    )
    count = hull.planking.strakes
    yield Figure(("planking", "strakes"), "[planking] strakes", count, widest / stock_of(hull), is_length=False)


def _each_strake(name: str, scale: Callable[[Hull, int], float]) -> Figures:
    """Yield one figure for all strakes, or one for each, as the file gives them."""

    def figures(hull: Hull) -> Iterator[Figure]:
        """Yield the figures of one hull."""
        values = getattr(hull.planking, name)
        if len(set(values)) == 1:
            yield Figure(("planking", name), f"[planking] {name}", values[0], scale(hull, 0))
        for index, value in enumerate(values):
            words = f"[planking] {name} of strake {index + 1}"
            yield Figure(("planking", name, index), words, value, scale(hull, index))

    return figures


def _lap(method: str) -> Figures:
    def figures(hull: Hull) -> Iterator[Figure]:
        if hull.planking.method == method:
            yield Figure(("planking", "lap"), "[planking] lap", hull.planking.lap, stock_of(hull))

    return figures


def _hood(hull: Hull) -> Iterator[Figure]:
    yield Figure(("planking", "hood"), "[planking] hood", hull.planking.hood, lap_of(hull))


def _gerald(end: EndName) -> Figures:
    def figures(hull: Hull) -> Iterator[Figure]:
        """Yield the figure of one hull that has a gerald there."""
        gerald = hull.planking.gerald(end)
        if gerald is not None:
            yield Figure(
                ("planking", "gerald", end),
                f"[planking.gerald] {end}",
                gerald,
                max(length_of(hull), 150.0 * lap_of(hull)),
            )

    return figures


def _mould_thickness(is_long: bool) -> Figures:
    def figures(hull: Hull) -> Iterator[Figure]:
        if (bulk_of(hull) > 1.0) == is_long:
            yield Figure(("moulds", "thickness"), "[moulds] thickness", hull.moulds.thickness)

    return figures


def _base(hull: Hull) -> Iterator[Figure]:
    highest = max(float(station.section[-1, 1]) for station in hull.stations)
    yield Figure(("moulds", "base"), "[moulds] base", hull.moulds.base, bulk_of(hull), highest)


def _allowance(name: str) -> Figures:
    def figures(hull: Hull) -> Iterator[Figure]:
        yield Figure(("allowances", name), f"[allowances] {name}", getattr(hull.allowances, name), bulk_of(hull))

    return figures


def _timbers(hull: Hull) -> Iterator[Figure]:
    if hull.fastenings is not None and hull.fastenings.timbers is not None:
        yield Figure(("fastenings", "timbers"), "[fastenings] timbers", hull.fastenings.timbers, stock_of(hull))


def _pitch(hull: Hull) -> Iterator[Figure]:
    """Yield the distance from timber to timber; `scale` so that bounds are those of the fastenings between them."""
    given = hull.fastenings
    if given is not None and given.timbers is not None and given.between is not None:
        scale = stock_of(hull) * (given.between + 1)
        yield Figure(("fastenings", "timbers"), "[fastenings] timbers", given.timbers, scale)


def _between(hull: Hull) -> Iterator[Figure]:
    """Yield how many fastenings stand between timbers; `scale`: how many would stand one thickness apart."""
    given = hull.fastenings
    if given is not None and given.timbers is not None and given.between is not None:
        many = given.timbers / stock_of(hull)
        yield Figure(("fastenings", "between"), "[fastenings] between", given.between, many, -1.0, is_length=False)


def _timber_at(hull: Hull) -> Iterator[Figure]:
    if hull.fastenings is not None and hull.fastenings.at is not None:
        first, last = hull.stations[0].at, hull.stations[-1].at
        yield Figure(("fastenings", "at"), "[fastenings] at", hull.fastenings.at, last - first, first)


def _hole(hull: Hull) -> Iterator[Figure]:
    if hull.fastenings is not None and hull.fastenings.hole is not None:
        yield Figure(("fastenings", "hole"), "[fastenings] hole", hull.fastenings.hole, stock_of(hull))


def _factor(name: str) -> Figures:
    def figures(hull: Hull) -> Iterator[Figure]:
        yield Figure(("lands", name), f"[lands] {name}", getattr(hull.lands, name), is_length=False)

    return figures


def _strip(hull: Hull) -> Iterator[Figure]:
    yield Figure(("lands", "rubbing_strip"), "[lands] rubbing_strip", hull.lands.rubbing_strip, stock_of(hull))


def _thickness_of(hull: Hull, strake: int) -> float:
    return hull.planking.thickness[strake]


SIZES = (
    Band(("waterline",), _waterline, 0.2, 0.58, "{times} of the depth amidships, from the rabbet to the lowest sheer",
         "common practice: an open boat keeps two fifths of its depth or more above water", "section"),
    Band(("lines", "fair"), _fair, 0.2, 10.0, "", "common practice: fairing moves what a rule misreads", "offsets"),
    Band(("keel", "siding"), _keel("siding", _twice_the_rabbet), 0.95, 2.0,
         "{times} times the breadth from rabbet line to rabbet line",
         "the rabbet line lies on the keel's side", "rebate"),
    Band(("keel", "hog"), _hog(0, "width", siding_of), 1.2, 3.4, "{times} times the keel's siding", COMMON, "rebate"),
    Band(("keel", "hog"), _hog(1, "depth", stock_of), 1.3, 4.5, OF_PLANKS, COMMON, "rebate"),
    Band(("keel", "wood_inside"), _keel("wood_inside", stock_of), 1.5, 15.0, OF_PLANKS, COMMON, "rebate"),
    Band(("fore", "siding"), _stem("siding", lambda hull, _: stock_of(hull)), 2.2, 6.5, OF_PLANKS, COMMON, "rebate"),
    Band(("fore", "wood_inside"), _stem("wood_inside", lambda hull, _: stock_of(hull)), 1.5, 15.0, OF_PLANKS,
         COMMON, "rebate"),
    Band(("fore", "apron"), _stem("apron", lambda _, stem: stem.siding), 1.05, 2.25, "{times} times the siding",
         COMMON, "rebate"),
    Band(("fore", "thickness"), _transom("thickness", lambda hull, _: stock_of(hull)), 1.2, 4.5, OF_PLANKS, COMMON,
         "transom"),
    Band(("fore", "radius"), _transom("radius", _breadth), 0.7, 6.0, "{times} times the transom's breadth",
         "common practice: a flatter bow does not show, and a rounder one cannot be bent", "transom", True),
    Band(("fore", "lip"), _transom("lip", lambda _, transom: transom.thickness), 0.1, 0.75,
         "{times} of the transom's thickness", COMMON, "transom", True),
    Band(("fore", "profile"), _profile(_bottom), -5.0, 5.0, "{times} times the planks' thickness above the rabbet",
         "common practice: planks reach past a transom's bottom by a little", "transom"),
    Band(("fore", "profile"), _profile(_top), -3.0, 5.0, "level with the sheer, or crowned by a twelfth of the"
         " breadth",
         COMMON, "transom"),
    Band(("fore", "profile"), _profile(_rake), -0.04, 0.65, "a transom rakes by up to 33°", COMMON, "transom"),
    Band(("fore", "face"), _face_distances, 0.6, 1.8, "{times} times what it is at the other points", COMMON,
         "rebate"),
    Band(("fore", "face"), _face_thickness, 1.0, 8.0, OF_PLANKS, COMMON, "rebate"),
    Band(("station", "rabbet"), _rabbets, 0.15, 1.9, "{times} times what it is at the other stations",
         COMMON, "section", True),
    Band(("planking", "strakes"), _strakes, 1 / 40, 1 / 4.5,
         "a strake is 4.5 to 40 times the planks' thickness wide", COMMON,
         "strake"),
    Band(("planking", "thickness"), _each_strake("thickness", lambda hull, _: length_of(hull)), THINNEST, THICKEST,
         "{times} of the boat's length",
         "common practice: 6 mm on a canoe of 4.3 m, 14 mm on a heavy boat of 5 m, 9 mm at 4 m and 1 mm more a metre",
         "strake"),
    Band(("planking", "lap"), _lap("riveted"), 1.2, 4.0, OF_PLANKS,
         "twice the thickness (3/4 in on 3/8 in, a boatbuilder's rules of thumb, 2011), within a factor of two",
         "land"),
    Band(("planking", "lap"), _lap("glued"), 1.2, 5.0, OF_PLANKS,
         "three times the thickness (20 mm on 6, 30 on 9: a boatyard's published guidance), or riveted laps",
         "land"),
    Band(("planking", "least_edge"), _each_strake("least_edge", _thickness_of), 0.15, 0.85,
         "{times} of the strake's thickness", "half the thickness (common practice), within two thirds of it",
         "bevel"),
    Band(("planking", "hood"), _hood, 1.4, 12.0, OF_LAP,
         "common practice: three laps; a strake crosses a raked stem at a small angle, and ends longer", "strake"),
    Band(("planking", "gerald", "fore"), _gerald("fore"), 0.025, 0.12,
         "{times} of the boat's length, or 3.75 to 18 laps", COMMON, "land"),
    Band(("planking", "gerald", "aft"), _gerald("aft"), 0.025, 0.12,
         "{times} of the boat's length, or 3.75 to 18 laps", COMMON, "land"),
    Band(("moulds", "thickness"), _mould_thickness(False), 9.0, 32.0, "", "common practice: boards and plywood",
         "mould"),
    Band(("moulds", "thickness"), _mould_thickness(True), 9.0, 80.0, "", "common practice: boards and planks",
         "mould"),
    Band(("moulds", "base"), _base, 40.0, 900.0, "{times} mm above the highest sheer, more in a boat of over 8 m",
         "common practice: 100 mm or more, and legs no longer than a mould is high", "mould"),
    Band(("allowances", "transom"), _allowance("transom"), 8.0, 100.0, UP_TO, COMMON, "strake", True),
    Band(("allowances", "hood"), _allowance("hood"), 3.0, 60.0, UP_TO, COMMON, "strake", True),
    Band(("allowances", "sheer"), _allowance("sheer"), 1.5, 30.0, UP_TO, COMMON, "strake", True),
    Band(("inside", "thickness"), _inside("thickness", stock_of), 0.5, 6.0, OF_PLANKS, COMMON, "bulkhead"),
    Band(("inside", "width"), _inside("width", stock_of), 0.5, 25.0, OF_PLANKS, COMMON, "frame"),
    Band(("inside", "depth"), _inside("depth", stock_of), 1.0, 12.0, OF_PLANKS, COMMON, "gunwale"),
    Band(("inside", "limber"), _inside("limber", stock_of), 0.5, 6.0, OF_PLANKS, COMMON, "floor"),
    Band(("fastenings", "timbers"), _timbers, 6.0, 70.0, OF_PLANKS, COMMON, "strake"),
    Band(("fastenings", "timbers"), _pitch, 2.5, 9.5, OF_PLANKS + " for each space between fastenings",
         "common practice: a fastening every six thicknesses", "strake"),
    Band(("fastenings", "at"), _timber_at, 0.0, 1.0, "{times} of the way from the first station to the last", COMMON,
         "strake"),
    Band(("fastenings", "between"), _between, 1 / 9.5, 1 / 2.5, "one every 2.5 to 9.5 times the planks' thickness",
         "common practice: a fastening every six thicknesses", "strake"),
    Band(("fastenings", "hole"), _hole, 0.12, 0.5, OF_PLANKS, "common practice: a quarter of the thickness",
         "strake"),
    Band(("lands", "garboard"), _factor("garboard"), 0.6, 1.8, "", COMMON, "land"),
    Band(("lands", "sheer"), _factor("sheer"), 0.6, 1.8, "", COMMON, "land"),
    Band(("lands", "rubbing_strip"), _strip, 1.0, 8.0, OF_PLANKS, COMMON, "land", True),
)  # fmt: skip
"""Every size of the hull file, with the band that it usually lies in."""
