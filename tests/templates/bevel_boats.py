"""Boats for the tests of the lands' templates: three invented ones, and the dinghy made awkward."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache

from templates_gen.drawing.piece import Piece
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import Hull, Lands
from templates_gen.templates.folios import bevel_pieces
from tests.boats import dinghy, double_ender, pram
from tests.flow import boat_of
from tests.sweep import more


def _short_geralds() -> Hull:
    hull = dinghy()
    return replace(hull, planking=replace(hull.planking, gerald_fore=120.0, gerald_aft=110.0))


def _long_names() -> Hull:
    hull = dinghy()
    names = {s.name: f"Wwwww Mmmmm number {s.name}"[:20] for s in hull.stations}
    stations = tuple(replace(s, name=names[s.name], mould=s.name != "2") for s in hull.stations)
    at = {names.get(key, key): value for key, value in hull.lands.at.items()}
    lands = Lands("girth", at)
    return replace(hull, name="A very long name of a boat " * 2, units="in", stations=stations, lands=lands)


def _narrow_laps() -> Hull:
    hull = dinghy()
    return replace(hull, planking=replace(hull.planking, lap=12.5))


def _inches() -> Hull:
    return replace(dinghy(), units="in")


HULLS: dict[str, Callable[[], Hull]] = {
    "dinghy": dinghy,
    "double ender": double_ender,
    "pram": pram,
    "short geralds": _short_geralds,
    "long names": _long_names,
    "narrow laps": _narrow_laps,
    "inches": _inches,
}

THREE = ("dinghy", "double ender", "pram")
EVERY = (*THREE, "long names", *more("short geralds", "narrow laps", "inches"))
"""All boats, some of the awkward ones in the sweep only."""


@cache
def boat(name: str) -> Boat:
    """Return one of the boats, computed once."""
    return boat_of(HULLS[name]())


@cache
def pieces(name: str) -> tuple[Piece, ...]:
    """Return all templates of a boat's lands, made once."""
    return bevel_pieces(boat(name))


def piece(name: str, of: str) -> Piece:
    """Return one template of a boat by its name."""
    (found,) = (p for p in pieces(of) if p.name == name)
    return found
