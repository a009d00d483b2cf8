"""Programs read the DXF drawings at their default settings, and cut what measurements.json says; run by hand.

`python -m tests.bench.dxf_readers HULL …` needs Debian's openscad, and inkscape with python3-lxml and python3-numpy;
a program that is missing is named. The usual tests do the same with GDAL and ezdxf. LibreCAD was tried: its command
line only prints, to the scale of its page, and leaves out what is off the page.
"""

import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.render.dxf.layers import CUT_OUTSIDE
from templates_gen.render.dxf.writing import dxf_bytes
from templates_gen.report.measurements import measurements
from templates_gen.templates.folios import folio
from tests.flow import checked

Array = NDArray[np.float64]

TRUE = 0.05  # mm
FILTER = Path("/usr/share/inkscape/extensions/dxf_input.py")
PX = 25.4 / 96.0
NUMBER = r"-?[0-9.]+(?:e-?[0-9]+)?"


def lines_of(svg: str, unit: float) -> list[Array]:
    """Return every line of an SVG drawing, shape (n, 2), mm, with y up; an arc by its ends."""
    found = []
    for text in re.findall(r'<path[^>]* d="([^"]*)"', svg.rpartition("</defs>")[2]):
        for part in filter(str.strip, text.split("M")):
            straight = re.sub(rf"A\s*({NUMBER}[\s,]+){{5}}", "L ", part)
            points = np.array(re.findall(NUMBER, straight), dtype=np.float64).reshape(-1, 2) * unit * (1.0, -1.0)
            found.append(np.concatenate([points, points[:1]]) if "z" in part.lower() else points)
    return found


def openscad(drawing: Path) -> list[Array]:
    """Return the lines of a drawing as OpenSCAD imports them."""
    model, shown = drawing.with_suffix(".scad"), drawing.with_suffix(".svg")
    model.write_text(f'import(file="{drawing.name}", layer="{CUT_OUTSIDE}");')
    run("openscad", "-o", shown, model)
    return lines_of(shown.read_text(), 1.0)


def inkscape(drawing: Path) -> list[Array]:
    """Return the lines of a drawing as Inkscape's filter for DXF imports them."""
    return lines_of(run("/usr/bin/python3", FILTER, drawing), PX)


def run(*command: str | Path) -> str:
    """Run a program where there is no screen, and return what it prints."""
    surroundings = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "PYTHONPATH": str(FILTER.parent)}
    done = subprocess.run(list(map(str, command)), capture_output=True, text=True, env=surroundings, check=True)
    return done.stdout


PROGRAMS: dict[str, tuple[Callable[[Path], list[Array]], str]] = {
    "openscad": (openscad, "openscad"),
    "inkscape": (inkscape, "inkscape, python3-lxml and python3-numpy"),
}


def cut_only(data: bytes, place: Path) -> list[Array]:
    """Write a drawing with its outlines only, so that a program's page is known by them; return their points."""
    place.write_bytes(data)
    document = ezdxf.readfile(place)  # type: ignore[attr-defined]
    for entity in list(document.modelspace()):
        if entity.dxf.layer != CUT_OUTSIDE:
            document.modelspace().delete_entity(entity)
    document.saveas(place)
    lines: list[Any] = list(document.modelspace().query("LWPOLYLINE"))
    return [np.array(line.get_points("xy")) for line in lines]


def misses(shown: list[Array], drawn: list[Array], measured: list[Array]) -> list[float]:
    """Return how far each measured outline is from what a program shows, mm."""
    corner = np.concatenate(drawn).min(axis=0)
    moved = [line - np.concatenate(shown).min(axis=0) + corner for line in shown if len(line) > 1]
    every = shapely.MultiLineString(moved)
    found = []
    for outline, line in zip(measured, drawn, strict=True):
        at_place = outline + np.round(line.min(axis=0) - outline.min(axis=0))
        found.append(float(shapely.distance(shapely.points(at_place), every).max()))
    return found


def main(hulls: list[str]) -> int:
    """Print how far the strakes of hulls are from what each program shows; return 1 where one is off."""
    worst = 0.0
    for name in hulls:
        boat = checked(Path(name)).boat
        assert boat is not None
        sides = (strake["outline"] for strake in measurements(boat)["strakes"])
        measured = [np.concatenate([o["lower"], o["aft"], o["upper"][::-1], o["fore"][::-1]]) for o in sides]
        with tempfile.TemporaryDirectory() as folder:
            drawing = Path(folder) / "strakes.dxf"
            drawn = cut_only(dxf_bytes(folio(boat, "strakes")), drawing)
            for program, (shown, packages) in PROGRAMS.items():
                if shutil.which(program) is None:
                    print(f"{program} is missing: install Debian's {packages}")
                    continue
                off = max(misses(shown(drawing), drawn, measured))
                worst = max(worst, off)
                print(f"{Path(name).stem}: {program} is within {off:.3f} mm of {len(measured)} strakes")
    return int(worst > TRUE)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
