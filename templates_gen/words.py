"""The English of places and of what things are about: the only module that makes it, and nobody reads it back."""

from templates_gen.about import About, Place


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


def numbered(about: About) -> str:
    """Return what it is about without its place: "land 3", "strakes 3 to 5", "the after transom", "the keel"."""
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
    preposition = "" if about.place.kind == "half-way" else "at "
    return f"{numbered(about)} {preposition}{in_message(about.place)}"


def _end(end: str) -> str:
    """The adjective of an end."""
    return "fore" if end == "fore" else "after"
