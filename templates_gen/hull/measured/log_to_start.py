"""The beginning of a boat's log, written on the day its moulds are made: drawing, stock and laps as they are then."""

from templates_gen.hull.lengths import to_mm
from templates_gen.hull.measured.as_built import half_way_names, place_names
from templates_gen.hull.model import Hull
from templates_gen.hull.names import shown_key
from templates_gen.units import MM_PER_INCH, UnitName, format_length

_EXACT = 1e-6
_OTHER_UNITS = '    # or "eighths": plain numbers are then eighths of an inch'


def log_to_start(hull: Hull) -> str:
    """Return the text of an as-built file for a boat of which nothing hangs yet; it reads as it stands."""
    planking, moulds = hull.planking, [station.name for station in hull.stations if station.mould]
    figures = ", ".join(f"{shown_key(name)} = {_figure(0.0, hull.units)}" for name in place_names(hull))
    mould = shown_key(moulds[len(moulds) // 2]) if moulds else "NAME"
    laps = [planking.lap_on(land) for land in range(1, planking.strakes)]
    drawn = _figures(laps, hull.units) if laps else "none"
    little = _figure(MM_PER_INCH / 8.0 if hull.units != "mm" else 2.0, hull.units)
    lines = [
        f"# The log of {hull.name}: what you measure on the boat while you plank it.",
        "# From now on leave the hull file as it is: the marks on the moulds are those of this drawing.",
        "format = 1",
        f'hull = "{hull.fingerprint}"',
        f'units = "{hull.units}"{_OTHER_UNITS if hull.units != "mm" else ""}',
        _stock(planking.thickness, hull.units),
        "",
        "# Moulds that stand out of their places: out, in, toward_sheer, toward_keel, forward or aft.",
        f"# [mould.{mould}]",
        f"# out = {little}",
        "# Write [mould.NAME.port] for one side. On a boat built keel up the sheer is below.",
        "# The same of an end, [end.fore] or [end.aft]; a stem stands neither in nor out.",
        "# [end.fore]",
        f"# forward = {little}",
        "",
        "# Each strake once it hangs, from the garboard up: how far its upper inside corner is from its drawn mark.",
        *_half_way(hull, little),
        "# Write [strake.1.port] and [strake.1.starboard] for each side by itself, [strake.1.remade] for a strake",
        "# that you took off and hung again.",
        "# [strake.1]",
        f"# toward_sheer = {{ {figures} }}",
        "# toward_keel = { }",
        f"# thickness = {_figure(planking.thickness[0], hull.units)}    # of its stock; as drawn: "
        f"{_figures(planking.thickness, hull.units)}",
        f"# lap = {_figure(planking.lap, hull.units)}    # as set off for the next strake; as drawn: {drawn}",
    ]
    return "\n".join(lines) + "\n"


def _half_way(hull: Hull, little: str) -> tuple[str, ...]:
    """The line that shows how a place between two moulds is given, if the boat has one."""
    name = next((name for name in half_way_names(hull)[1:] if name), "")
    return (f"# Half-ways may be given too, among the others: {shown_key(name)} = {little}.",) if name else ()


def _stock(thickness: tuple[float, ...], units: UnitName) -> str:
    """The line of the stock for what is still to be hung, if one figure can say it."""
    own = _figure(thickness[0], units)
    line = f"stock = {own}    # thickness of the stock that is still to be hung; write what yours measures"
    is_exact = abs(to_mm(own.strip('"') if units == "ft-in-8" else float(own), units) - thickness[0]) < _EXACT
    return line if is_exact and len(set(thickness)) == 1 else f"# {line}"


def _figures(lengths: tuple[float, ...] | list[float], units: UnitName) -> str:
    """Lengths for a remark; one for all where all are alike."""
    every = [_figure(length, units) for length in lengths]
    return every[0] if len(set(every)) == 1 else ", ".join(every)


def _figure(length: float, units: UnitName) -> str:
    """A length in mm as the file has it."""
    if units == "ft-in-8":
        return f'"{format_length(length, units)}"'
    return f"{length:g}" if units == "mm" else f"{round(length / MM_PER_INCH, 8):g}"
