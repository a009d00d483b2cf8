"""Every number of the boat at full precision, millimetres and degrees, as plain data ready for JSON."""

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, About, EndName, Place
from templates_gen.geometry.boat import Boat, InsideShape
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.inside.across import AcrossShape
from templates_gen.geometry.inside.corners import CornerShape
from templates_gen.geometry.inside.gunwales import GunwaleShape
from templates_gen.geometry.inside.level import ThwartShape
from templates_gen.geometry.moulds import MouldShape
from templates_gen.geometry.places import station_place
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rebates import Rebate
from templates_gen.geometry.transoms import TransomShape
from templates_gen.hull.model import Hull, Midship, Stem
from templates_gen.report.lines.table import change_records
from templates_gen.words import piece_name, spoken, timber

Array = NDArray[np.float64]
Record = dict[str, Any]

TAKE_OFF_STEP = 25.0
"""Greatest distance between the figures of a take-off line, mm."""


def measurements(boat: Boat) -> Record:
    """Return the boat's measurements; lengths in millimetres, angles in degrees, full precision."""
    hull, shell = boat.hull, boat.shell
    faired = {} if hull.fair is None else {"fairing": change_records(hull)}
    return {
        "format": 1,
        "hull": hull.name,
        "fingerprint": hull.fingerprint,
        "units": {"length": "mm", "angle": "degrees", "hull_file": hull.units},
        "ends": {end: end_in_words(hull, end) for end in ENDS},
        "stations": [{"name": s.name, "at": s.at} for s in hull.moulded_stations],
        "lands": [_land(shell, k) for k in range(1, hull.planking.strakes)],
        "strakes": [_strake(boat, strake) for strake in boat.strakes],
        "rebates": [_rebate(hull, rebate) for rebate in boat.rebates],
        "transoms": [_transom(shape) for shape in boat.transoms],
        "moulds": [_mould(hull, shape) for shape in boat.moulds if shape.station.mould],
        **({"inside": list(inside_records(boat))} if hull.inside else {}),
        **faired,
        "numerical_error": _numerical_error(boat),
    }


def end_in_words(hull: Hull, end: EndName) -> str:
    """Return what the planks end on: "stem", "sternpost", "transom" or "midship section"."""
    member = hull.end(end)
    if isinstance(member, Midship):
        return "midship section"
    return timber(end) if isinstance(member, Stem) else "transom"


def _named(about: About) -> Record:
    """What a record is about, and its name: that of the template, or what names of templates begin with."""
    words = spoken(about) if about.thing == "rebate" else piece_name(about)
    return {"about": about.record(), "name": words}


def _numerical_error(boat: Boat) -> Record:
    """The estimates of how far computed figures may be from true ones: the worst bevel, take-off and outline."""
    error = boat.shell.error
    assert error is not None
    outline = error.edge + max(strake.error for strake in boat.strakes)
    return {"bevel": np.degrees(error.bevel), "take_off": error.take_off, "outline": outline}


def _plain(values: Array) -> Any:
    """Nested lists, with no minus before a zero."""
    return (np.asarray(values, dtype=np.float64) + 0.0).tolist()


def _land(shell: PlankedShell, land: int) -> Record:
    stations = shell.hull.stations
    u = np.array([shell.u_fore, *(s.at for s in stations), shell.u_aft])
    points = shell.upper(land, u)
    columns = {
        "bevel": np.degrees(shell.bevel(land, u)),
        "bevel_in_section": np.degrees(shell.bevel_in_section(land, u)),
        "take_off": shell.take_off(land, u),
        "edge_left": shell.edge_left(land, u),
        "gap_before": shell.gap_before(land, u),
        "gerald_depth": shell.lapping(land, u).gerald * shell.planking.thickness[land - 1] / 2,
    }
    is_lower = shell.lapping(land, u).slope >= 0.0
    places = []
    for i, place in enumerate(shell.hull.stops):
        record: Record = {"place": place.station, "x": float(points[i, 0]), "point": _plain(points[i])}
        record |= {key: float(values[i]) + 0.0 for key, values in columns.items()}
        record["planed_on"] = "lower" if is_lower[i] else "upper"
        if place.kind == "end":
            del record["bevel_in_section"]
        record["about"] = About("land", land, place=place).record()
        places.append(record)
    return {
        **_named(About("land", land)),
        "below": land,
        "above": land + 1,
        "at": places,
        "take_off_line": _take_off_line(shell, land),
    }


def _take_off_line(shell: PlankedShell, land: int) -> list[list[float]]:
    length = float(shell.hung.edges[land - 1].batten.length)
    s = np.linspace(0.0, length, int(np.ceil(length / TAKE_OFF_STEP - 1e-6)) + 1)
    u = shell.rulings_at_lengths(land, s)
    off = shell.losses(land, u)
    columns = (s, off.lower_at_edge, off.lower_at_lap_line, off.upper_at_edge, off.upper_at_lap_line)
    rows: list[list[float]] = _plain(np.stack(columns, axis=1))
    return rows


def _strake(boat: Boat, strake: FlatStrake) -> Record:
    measure, hang = boat.extents[strake.number - 1], boat.bendings[strake.number - 1]
    marks = []
    for station in boat.hull.stations:
        lower, upper = strake.mark(station.at)
        marks.append({"station": station.name, "lower": _plain(lower), "upper": _plain(upper)})
    return {
        **_named(About("strake", strake.number)),
        "number": strake.number,
        "outline": {
            "lower": _plain(strake.edge("lower")),
            "upper": _plain(strake.edge("upper")),
            "fore": _plain(strake.end("fore")),
            "aft": _plain(strake.end("aft")),
        },
        "marks": marks,
        "length": measure.length,
        "greatest_width": measure.greatest_width,
        "blank": list(measure.blank),
        "stretch": {"most": strake.strip.most, "least": strake.strip.least},
        "sweep": measure.sweep,
        "twist_per_metre": float(np.degrees(hang.twist_per_metre)),
        "least_bend_radius": hang.least_bend_radius if np.isfinite(hang.least_bend_radius) else None,
        "verdict": hang.verdict,
    }


def _rebate(hull: Hull, rebate: Rebate) -> Record:
    return {
        **_named(_rebate_about(hull, rebate)),
        "on": rebate.on,
        "strake": rebate.strake,
        "place": rebate.place,
        "point": _plain(rebate.point),
        "angle": float(np.degrees(rebate.angle)),
        "depth": rebate.depth,
        "apex": rebate.apex,
        "bearding": rebate.bearding,
        "seat": rebate.seat,
    }


def _rebate_about(hull: Hull, rebate: Rebate) -> About:
    """The rebate of a strake's end, of a place of a forefoot, or of the keel at a station."""
    if rebate.on == "keel":
        stations = {place.station: place for place in hull.stops}
        return About(
            "rebate", rebate.strake, place=stations.get(str(rebate.place), Place("station", str(rebate.place)))
        )
    end: EndName = "fore" if rebate.on == "fore" else "aft"
    if isinstance(rebate.place, str):
        return About("rebate", rebate.strake, end=end)
    return About("rebate", rebate.strake, end=end, place=Place("foot", end, offset=float(rebate.place)))


def _transom(shape: TransomShape) -> Record:
    return {
        **_named(About("transom", end=shape.end)),
        "end": shape.end,
        "face_outer": _plain(shape.face_outer),
        "face_inner": _plain(shape.face_inner),
        "land_marks": _plain(shape.land_marks),
        "bevels": [{"strake": k, "bevel": float(bevel)} for k, bevel in enumerate(np.degrees(shape.bevels), start=1)],
    }


def _mould(hull: Hull, shape: MouldShape) -> Record:
    return {
        **_named(About("mould", place=station_place(hull, shape.station))),
        "station": shape.station.name,
        "outline": _plain(shape.outline),
        "land_marks": _plain(shape.land_marks),
    }


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
