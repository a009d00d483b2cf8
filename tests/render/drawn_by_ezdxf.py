"""The same drawings as the program writes, with the whole file round their entities written by ezdxf itself.

`python -m tests.render.drawn_by_ezdxf` makes the blank files of `templates_gen/render/dxf` anew.
"""

import io
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

from ezdxf._options import options
from ezdxf.document import Drawing
from ezdxf.filemanagement import new

import templates_gen.render.dxf
from templates_gen.render.dxf.blank import FIRST_FREE
from templates_gen.render.dxf.drawn import Drawn
from templates_gen.render.dxf.entities import FIRST_HANDLE, Owner, Release, layer_name
from templates_gen.render.dxf.layers import DASHED, USES, colour_of, use_of
from templates_gen.render.dxf.layout import Layout
from templates_gen.render.dxf.names import LONGEST_NAME, block_names
from templates_gen.render.dxf.writing import entities_of, frame_of

MARGIN = 10.0
LAYER, USE, BLOCK = "LAYER-OF-A-BLANK", "what it is for", "BLOCK-OF-A-BLANK"
PLACES = {"LAYER": "layers", "BLOCK_RECORD": "records", "BLOCK": "blocks", "INSERT": "entities"}
"""What stands in a blank file where any number of records of a kind may be."""


def by_ezdxf(drawing: Drawn, release: Release) -> str:
    """Return a drawing as a file: what ezdxf writes of it without our entities, and these put in their sections."""
    with _fixed_dates():
        document = _without_entities(drawing.layout, release)
        for layer in dict.fromkeys([*USES, *drawing.layers]):
            document.layers.add(layer_name(layer, release), color=colour_of(layer)).description = use_of(layer)
        _set_view(document, drawing.layout)
        handles = count(FIRST_HANDLE)
        space = Owner(document.modelspace().layout_key, release, handles)
        entities = "".join(space.words(label, label.at) for label in drawing.words)
        blocks: list[str] = []
        if drawing.layout.is_sheet:
            entities += frame_of(drawing.layout, space)
            names = block_names(
                [placed.piece for placed in drawing.layout.placed], LONGEST_NAME if release == "r12" else None
            )
            for name, piece in zip(names, drawing.pieces, strict=True):
                block = document.blocks.new(name)
                document.modelspace().add_blockref(name, piece.corner)
                blocks.append(entities_of(piece, Owner(block.block_record_handle, release, handles), piece.corner))
        else:
            entities += "".join(entities_of(piece, space) for piece in drawing.pieces)
        head, *rest, last = _text(document, next(handles)).split("  0\nENDBLK\n")
        ends = ["", *blocks] if blocks else [""]
        body = head + "".join("  0\nENDBLK\n" + part + text for part, text in zip(rest, ends, strict=True))
        whole = f"{body}  0\nENDBLK\n{last}"
        return whole.replace("  2\nENTITIES\n", f"  2\nENTITIES\n{entities}")


@contextmanager
def _fixed_dates() -> Iterator[None]:
    """Make ezdxf write a fixed date and identity instead of today's and a random one."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _without_entities(layout: Layout, release: Release) -> Drawing:
    """Return a drawing with its units and line types, without layers of ours, and with the limits of a layout."""
    logging.getLogger("ezdxf").setLevel(logging.ERROR)  # it warns that release 12 has no units
    document = new(release.upper(), setup=False)
    if release == "r2000":
        document.units = 4
        document.header["$MEASUREMENT"] = 1
    document.linetypes.add(DASHED, [4.5, 3.0, -1.5], description="Dashed __ __ __")
    left, bottom = layout.corner
    margin = 0.0 if layout.is_sheet else MARGIN
    low, high = (left - margin, bottom - margin), (left + layout.width + margin, bottom + layout.height + margin)
    space = document.modelspace()
    space.reset_extents((*low, 0.0), (*high, 0.0))
    space.reset_limits(low, high)
    # ezdxf leaves extents that begin at the origin out of the file's head
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
    return document


def _set_view(document: Drawing, layout: Layout) -> None:
    """Let a view take in the whole of a drawing on a screen half as high as it is wide."""
    (left, bottom), width, height = layout.corner, layout.width, layout.height
    centre = left + width / 2, bottom + height / 2
    document.set_modelspace_vport(max(height, width / 2), center=centre)


def _text(document: Drawing, free: int) -> str:
    """Return the file of a document whose next free handle is `free`."""
    document.entitydb.handles.reset(f"{free:X}")
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue()


def blank(release: Release) -> str:
    """Return what ezdxf writes of a drawing without entities, with fields for all that is not always the same."""
    layout = Layout((), (), 3456.5, 4567.5, (1234.25, 2345.25))
    with _fixed_dates():
        document = _without_entities(layout, release)
        document.layers.add(LAYER, color=7).description = USE
        _set_view(document, layout)
        document.blocks.new(BLOCK)
        document.modelspace().add_blockref(BLOCK, (0.0, 0.0))
        records = _text(document, 0xABCDE0).split("  0\n")
    fields = {
        "1224.25": "@left@",
        "2335.25": "@bottom@",
        "4700.75": "@right@",
        "6922.75": "@top@",
        "2962.5": "@centre across@",
        "4629.0": "@centre up@",
        "4567.5": "@view@",
        **{f"ABCDE{k}": f"@free {k}@" for k in range(4)},
    }
    text = "  0\n".join(_with_places(records))
    for place in PLACES.values():
        text = text.replace(f"  0\n@{place}@  0\n", f"@{place}@\n  0\n")
    return "\n".join(fields.get(line, line) for line in text.split("\n"))


def _with_places(records: list[str]) -> Iterator[str]:
    """Yield the records of a file, with a field for each kind that there is any number of."""
    place = ""
    for record in records:
        kind = record.split("\n", 1)[0]
        if kind == "VPORT":
            record = record.replace("  5\n" + _handle(record), "  5\n@view's handle@", 1)
        if kind == "TABLE" and "\nLAYER\n" in record:
            record = record.replace(" 70\n3\n", " 70\n@layers' number@\n")
        if kind == "TABLE" and "\nBLOCK_RECORD\n" in record:
            record = record.replace(" 70\n3\n", " 70\n@blocks' number@\n")
        if LAYER in record or BLOCK in record:
            place = PLACES[kind]
            continue
        if place == "blocks" and kind == "ENDBLK":
            continue
        if place:
            yield f"@{place}@"
            place = ""
        yield record


def _handle(record: str) -> str:
    return record.split("  5\n", 1)[1].split("\n", 1)[0]


def main() -> None:
    """Write the blank file of each release into the package."""
    folder = Path(templates_gen.render.dxf.__file__).parent
    for release in FIRST_FREE:
        (folder / f"blank-{release}.txt").write_text(blank(release), encoding="ascii", newline="\n")


if __name__ == "__main__":
    main()
