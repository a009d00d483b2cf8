"""The JSON Schemas of measurements.json and tiles.json, kept in the package as measurements.schema.json and
tiles.schema.json.

They describe every key that the program writes. Keys may be added later, so that none is refused.
"""

import json
from pathlib import Path
from typing import Any, get_args

from templates_gen.about import EndName, Hand, Part, PlaceKind, Thing
from templates_gen.units import UnitName

Schema = dict[str, Any]

SCHEMA_FILES = {name: Path(__file__).with_name(f"{name}.schema.json") for name in ("measurements", "tiles")}
"""Where the package keeps them."""

_NUMBER: Schema = {"type": "number"}
_WORD: Schema = {"type": "string"}
_WHOLE: Schema = {"type": "integer", "minimum": 1}
_END: Schema = {"enum": list(get_args(EndName))}


def schemas() -> dict[str, Schema]:
    """Return both schemas (draft 2020-12) by the names of their files."""
    return {"measurements": _measurements(), "tiles": _tiles()}


def schema_text(schema: Schema) -> str:
    """Return a schema as the package keeps it."""
    return json.dumps(schema, ensure_ascii=False, indent=1) + "\n"


def _table(keys: Schema, may_be_left_out: tuple[str, ...] = (), about: str = "") -> Schema:
    """Return the schema of an object with these keys."""
    required = [key for key in keys if key not in may_be_left_out]
    described = {"description": about} if about else {}
    return {"type": "object", **described, "properties": keys, "required": required}


def _described(schema: Schema, about: str) -> Schema:
    """Return a schema with words that say what it is."""
    return {**schema, "description": about}


def _rows(items: Schema, about: str = "") -> Schema:
    described = {"description": about} if about else {}
    return {"type": "array", **described, "items": items}


def _tuple(count: int, about: str = "") -> Schema:
    """Return the schema of so many numbers."""
    return {**_rows(_NUMBER, about), "minItems": count, "maxItems": count}


_POINT = {"$ref": "#/$defs/Point"}
_LINE = {"$ref": "#/$defs/Line"}
_ABOUT = {"$ref": "#/$defs/About"}

_PLACE = _table(
    {
        "kind": {"enum": list(get_args(PlaceKind))},
        "station": _described(_WORD, "a station's name; fore or aft of an end, a gerald and a stem's foot"),
        "following": _described(_WORD, "of a half-way, the place aft of it"),
        "offset": _described(_NUMBER, "how far from there, mm"),
    },
    ("following", "offset"),
)
_DEFS: Schema = {
    "Point": _tuple(2),
    "Line": _rows(_POINT),
    "Place": _PLACE,
    "About": _table(
        {
            "thing": {"enum": list(get_args(Thing))},
            "part": {"enum": list(get_args(Part))},
            "number": _described(_WHOLE, "of a strake or a land, from the garboard up"),
            "last": _described(_WHOLE, "the last of several neighbours"),
            "end": _END,
            "place": {"$ref": "#/$defs/Place"},
            "last_place": {"$ref": "#/$defs/Place"},
            "which": _rows(_NUMBER, "which of several such parts"),
            "hand": _described({"enum": list(get_args(Hand))}, "the side of the boat, where the two are not alike"),
        },
        ("part", "number", "last", "end", "place", "last_place", "which", "hand"),
        "what it is for, as plain values",
    ),
}


def _land() -> Schema:
    at = {
        "place": _described(_WORD, "a station's name, fore or aft"),
        "x": _described(_NUMBER, "distance along the boat, mm"),
        "point": _tuple(3, "the upper inside corner of the lower strake, mm"),
        "bevel": _described(_NUMBER, "square to the land, degrees; negative in a hollow"),
        "bevel_in_section": _described(_NUMBER, "as the station's plane shows it, degrees; none at fore and aft"),
        "take_off": _described(_NUMBER, "depth planed off at the edge, mm"),
        "edge_left": _described(_NUMBER, "wood left at the edge, mm"),
        "gap_before": _described(_NUMBER, "gap before planing, mm"),
        "gerald_depth": _described(_NUMBER, "half the gerald's share of the thickness, mm"),
        "planed_on": {"enum": ["lower", "upper"]},
        "about": _ABOUT,
    }
    return _table(
        {
            "about": _ABOUT,
            "name": _described(_WORD, "what the names of its gauges, strip and cards begin with"),
            "below": _described(_WHOLE, "number of the lower strake"),
            "above": _described(_WHOLE, "number of the upper strake"),
            "at": _rows(_table(at, ("bevel_in_section",))),
            "take_off_line": _rows(
                _tuple(5),
                "run along the land, and what comes off: lower strake at its edge and at the lap line, upper "
                "strake at the same, mm",
            ),
        }
    )


def _strake() -> Schema:
    outline = {
        "lower": _described(_LINE, "fore to aft"),
        "upper": _described(_LINE, "fore to aft"),
        "fore": _described(_LINE, "from the lower edge to the upper"),
        "aft": _described(_LINE, "from the lower edge to the upper"),
    }
    return _table(
        {
            "about": _ABOUT,
            "name": _described(_WORD, "of its template"),
            "number": _WHOLE,
            "outline": _table(
                outline, (), "net, flat, at mid-thickness, mm: port strake from outside, fore end left"
            ),
            "marks": _rows(_table({"station": _WORD, "lower": _POINT, "upper": _POINT})),
            "length": _described(_NUMBER, "mm"),
            "greatest_width": _described(_NUMBER, "mm"),
            "blank": _tuple(2, "length and width of the narrowest board that holds it, mm"),
            "stretch": _table(
                {"most": _NUMBER, "least": _NUMBER}, (), "shares: + longer on the bent plank than flat"
            ),
            "sweep": _described(_NUMBER, "how far its middle line is from straight, mm"),
            "twist_per_metre": _described(_NUMBER, "over its worst metre, degrees"),
            "least_bend_radius": {"type": ["number", "null"], "description": "mm; null where it does not bend"},
            "verdict": _described(_WORD, "how hard it is to hang"),
        }
    )


def _rebate() -> Schema:
    place = {
        "type": ["string", "number"],
        "description": "a station, lower, upper, or mm of rabbet line from the foot",
    }
    lengths = dict.fromkeys(("depth", "apex", "bearding", "seat"), _described(_NUMBER, "mm"))
    return _table(
        {
            "about": _ABOUT,
            "name": _described(_WORD, "what it is, in words"),
            "on": {"enum": ["keel", *get_args(EndName)]},
            "strake": _WHOLE,
            "place": place,
            "point": _tuple(3, "on the rabbet line, mm"),
            "angle": _described(_NUMBER, "degrees"),
            **lengths,
        }
    )


def _across() -> Schema:
    """A bulkhead, a frame or a floor."""
    facet = {
        "strake": _WHOLE,
        "bevel": _described(_NUMBER, "degrees; + where the face on the line is the larger"),
        "inside": _described(_NUMBER, "how far inside the face on the line the far face is, mm"),
        "step": _described(_NUMBER, "out from the corner of the strake below, on the face on the line, mm"),
        "far_step": _described(_NUMBER, "the same on the far face, mm"),
    }
    across = {
        "about": _ABOUT,
        "name": _described(_WORD, "of its template"),
        "at": _described(_NUMBER, "of the face on the line, distance along the boat, mm"),
        "far_at": _described(_NUMBER, "of the far face, mm"),
        "edge": _described(_LINE, "the planked edge of the face on the line, going up"),
        "far_edge": _described(_LINE, "the same of the far face"),
        "facets": _rows(_table(facet)),
    }
    return _table(across)


def _thwart() -> Schema:
    """A thwart."""
    part = {
        "strake": _WHOLE,
        "bevels": _tuple(2, "degrees, at its forward and its after end; + where the top face is the larger"),
    }
    land = {
        "land": _WHOLE,
        "corner": _rows(_tuple(3, "upper inside corner of the strake below it, mm"), "fore to aft"),
        "begins": _rows(_tuple(3, "where the inner face of the strake above begins, mm"), "fore to aft"),
    }
    thwart = {
        "about": _ABOUT,
        "name": _described(_WORD, "of its template"),
        "height": _described(_NUMBER, "of the top face, mm"),
        "end": _described(_LINE, "x and half-breadth of the top face's end, going aft"),
        "under": _described(_LINE, "the same of the bottom face"),
        "parts": _rows(_table(part), "the strakes that its top face ends on, fore to aft"),
        "under_parts": _rows(_table(part), "the same of the bottom face"),
        "lands": _rows(_table(land), "the lands that cross its end between its faces, fore to aft"),
    }
    return _table(thwart)


def _corner() -> Schema:
    """A breasthook or a knee."""
    corner = {
        "about": _ABOUT,
        "name": _described(_WORD, "of its template"),
        "origin": _tuple(3, "of the top face's plane, on the centreline, mm"),
        "into": _tuple(3, "the direction of s in it, into the boat"),
        **dict.fromkeys(("outline", "plank", "plank_under", "seat", "seat_under"), _described(_LINE, "s and y, mm")),
        "plan_angle": _described(_NUMBER, "between the arms, degrees"),
        "plank_bevels": _tuple(3, "at the corner, the middle and the end of the arm, degrees"),
        "seat_bevel": _described(_NUMBER, "to the stem or the transom, degrees"),
    }
    return _table(corner)


def _gunwale() -> Schema:
    """A strip along the sheer."""
    place = {
        "place": _described(_WORD, "a station's name, fore or aft"),
        "length": _described(_NUMBER, "along the upper edge from its fore end, mm"),
        "rise": _described(_NUMBER, "above the straight between its ends, laid flat, mm"),
        "bevel": _described(_NUMBER, "how far the plank leans out from the upright, degrees"),
    }
    cut = _table({"face": _NUMBER, "through": _NUMBER}, (), "off square, degrees; + upper edge, outboard side longer")
    gunwale = {
        "about": _ABOUT,
        "name": _described(_WORD, "of its template"),
        "part": {"enum": ["inwale", "outwale", "rubbing strip"]},
        "length": _described(_NUMBER, "of its upper edge, mm"),
        "sweep": _described(_NUMBER, "how far that leaves a straight, laid flat, mm"),
        "flat": _described(_LINE, "the upper edge laid flat, fore to aft"),
        "places": _rows(_table(place)),
        "cuts": _table({"fore": cut, "aft": cut}),
    }
    return _table(gunwale)


def _inside() -> Schema:
    timber = {
        "x": _described(_NUMBER, "distance along the boat, mm"),
        "half": _described(_NUMBER, "centreline to sheer, mm"),
    }
    timbers = {"about": _ABOUT, "name": _WORD, "timbers": _rows(_table(timber))}
    pieces = {"anyOf": [_across(), _thwart(), _corner(), _gunwale(), _table(timbers)]}
    return _rows(pieces, "what is put inside the planking; left out where there is nothing")


def _transom() -> Schema:
    bevels = _rows(
        _table({"strake": _WHOLE, "bevel": _described(_NUMBER, "degrees; + where the inner face is larger")})
    )
    keys = {
        "about": _ABOUT,
        "name": _described(_WORD, "of its template"),
        "end": _END,
        **dict.fromkeys(("face_outer", "face_inner", "land_marks"), _LINE),
        "bevels": bevels,
    }
    return _table(keys)


def _mould() -> Schema:
    keys = {"about": _ABOUT, "name": _described(_WORD, "of its template"), "station": _WORD}
    return _table(keys | dict.fromkeys(("outline", "land_marks"), _LINE))


def _measurements() -> Schema:
    error = {
        "bevel": _described(_NUMBER, "degrees"),
        **dict.fromkeys(("take_off", "outline"), _described(_NUMBER, "mm")),
    }
    units = {
        "length": {"const": "mm"},
        "angle": {"const": "degrees"},
        "hull_file": _described({"enum": list(get_args(UnitName))}, "the units of the hull file"),
    }
    keys = {
        "format": {"const": 1},
        "hull": _described(_WORD, "name of the boat"),
        "fingerprint": _described(_WORD, "the eight digits of the drawing"),
        "units": _table(units, (), "of every figure in this file, and of the hull file"),
        "ends": _table(
            dict.fromkeys(get_args(EndName), _WORD), (), "what the planks end on: stem, sternpost, transom"
        ),
        "stations": _rows(_table({"name": _WORD, "at": _described(_NUMBER, "distance along the boat, mm")})),
        "lands": _rows(_land()),
        "strakes": _rows(_strake()),
        "rebates": _rows(_rebate()),
        "transoms": _rows(_transom()),
        "moulds": _rows(_mould()),
        "inside": _inside(),
        "fairing": _rows({"type": "object"}, "each mark before and after fairing; none without it"),
        "as_built": {"type": "object", "description": "what was measured on the boat; none without it"},
        "numerical_error": _table(error, (), "how far computed figures may be off"),
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Measurements of a boat",
        **_table(
            keys,
            ("inside", "fairing", "as_built"),
            "Every number of a boat, millimetres and degrees, full precision.",
        ),
        "$defs": _DEFS,
    }


def _tiles() -> Schema:
    cross = _table({"number": _WHOLE, "at": _described(_POINT, "mm of the piece")})
    keys = {
        "file": _described(_WORD, "name of the PDF file"),
        "page": _WHOLE,
        "piece": _described(_WORD, "name of the piece"),
        "matrix": _tuple(6, "a, b, c, d, e, f: from the piece's mm to the page's points, x' = a x + c y + e"),
        "tile": _described(_WORD, "name of the tile; empty where the piece is whole"),
        "clip": _tuple(4, "left, bottom, right and top of what the page shows, mm on the page"),
        "crosses": _rows(cross, "registration crosses on the page"),
        "about": _ABOUT,
        "units": _table({"piece": {"const": "mm"}, "page": {"const": "pt"}}, (), "that the matrix leads from and to"),
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Where each piece lies on each page",
        **_rows(_table(keys)),
        "$defs": _DEFS,
    }


if __name__ == "__main__":
    for name, schema in schemas().items():
        SCHEMA_FILES[name].write_text(schema_text(schema), encoding="utf-8")
