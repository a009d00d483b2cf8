"""Units in the headings of tables, and tenths of a millimetre on a drawing that is otherwise in feet and inches."""

from templates_gen.units import UnitName, format_depth

_NAMES = {"mm": "mm", "in": "in", "ft-in-8": "ft-in-⅛"}


def in_units(heading: str, units: UnitName) -> str:
    """Return a heading with the unit that the lengths under it are in: "net length (mm)"."""
    return f"{heading} ({_NAMES[units]})"


def written_depths(units: UnitName, *depths: float) -> str:
    """Return depths in mm to 0.1 mm: "3.7 / 2.8"; with " mm" after them where lengths are in inches.

    Beside millimetres, short labels go without the unit.
    """
    text = " / ".join(format_depth(depth, "mm") for depth in depths)
    return text if units == "mm" else f"{text} mm"
