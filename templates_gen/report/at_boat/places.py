"""The places where a boat is measured, by their names in a file, and what a builder calls them in a sentence."""

from templates_gen.about import Place, all_places
from templates_gen.hull.measured.as_built import half_way_names, place_names
from templates_gen.hull.model import Hull
from templates_gen.report.finding import stops_of
from templates_gen.words import in_message, on_sheet


def places_by_name(hull: Hull) -> dict[str, Place]:
    """Return every place that may be measured by the name that the as-built file and the spiling file have for it."""
    half_ways = [place for place in all_places([one.name for one in hull.stations]) if place.kind == "half-way"]
    between = dict(zip(half_way_names(hull), half_ways, strict=True))
    return between | dict(zip(place_names(hull), stops_of(hull), strict=True))


def named(place: Place) -> str:
    """Return a place as the sheets name it, in a sentence: "mould 2", "half-way 2–3", "the fore end"."""
    return on_sheet(place) if place.kind == "station" else in_message(place)


def at_named(place: Place) -> str:
    """Return the same with its preposition: "at mould 2", "half-way 2–3"."""
    return named(place) if place.kind == "half-way" else f"at {named(place)}"
