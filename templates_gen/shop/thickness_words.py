"""The thickness of a plank in the hull's units, with the millimetres that a gauge shows beside them."""

from templates_gen.hull.model import UnitName
from templates_gen.units import format_depth, format_length, spoken_depth, spoken_length


def format_thickness(thickness: float, units: UnitName) -> str:
    """Return a thickness in mm for a table: "9.0", or "3/8 (9.5 mm)", "0-0-3 (9.5 mm)"."""
    if units == "mm":
        return format_depth(thickness, units)
    return f"{format_length(thickness, units)} ({spoken_depth(thickness)})"


def spoken_thickness(thickness: float, units: UnitName) -> str:
    """Return a thickness in mm for a sentence: "9.0 mm", or "3/8 in (9.5 mm)", "0-0-3 (9.5 mm)"."""
    if units == "mm":
        return spoken_depth(thickness)
    return f"{spoken_length(thickness, units)} ({spoken_depth(thickness)})"
