"""What is put inside the planking, in numbers: the records of measurements.json, millimetres and degrees."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.inside.across import AcrossShape
from templates_gen.geometry.inside.corners import CornerShape
from templates_gen.geometry.inside.level import ThwartShape
from templates_gen.words import piece_name

Record = dict[str, Any]


def inside_records(boat: Boat) -> Iterator[Record]:
    """Yield a record for each piece that is put inside the planking, in the order of the hull file."""
    for shape in boat.inside:
        if isinstance(shape, AcrossShape):
            yield _across(shape)
        else:
            yield _thwart(shape) if isinstance(shape, ThwartShape) else _corner(shape)


def _thwart(shape: ThwartShape) -> Record:
    return {
        "about": shape.about.record(),
        "name": piece_name(shape.about),
        "height": shape.piece.height,
        "end": shape.end.tolist(),
        "under": shape.under.tolist(),
        "parts": [
            {"strake": part.strake, "bevels": [float(np.degrees(bevel)) for bevel in part.bevels]}
            for part in shape.parts
        ],
    }


def _corner(shape: CornerShape) -> Record:
    plane = shape.plane
    return {
        "about": shape.about.record(),
        "name": piece_name(shape.about),
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
        "about": shape.about.record(),
        "name": piece_name(shape.about),
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
