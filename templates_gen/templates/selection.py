"""Which pieces are meant when a builder asks for some only: by kind, name, station, or beginning of names."""

from collections.abc import Sequence
from dataclasses import replace
from difflib import get_close_matches

from templates_gen.drawing.piece import Folio, Piece
from templates_gen.errors import SelectionError
from templates_gen.words import in_message


def chosen(folios: Sequence[Folio], words: Sequence[str]) -> tuple[Folio, ...]:
    """Return what is asked for of `folios`, in their order: whole folios with their tables, others with some pieces.

    Parameters
    ----------
    folios : sequence of Folio
        One of each kind.
    words : sequence of str
        Each is a kind ("strakes"), a piece ("strake 4"), a station ("station 3": every piece made for it or held at
        it), or what the names of several pieces begin with ("land 3", "stem"); the first of these that fits counts.

    Raises
    ------
    SelectionError
        When one of `words` is none of these.
    """
    asked = [_spaced(word) for word in words]
    kinds = {folio.kind for folio in folios} & set(asked)
    for folio in folios:
        if folio.kind in kinds and not folio.pieces:
            raise SelectionError(f"this boat has no {folio.kind}")
    every = [piece for folio in folios for piece in folio.pieces]
    wanted = {name for word in asked if word not in kinds for name in _meant(word, every, folios)}
    some = (folio if folio.kind in kinds else _some(folio, wanted) for folio in folios)
    return tuple(folio for folio in some if folio.pieces)


def _spaced(text: str) -> str:
    """Return a text with single spaces between its words and none round it."""
    return " ".join(text.split())


def _some(folio: Folio, wanted: set[str]) -> Folio:
    """Return those pieces of a folio that are wanted, without its tables but those that are read before any."""
    return replace(folio, pieces=tuple(piece for piece in folio.pieces if piece.name in wanted), tables=())


def _meant(word: str, pieces: Sequence[Piece], folios: Sequence[Folio]) -> set[str]:
    """Return the names of the pieces that one word means. Raises SelectionError when there are none."""
    names = {piece.name: _spaced(piece.name) for piece in pieces}
    stations = {piece.name: {_spaced(in_message(place)) for place in piece.serves} for piece in pieces}
    found = (
        {name for name, spaced in names.items() if spaced == word}
        or {name for name, served in stations.items() if word in served}
        or {name for name, spaced in names.items() if spaced.startswith(f"{word} ")}
    )
    if not found:
        close = get_close_matches(word, sorted({*names, *(one for served in stations.values() for one in served)}), 3)
        quoted = " or ".join(f'"{name}"' for name in close)
        meant = f"; did you mean {quoted}?" if close else ""
        kinds = ", ".join(folio.kind for folio in folios)
        raise SelectionError(
            f'"{word}" is neither a kind of template ({kinds}) nor a piece or station of this boat{meant}'
        )
    return found
