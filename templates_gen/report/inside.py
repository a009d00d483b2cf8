"""What is put inside the planking, in numbers: the records of measurements.json, millimetres and degrees."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.inside.across import AcrossShape
from templates_gen.geometry.inside.level import ThwartShape
from templates_gen.words import piece_name

Record = dict[str, Any]


def inside_records(boat: Boat) -> Iterator[Record]:
    """Yield a record for each piece that is put inside the planking, in the order of the hull file."""
    for shape in boat.inside:
        yield _across(shape) if isinstance(shape, AcrossShape) else _thwart(shape)


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
