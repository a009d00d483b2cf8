"""What is put inside the planking, in numbers: the records of measurements.json, millimetres and degrees."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from templates_gen.geometry.boat import Boat, InsideShape
from templates_gen.geometry.inside.across import AcrossShape
from templates_gen.geometry.inside.corners import CornerShape
from templates_gen.geometry.inside.gunwales import GunwaleShape
from templates_gen.geometry.inside.level import ThwartShape
from templates_gen.words import piece_name

Record = dict[str, Any]


def inside_records(boat: Boat) -> Iterator[Record]:
    """Yield a record for each piece that is put inside the planking, in the order of the hull file."""
    for shape in boat.inside:
        yield {"about": shape.about.record(), "name": piece_name(shape.about), **_figures(shape)}


def _figures(shape: InsideShape) -> Record:
    match shape:
        case AcrossShape():
            return _across(shape)
        case ThwartShape():
            return _thwart(shape)
        case CornerShape():
            return _corner(shape)
        case GunwaleShape():
            return _gunwale(shape)
        case _:
            return {"timbers": [{"x": timber.x, "half": timber.half} for timber in shape.timbers]}


def _gunwale(shape: GunwaleShape) -> Record:
    return {
        "part": shape.piece.part,
        "length": shape.length,
        "sweep": shape.sweep,
        "flat": shape.flat.tolist(),
        "places": [
            {
                "place": one.place.station,
                "length": one.length,
                "rise": one.rise,
                "bevel": float(np.degrees(one.bevel)),
            }
            for one in shape.places
        ],
        "cuts": {
            end: {"face": float(np.degrees(cut.face)), "through": float(np.degrees(cut.through))}
            for end, cut in shape.cuts.items()
        },
    }


def _thwart(shape: ThwartShape) -> Record:
    return {
        "height": shape.piece.height,
        "end": shape.end.tolist(),
        "under": shape.under.tolist(),
        "parts": [
            {"strake": part.strake, "bevels": [float(np.degrees(bevel)) for bevel in part.bevels]}
            for part in shape.parts
        ],
        "under_parts": [
            {"strake": part.strake, "bevels": [float(np.degrees(bevel)) for bevel in part.bevels]}
            for part in shape.under_parts
        ],
        "lands": [
            {"land": one.land, "corner": one.corner.tolist(), "begins": one.begins.tolist()} for one in shape.lands
        ],
    }


def _corner(shape: CornerShape) -> Record:
    plane = shape.plane
    return {
        "origin": plane.origin.tolist(),
        "into": plane.into.tolist(),
        "outline": shape.outline.tolist(),
        "plank": shape.plank.tolist(),
        "plank_under": shape.plank_under.tolist(),
        "seat": shape.seat.tolist(),
        "seat_under": shape.seat_under.tolist(),
        "plan_angle": float(np.degrees(shape.plan_angle)),
        "plank_bevels": np.degrees(shape.plank_bevels).tolist(),
        "seat_bevel": float(np.degrees(shape.seat_bevel)),
    }


def _across(shape: AcrossShape) -> Record:
    return {
        "at": shape.near.x,
        "far_at": shape.far.x,
        "edge": shape.edge.tolist(),
        "far_edge": shape.far_edge.tolist(),
        "facets": [
            {
                "strake": facet.strake,
                "bevel": float(np.degrees(facet.bevel)),
                "inside": facet.inside,
                "step": facet.step,
                "far_step": facet.far_step,
            }
            for facet in shape.facets
        ],
    }
