"""The file round the entities of a drawing: ezdxf's own of an empty drawing, with layers, view and blocks filled in.

`blank-r12.txt` and `blank-r2000.txt` are what ezdxf writes, with fields such as @layers@ in them. A test makes them
anew, and another compares whole files with those that ezdxf writes. The library itself is not loaded: that takes a
sixth of the time that everything takes to load.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from templates_gen.render.dxf.entities import Owner, Release, layer_name
from templates_gen.render.dxf.layers import USES, colour_of, use_of
from templates_gen.render.dxf.layout import Layout

MARGIN = 10.0  # of the view, mm

FIRST_FREE: dict[Release, int] = {"r12": 0x2E, "r2000": 0x30}
"""The first handle that a blank file leaves free; the one after it is taken."""

MODEL_SPACE = "17"
"""The handle of the blocks' record that all entities outside blocks belong to."""

_APART = 5
"""Handles from one block to the next: record, begin, end, insert, and one that is kept free for the insert's end."""


@dataclass(frozen=True)
class Block:
    """A block that is inserted once: its name, the corner that it is inserted at, and the handle of its record."""

    name: str
    corner: tuple[float, float]
    number: int

    @property
    def handle(self) -> str:
        """The handle of its record, that its entities belong to."""
        return f"{self.number:X}"


def layers_of(layers: Sequence[str]) -> tuple[str, ...]:
    """Return all layers of a drawing: those that every drawing has, and its own."""
    return tuple(dict.fromkeys([*USES, *layers]))


def blocks_of(
    names: Sequence[str], corners: Sequence[tuple[float, float]], layers: Sequence[str], release: Release
) -> tuple[Block, ...]:
    """Return a block for each name, with handles after those of the layers and of the view."""
    first = FIRST_FREE[release] + len(layers) + 2
    places = enumerate(zip(names, corners, strict=True))
    return tuple(Block(name, corner, first + _APART * k) for k, (name, corner) in places)


def filled(
    layout: Layout,
    layers: Sequence[str],
    blocks: Sequence[tuple[Block, str]],
    entities: str,
    owner: Owner,
) -> str:
    """Return a whole file.

    Parameters
    ----------
    layout : Layout
    layers : sequence of str
    blocks : sequence of (Block, str)
        Each with the text of its entities.
    entities : str
        The text of all others.
    owner : Owner
        Of these, when all entities have their handles.
    """
    release, text = owner.release, _blank(owner.release)
    margin = 0.0 if layout.is_sheet else MARGIN
    left, bottom = layout.corner
    fields = {
        "left": float(left - margin),
        "bottom": float(bottom - margin),
        "right": float(left + layout.width + margin),
        "top": float(bottom + layout.height + margin),
        "centre across": left + layout.width / 2,
        "centre up": bottom + layout.height / 2,
        "view": float(max(layout.height, layout.width / 2)),  # on a screen half as high as it is wide
        "view's handle": f"{FIRST_FREE[release] + len(layers) + 1:X}",
        "layers' number": len(layers) + 2,
        "blocks' number": len(blocks) + 2,
        **{f"free {k}": f"{next(owner.handles):X}" for k in range(4)},
    }
    for name, value in fields.items():
        text = text.replace(f"@{name}@\n", f"{value}\n")
    records = {
        "layers": "".join(_layer(number, layer, release) for number, layer in enumerate(layers)),
        "records": "".join(_record(block) for block, _ in blocks),
        "blocks": "".join(_block(block, inside, release) for block, inside in blocks),
        "entities": entities + "".join(_insert(block, release) for block, _ in blocks),
    }
    for name, value in records.items():
        text = text.replace(f"@{name}@\n", value)
    return text


@cache
def _blank(release: Release) -> str:
    """Return the blank file of a release."""
    return Path(__file__).with_name(f"blank-{release}.txt").read_text(encoding="ascii")


def _head(kind: str, number: int, owner: str, subclasses: Sequence[str], release: Release) -> str:
    """Return what a record begins with."""
    begin = f"  0\n{kind}\n  5\n{number:X}\n"
    if release == "r12":
        return begin
    return f"{begin}330\n{owner}\n" + "".join(f"100\n{name}\n" for name in subclasses)


def _layer(number: int, layer: str, release: Release) -> str:
    """Return the record of a layer, the number counted from 0; what it is for stands where other programs look."""
    handle = FIRST_FREE[release] + number + (number > 0)
    head = _head("LAYER", handle, "1", ("AcDbSymbolTableRecord", "AcDbLayerTableRecord"), release)
    own = "" if release == "r12" else "370\n-3\n390\n13\n"
    return (
        f"{head}  2\n{layer_name(layer, release)}\n 70\n0\n 62\n{colour_of(layer)}\n  6\nContinuous\n{own}"
        f"1001\nAcAecLayerStandard\n1000\n\n1000\n{use_of(layer)}\n"
    )


def _record(block: Block) -> str:
    """Return the record of a block, which release 12 has not."""
    head = _head("BLOCK_RECORD", block.number, "9", ("AcDbSymbolTableRecord", "AcDbBlockTableRecord"), "r2000")
    return f"{head}  2\n{block.name}\n340\n0\n"


def _block(block: Block, entities: str, release: Release) -> str:
    """Return a block with its entities."""
    begin, end = (
        _entity(kind, block.number + k, block.handle, subclass, release)
        for k, (kind, subclass) in enumerate((("BLOCK", "AcDbBlockBegin"), ("ENDBLK", "AcDbBlockEnd")), 1)
    )
    return (
        f"{begin}  2\n{block.name}\n 70\n0\n 10\n0.0\n 20\n0.0\n 30\n0.0\n  3\n{block.name}\n  1\n\n{entities}{end}"
    )


def _insert(block: Block, release: Release) -> str:
    """Return what shows a block once."""
    x, y = map(float, block.corner)
    head = _entity("INSERT", block.number + 3, MODEL_SPACE, "AcDbBlockReference", release)
    return f"{head}  2\n{block.name}\n 10\n{x}\n 20\n{y}\n 30\n0.0\n"


def _entity(kind: str, number: int, owner: str, subclass: str, release: Release) -> str:
    """Return what an entity on layer 0 begins with."""
    head = _head(kind, number, owner, ("AcDbEntity",), release)
    return f"{head}  8\n0\n" + ("" if release == "r12" else f"100\n{subclass}\n")
