"""The figures of a plain boat to start a hull file from, mm: 3.6 m long, the same fore and aft except for its ends.

An invented shape: sections of one smooth turn from floor to topside, sheer and rabbet rising toward the ends.
"""

from dataclasses import dataclass

Point = tuple[float, float]

LENGTH = 3600.0
SPACING = 600.0
STRAKES = 8
THICKNESS = 9.0
LAP = 18.0
GERALD = 300.0
STEM_SIDING = 38.0
TRANSOM_THICKNESS = 20.0
WOOD_INSIDE = 60.0
APRON = 51.0
HOG: Point = (98.0, 22.0)
WATERLINE = 240.0
MOULD_THICKNESS = 18.0
BASE = 900.0


@dataclass(frozen=True)
class Lines:
    """A rabbet point and a section, (half-breadth, height), from the rabbet out to the sheer, mm."""

    rabbet: Point
    section: tuple[Point, ...]


MIDDLE = Lines(
    (22.0, 48.0),
    ((115.0, 74.0), (250.0, 112.0), (375.0, 168.0), (485.0, 242.0), (573.0, 334.0), (640.0, 437.0), (690.0, 546.0)),
)

TOWARD_STEM = (
    Lines(
        (20.0, 53.0),
        (
            (70.0, 111.0),
            (141.0, 187.0),
            (207.0, 269.0),
            (265.0, 356.0),
            (315.0, 449.0),
            (358.0, 545.0),
            (395.0, 644.0),
        ),
    ),
    Lines(
        (22.0, 48.0),
        (
            (105.0, 84.0),
            (226.0, 133.0),
            (337.0, 196.0),
            (433.0, 274.0),
            (511.0, 365.0),
            (571.0, 465.0),
            (617.0, 570.0),
        ),
    ),
)
"""The two stations next to a stem, the outer one first."""

TOWARD_TRANSOM = (
    Lines(
        (22.0, 68.0),
        (
            (99.0, 100.0),
            (211.0, 146.0),
            (315.0, 208.0),
            (407.0, 289.0),
            (483.0, 386.0),
            (543.0, 495.0),
            (590.0, 610.0),
        ),
    ),
    Lines(
        (22.0, 51.0),
        (
            (110.0, 79.0),
            (239.0, 117.0),
            (359.0, 174.0),
            (464.0, 251.0),
            (549.0, 344.0),
            (614.0, 450.0),
            (664.0, 562.0),
        ),
    ),
)
"""The two stations next to a transom, the outer one first."""

TRANSOM = Lines(
    (20.0, 106.0),
    ((82.0, 145.0), (171.0, 198.0), (254.0, 266.0), (328.0, 350.0), (390.0, 448.0), (441.0, 557.0), (482.0, 672.0)),
)

TRANSOM_PROFILE: tuple[Point, ...] = ((200.0, 100.0), (110.0, 690.0))
"""[distance, height] of a transom forward, bottom and top; aft its distances are taken from the other end."""

STEM_RABBET: tuple[Point, ...] = (
    (420.0, 57.0),
    (318.0, 66.0),
    (262.0, 79.0),
    (212.0, 105.0),
    (172.0, 151.0),
    (140.0, 213.0),
    (110.0, 300.0),
    (82.0, 402.0),
    (55.0, 514.0),
    (30.0, 636.0),
    (6.0, 766.0),
)
"""[distance, height] of the rabbet line of a stem forward, from the foot; aft as the transom's."""

STEM_FACE: tuple[Point, ...] = (
    (312.0, 35.0),
    (251.0, 46.0),
    (192.0, 80.0),
    (145.0, 132.0),
    (109.0, 199.0),
    (77.0, 290.0),
    (48.0, 393.0),
    (20.0, 506.0),
    (-6.0, 629.0),
    (-31.0, 761.0),
)
"""[distance, height] of its outer edge."""
