"""The English of places and of what things are about: the only module that makes it, and nobody reads it back."""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import replace

from templates_gen.about import About, EndName, Hand, Part, Place
from templates_gen.units import UnitName, format_length, format_tenths

MOST_NAMES = 6
"""Names of one kind of template that are written out; more are given as the first, the last and their number."""


def in_message(place: Place) -> str:
    """Return a place as a sentence names it: "station 2", "half-way 2–3", "the fore end"."""
    match place.kind:
        case "station":
            return f"station {place.station}"
        case "half-way":
            return f"half-way {place.station}–{place.following}"
        case "gerald":
            return f"the start of the {_end(place.station)} gerald"
        case "end":
            return f"the {_end(place.station)} end"
        case "foot":
            return f"the foot of the {_end(place.station)} rabbet"
        case "measured":
            return _own_name(place)


def at_place(place: Place) -> str:
    """Return a place with its preposition: "at station 2", "half-way 2–3", "at the fore end"."""
    return in_message(place) if place.kind == "half-way" else f"at {in_message(place)}"


def written(place: Place) -> str:
    """Return a place as the builder's own files name it: "2", "fore", "half-way 2-3"."""
    return f"half-way {place.station}-{place.following}" if place.kind == "half-way" else place.station


def timber(end: EndName | None) -> str:
    """Return the timber that the planks end on, or the keel: "stem", "sternpost", "keel"."""
    return "keel" if end is None else "stem" if end == "fore" else "sternpost"


def numbered(about: About) -> str:
    """Return what it is about without its place: "land 3", "strakes 3 to 5", "the after transom", "the keel"."""
    if about.thing in ("rebate", "transom"):
        strakes = f" at {numbered(replace(about, thing='strake'))}" if about.number is not None else ""
        wood = f"{timber(about.end)}'s rebate" if about.thing == "rebate" else f"{_end(about.end)} transom"
        return f"the {wood}{strakes}"
    if about.thing == "stem":
        return f"the {timber(about.end)}"
    if about.number is None:
        return f"the {_end(about.end)} {about.thing}" if about.end else f"the {about.thing}"
    if about.last is None or about.last == about.number:
        return f"{about.thing} {about.number}"
    return f"{about.thing}s {about.number} to {about.last}"


def spoken(about: About) -> str:
    """Return all of it: "land 3 at station 2", "strake 4 at the fore end", "mould 2"."""
    if about.place is None:
        return numbered(about)
    if about.thing == "mould":
        return f"mould {about.place.station}"
    return f"{numbered(about)} {at_place(about.place)}"


def listed(about: About) -> str:
    """Return all of it for a column of places: "land 3, mould 2", "strake 4", "transom aft", "stem, strake 3"."""
    parts = [_listed_thing(about)]
    if about.number is not None:
        parts.append(
            numbered(replace(about, thing="strake" if about.thing in ("rebate", "transom") else about.thing))
        )
    if about.place is not None:
        is_mould = about.place.kind == "station" and about.thing not in ("section", "offsets")
        parts.append(f"mould {about.place.station}" if is_mould else in_message(about.place))
    return ", ".join(part for part in parts if part)


def _listed_thing(about: About) -> str:
    """What comes before number and place; "" where the number or the place says it."""
    if about.thing in ("rebate", "stem"):
        return timber(about.end)
    if about.thing == "transom":
        return f"transom {about.end}"
    if about.number is not None or about.thing in ("section", "offsets"):
        return ""
    if about.thing == "mould" and about.place is not None:
        return ""
    return f"{about.thing} {about.end}" if about.end else about.thing


def on_sheet(place: Place, units: UnitName = "mm") -> str:
    """Return a place as a template and its tables name it: "mould 2", "100 aft of mould 2", "half-way 2–3"."""
    return _off(_mark(place), place, units)


def _off(mark: str, place: Place, units: UnitName) -> str:
    """Return what a place is called with how far it is from there: "100 aft of mould 2", "50 up the rabbet"."""
    if not place.offset:
        return mark
    distance = _distance_and_way(place, units)
    return distance if place.kind == "foot" else f"{distance} of {mark}"


def _distance_and_way(place: Place, units: UnitName) -> str:
    """Return how far a place is from what it is measured from, and which way: "100 aft", "50 up the rabbet"."""
    way = "up the rabbet" if place.kind == "foot" else "aft" if place.offset > 0.0 else "forward"
    return f"{format_length(abs(place.offset), units)} {way}"


def short(place: Place) -> str:
    """Return a place in few letters: "2" at a station, "2–3" half-way, "gerald start fore", "fore end"."""
    match place.kind:
        case "station":
            return place.station
        case "half-way":
            return f"{place.station}–{place.following}"
        case "gerald":
            return f"gerald start {place.station}"
        case _:
            return _mark(place)


def _mark(place: Place) -> str:
    match place.kind:
        case "station":
            return f"{'mould' if place.has_mould else 'station'} {place.station}"
        case "half-way":
            return f"half-way {place.station}–{place.following}"
        case "gerald":
            return f"start of gerald {place.station}"
        case "end":
            return f"{place.station} end"
        case "foot":
            return "foot"
        case "measured":
            return _own_name(place)


def _own_name(place: Place) -> str:
    """What a builder called a place: "timber 3"; a bare number is that of a place."""
    return f"place {place.station}" if place.station.isdigit() else place.station


def served(about: About, units: UnitName = "mm") -> tuple[str, ...]:
    """Return what a gauge of a rebate is called by: its place or its strakes; the first and last place where shared.

    ("mould 2",), ("100 aft of mould 2", "mould 3"), ("strakes 3-5",), ("50 up the rabbet", "strake 1")
    """
    return _served(about, units, on_sheet)


def _served(about: About, units: UnitName, name_of: Callable[[Place, UnitName], str]) -> tuple[str, ...]:
    """Return the same, places named by `name_of`."""
    if about.place is None:
        first, last = about.numbers[0], about.numbers[-1]
        return (f"strake {first}" if first == last else f"strakes {first}-{last}",)
    if about.last_place is None:
        return (name_of(about.place, units),)
    last_name = f"strake {about.last}" if about.last_place.kind == "end" else name_of(about.last_place, units)
    return (name_of(about.place, units), last_name)


def served_in_letters(about: About, units: UnitName = "mm") -> str:
    """Return the same in few letters, to be engraved: "100 to 200 aft of 2", "3-5", "foot to 1"."""
    if about.place is None:
        first, last = about.numbers[0], about.numbers[-1]
        return str(first) if first == last else f"{first}-{last}"
    first_name = _off(short(about.place), about.place, units)
    if about.last_place is None:
        return first_name
    end = about.last_place
    if end.kind == "end":
        return f"{first_name} to {about.last}"
    is_past_one = _mark(about.place) == _mark(end) and about.place.offset * end.offset > 0.0
    start = format_length(abs(about.place.offset), units) if is_past_one else first_name
    return f"{start} to {_off(short(end), end, units)}"


def edition_words(edition: str | None) -> str:
    """Return "first edition", "first edition, as built to strake 3"; "" without an edition."""
    name, comma, built = (edition or "").partition(", ")
    return f"{name} edition{comma}{built}" if name else ""


def hand_and_face(hand: Hand) -> str:
    """Return what is written on a strake's template: which hand it is, with the face you look at outside."""
    return f"{hand.upper()}, THIS FACE OUT"


def piece_name(about: About, units: UnitName = "mm") -> str:
    """Return the name of a template, as `tiles.json` and `--only` have it: "strake 4", "land 3 station 2"."""
    match about.thing:
        case "mould":
            legs = "legs of " if about.part == "legs" else ""
            return f"{legs}mould {about.place.station if about.place else ''}"
        case "land":
            return _land_piece(about, units)
        case "rebate":
            return f"rebate {about.end or 'keel'} {' to '.join(_served(about, units, _in_gauge_name))}"
        case "stem" | "transom":
            gauge = f" strake {about.number}" if about.part == "gauge" else ""
            return f"{about.thing} {about.end}{gauge}"
        case "gunwale":
            return f"gunwale {about.number}{' sections' if about.part == 'sections' else ''}"
        case "stock":
            return f"stock {about.number}{' picture' if about.part == 'picture' else ''}"
        case _:
            return "spiling sketch" if about.part == "sketch" else " ".join(_thing_and_number(about))


def _in_gauge_name(place: Place, units: UnitName) -> str:
    """A place in the name of a rebate's gauge: "mould 2 + 100"; in feet-inches-eighths "mould 2 aft 0-4-0"."""
    if not place.offset:
        return _mark(place)
    is_back = place.offset < 0.0
    way = "-" if is_back else "+"
    if units == "ft-in-8" and (is_back or place.kind == "station"):
        way = "forward" if is_back else "aft"
    return f"{_mark(place)} {way} {format_length(abs(place.offset), units)}"


def gauge_in_print(about: About, units: UnitName) -> str:
    """Return what lists, captions and sheets call the gauge of a rebate: "stem gauge strake 5"."""
    return f"{timber(about.end)} gauge {' to '.join(served(about, units))}"


def name_in_print(about: About, name: str) -> str:
    """Return what lists, captions and sheets call a template with a name of `piece_name`, in the trade's words.

    "sternpost" for "stem aft", "after transom gauge strake 4".
    """
    if about.thing == "stem" and about.end == "aft":
        return timber(about.end)
    if about.thing == "transom" and about.part == "gauge":
        return f"{_end(about.end)} transom gauge{name[len(f'transom {about.end}') :]}"
    return name


def name_in_list(about: About, units: UnitName = "mm") -> str:
    """Return what sheets call a template, among others; a shared gauge with all that it serves.

    "after transom gauge strake 4", "after transom gauge strakes 5 and 9", "stem gauge 50 up the rabbet and strake 3"
    """
    if about.part != "gauge" or about.thing not in ("rebate", "transom"):
        return name_in_print(about, piece_name(about, units))
    if about.thing == "rebate":
        return " and ".join([gauge_in_print(about, units), *(" to ".join(served(run, units)) for run in about.also)])
    *before, last = _of([about]).split(", ")
    which = " and ".join([*([", ".join(before)] if before else []), last])
    return f"{_end(about.end)} transom gauge {which}"


def _land_piece(about: About, units: UnitName) -> str:
    which = " ".join(format_tenths(number) for number in about.which)
    match about.part:
        case "set":
            return f"bevel set {which}"
        case "board":
            return f"bevel board {about.which[0]:.0f}"
        case "comb":
            return "take-off comb"
        case "gerald sheet":
            return f"gerald sheet {about.which[0]:.0f}"
        case "gerald block":
            if units == "ft-in-8":  # sixteenths are too coarse for it; its thickness stands on it
                return "gerald block"
            return f"gerald block {which if units == 'mm' else format_length(about.which[0], units)}"
        case "strip" | "hollow strip":
            hollow = "hollow " if about.part == "hollow strip" else ""
            number = f"{about.which[0]:.0f}" if about.which else ""
            return f"land {about.number} strip {hollow}{number}".rstrip()
        case "gerald card" | "gerald views":
            return f"land {about.number} {about.part} {about.end}"
        case _:
            return f"land {about.number} {_place_in_name(about.place)}" if about.place else f"land {about.number}"


def _place_in_name(place: Place) -> str:
    """A place in the name of a piece: "station 2", "half-way 2-3", "gerald fore", "fore end"."""
    match place.kind:
        case "station":
            return f"station {place.station}"
        case "half-way":
            return f"half-way {place.station}-{place.following}"
        case "gerald":
            return f"gerald {place.station}"
        case _:
            return _mark(place)


def _thing_and_number(about: About) -> tuple[str, ...]:
    return (about.thing,) if about.number is None else (about.thing, str(about.number))


def few_names(pieces: Sequence[About], name_of: Callable[[About], str]) -> list[str]:
    """Return names of templates, kind by kind: of many of one kind the first, the last and how many."""
    kinds: dict[Hashable, list[About]] = {}
    for about in pieces:
        kinds.setdefault(_kind(about), []).append(about)
    shown = []
    for some in kinds.values():
        names = list(dict.fromkeys(name_of(about) for about in some))
        if len(names) > MOST_NAMES:
            first, last = (name_of(about) for about in (min(some, key=_order), max(some, key=_order)))
            names = [f"{first} to {last} ({len(names)} pieces)"]
        shown += names
    return shown


_SEVERAL: dict[Part, str] = {
    "gauge": "gauges",
    "set": "gauges",
    "board": "bevel boards",
    "strip": "strips",
    "hollow strip": "hollow strips",
    "gerald card": "gerald cards",
    "gerald views": "gerald views",
    "gerald sheet": "gerald sheets",
    "gerald block": "gerald blocks",
    "picture": "pictures",
    "sections": "drawings of sections",
}


def sheet_names(pieces: Sequence[About], units: UnitName = "mm") -> tuple[str, ...]:
    """Return what a sheet with several templates may be called, the longest first.

    ("bevel board 2 · 2 gauges: 2° to 3.5°", "bevel board 2 · 2 gauges", "3 pieces")
    """
    kinds: dict[Hashable, list[About]] = {}
    for about in pieces:
        kinds.setdefault((about.thing, about.part, about.end), []).append(about)
    groups = [_together(some, units) for some in kinds.values()]
    names = [
        " · ".join(f"{what}: {whiches[min(form, len(whiches) - 1)]}" if whiches else what for what, whiches in groups)
        for form in range(max(len(whiches) for _, whiches in groups) or 1)
    ]
    names.append(" · ".join(what for what, _ in groups))
    if len(pieces) > 1:
        names.append(f"{len(pieces)} pieces")
    return tuple(dict.fromkeys(names))


def _together(some: Sequence[About], units: UnitName) -> tuple[str, tuple[str, ...]]:
    """Return what several templates of one kind are, and which, the longest first; of one its name.

    ("12 gauges", ("lands 1 to 4",))
    """
    first, count = some[0], len(some)
    if first.part == "set":
        halves = sorted({round(2 * bevel) for about in some for bevel in about.which})
        which = ", ".join(_from_to(*run) for run in _runs(halves))
        return "gauge" if count == 1 else f"{count} gauges", (which,)
    is_gauge = first.thing == "rebate" or (first.thing == "transom" and first.part == "gauge")
    if count == 1 and not first.also and not is_gauge:
        return piece_name(first, units), ()
    if first.part in ("board", "gerald sheet"):
        return f"{_SEVERAL[first.part]} {_numbers([int(about.which[0]) for about in some])}", ()
    what = f"{_wood(first)}gauge" if count == 1 else f"{count} {_wood(first)}{_SEVERAL.get(first.part, 'pieces')}"
    if first.thing == "rebate":
        return what, _places_served(some, units)
    if first.thing == "mould":
        stations = sorted(about.place for about in some if about.place is not None)
        return f"{'legs of ' if first.part == 'legs' else ''}moulds {', '.join(one.station for one in stations)}", ()
    if first.number is None:
        return what, ()
    places = {about.place for about in some}
    place = first.place if len(places) == 1 else None
    return what, (_of(some) if place is None else f"{_of(some)}, {on_sheet(place, units)}",)


def _from_to(first: int, *others: int) -> str:
    """Return bevels that follow each other, in half degrees: "1°", "1°, 1.5°", "2° to 3.5°"."""
    between = ", " if len(others) == 1 else " to "
    return between.join(f"{half / 2:g}°" for half in (first, *others[-1:]))


def _places_served(some: Sequence[About], units: UnitName) -> tuple[str, ...]:
    """Return every place that gauges of one timber serve, then their strakes, the longest first.

    In full, "foot, 50 up the rabbet to strake 1"; then each foot or mould is named once, "50 aft of mould 1,
    100 aft; 2", and of shared gauges only the place that they are called by. A range here is what one gauge serves:
    what lies between two gauges on a sheet may be on another sheet.
    """
    every = sorted((run for about in some for run in (about, *about.also)), key=_order)
    firsts = sorted(some, key=_order)
    in_full = [" to ".join(served(run, units)) for run in every if run.place is not None]
    forms = [[*in_full, *_strakes_of(every)], [_marks_once(every, units), *_strakes_of(every)]]
    forms.append([_marks_once(firsts, units), *_strakes_of(firsts)])
    return tuple(dict.fromkeys(", ".join(filter(None, form)) for form in forms))


def _strakes_of(runs: Sequence[About]) -> list[str]:
    """Return the strakes that have no place of their own among what gauges serve, as one text, or none."""
    strakes = [replace(run, also=()) for run in runs if run.place is None]
    return [_of(strakes)] if strakes else []


def _marks_once(runs: Sequence[About], units: UnitName) -> str:
    """Return places in order, what they are measured from named once: "mould 1, 100 aft; 2; 100 forward of 4"."""
    text = latest = kind = ""
    for run in runs:
        if run.place is None:
            continue
        mark, (first, *last) = _mark(run.place), served(run, units)
        own_kind = mark.partition(" ")[0] if run.place.kind == "station" else ""
        is_again = mark == latest
        if is_again and run.place.offset:
            first = _distance_and_way(run.place, units)
        elif not is_again and own_kind == kind:
            first = _off(mark.removeprefix(f"{kind} "), run.place, units)
        text += ("" if not text else ", " if is_again else "; ") + " to ".join([first, *last])
        latest, kind = mark, own_kind
    return text


def _wood(about: About) -> str:
    """Return what comes before the kind of several templates of one end or timber: "stem ", "after transom "."""
    if about.thing == "rebate":
        return f"{timber(about.end)} "
    if about.end is None:
        return ""
    return f"{_end(about.end)} transom " if about.thing == "transom" else f"{_end(about.end)} "


def _of(some: Sequence[About]) -> str:
    """Return which lands, strakes … templates are for: "lands 1 to 4, 6"."""
    numbers = sorted({number for about in some for run in (about, *about.also) for number in run.numbers})
    thing = "strake" if some[0].thing in ("rebate", "transom") else some[0].thing
    return f"{thing}{'s' if len(numbers) > 1 and thing != 'stock' else ''} {_numbers(numbers)}"


def _numbers(numbers: Sequence[int]) -> str:
    """Return whole numbers in order, three or more that follow one upon another as "1 to 4"."""
    texts: list[str] = []
    for run in _runs(numbers):
        texts += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else [str(number) for number in run]
    return ", ".join(texts)


def _runs(numbers: Sequence[int]) -> list[list[int]]:
    """Return whole numbers in order, those that follow one upon another together."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return runs


def _kind(about: About) -> Hashable:
    """Return what templates that may be named together have in common."""
    number = about.number if about.thing in ("land", "strake") else None
    return about.thing, about.part, about.end, number, about.place is None


def _order(about: About) -> tuple[float, float, int, tuple[float, ...]]:
    """What templates of one kind are in order by: where along the boat, then strake or land, then size."""
    place = about.place
    order, offset = (0.0, 0.0) if place is None else (place.order, place.offset)
    return order, offset, about.number or 0, about.which


def _end(end: str | None) -> str:
    """The adjective of an end."""
    return "fore" if end == "fore" else "after"
