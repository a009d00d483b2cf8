"""The English of places and of what things are about: the only module that makes it, and nobody reads it back."""

from dataclasses import replace

from templates_gen.about import About, EndName, Place


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
    if about.thing == "rebate":
        strakes = f" at {numbered(replace(about, thing='strake'))}" if about.number is not None else ""
        return f"the {timber(about.end)}'s rebate{strakes}"
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
        parts.append(numbered(replace(about, thing="strake" if about.thing == "rebate" else about.thing)))
    if about.place is not None:
        is_mould = about.place.kind == "station" and about.thing not in ("section", "offsets")
        parts.append(f"mould {about.place.station}" if is_mould else in_message(about.place))
    return ", ".join(part for part in parts if part)


def _listed_thing(about: About) -> str:
    """What comes before number and place; "" where the number or the place says it."""
    if about.thing in ("rebate", "stem"):
        return timber(about.end)
    if about.number is not None or about.thing in ("section", "offsets"):
        return ""
    if about.thing == "mould" and about.place is not None:
        return ""
    return f"{about.thing} {about.end}" if about.end else about.thing


def _end(end: str) -> str:
    """The adjective of an end."""
    return "fore" if end == "fore" else "after"
