"""What is meant when a builder asks for some templates only: a kind, a piece, a station, or what names begin with."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cache

from templates_gen.drawing.piece import Folio, Kind, Piece, PrintSet
from templates_gen.errors import SelectionError
from templates_gen.words import in_message


def of_set(
    made: Callable[[PrintSet], tuple[Folio, ...]], to_print: PrintSet, only: Sequence[str]
) -> tuple[Folio, ...]:
    """Return the folios of a set, or what is asked for of them by `only`: from the other set what the set has not.

    Raises SelectionError.
    """
    folios = made(to_print)
    return chosen(folios, only, cache(lambda: made("bench" if to_print == "full" else "full"))) if only else folios


def chosen(
    folios: Sequence[Folio], words: Sequence[str], others: Callable[[], Sequence[Folio]] = tuple
) -> tuple[Folio, ...]:
    """Return what is asked for of `folios`, in their order: whole folios with their tables, others with some pieces.

    Parameters
    ----------
    folios : sequence of Folio
        One of each kind.
    words : sequence of str
        Each is a kind ("strakes"), a piece ("strake 4"), a station ("station 3": every piece made for it or held at
        it), or what the names of several pieces begin with ("land 3", "stem"); the first of these that fits counts.
    others : callable
        Makes the folios of the other set: its pieces are taken for a word that fits none of `folios`.

    Raises
    ------
    SelectionError
        When one of `words` is none of these.
    """
    asked = [_spaced(word) for word in words]
    kinds = {folio.kind for folio in folios} & set(asked)
    for folio in folios:
        if folio.kind in kinds and not folio.pieces and not folio.tables:
            raise SelectionError("; ".join(folio.refused) or f"this boat has no {folio.kind}")
    meant = [_meant(word, folios, others) for word in asked if word not in kinds]
    some = (_some(folio, folio.kind in kinds, meant) for folio in folios)
    return tuple(folio for folio in some if folio.pieces or folio.cut or folio.tables)


Fits = Callable[[Piece], bool]


@dataclass(frozen=True, eq=False)
class _Meant:
    """What one word means: the pieces to print, by kind, and the test that they and those to be cut pass."""

    printed: dict[Kind, tuple[Piece, ...]]
    fits: Fits


def _spaced(text: str) -> str:
    """Return a text with single spaces between its words and none round it."""
    return " ".join(text.split())


def _cut(folio: Folio) -> tuple[Piece, ...]:
    """Return what a router cuts of a folio, and what is of paper where both are one."""
    return folio.pieces if folio.cut is None else folio.cut


def _some(folio: Folio, is_whole: bool, meant: Sequence[_Meant]) -> Folio:
    """Return those pieces of a folio that are meant, without its tables but those that are read before any; or the
    whole folio. What is meant of the other set comes after its own pieces.
    """
    named = {piece.name: piece for one in meant for piece in one.printed.get(folio.kind, ())}
    own = {piece.name for piece in folio.pieces}
    added = tuple(piece for name, piece in named.items() if name not in own)
    if is_whole:
        return replace(folio, pieces=(*folio.pieces, *added), cut=_cut(folio)) if added else folio
    pieces = (*(piece for piece in folio.pieces if piece.name in named), *added)
    cut = tuple(piece for piece in _cut(folio) if any(one.fits(piece) for one in meant))
    return replace(folio, pieces=pieces, tables=(), cut=None if folio.cut is None and not added else cut)


def _meant(word: str, folios: Sequence[Folio], others: Callable[[], Sequence[Folio]]) -> _Meant:
    """Return what one word means: a piece of either set, a station, or what names in either set begin with.

    Raises SelectionError when it means nothing.
    """

    def is_called(piece: Piece) -> bool:
        return _spaced(piece.name) == word

    def serves(piece: Piece) -> bool:
        return word in _stations(piece)

    def begins(piece: Piece) -> bool:
        return _spaced(piece.name).startswith(f"{word} ")

    tries: tuple[tuple[Fits, Callable[[], Sequence[Folio]]], ...] = (
        (is_called, lambda: folios),
        (is_called, others),
        (serves, lambda: folios),
        (begins, lambda: folios),
        (begins, others),
    )
    for fits, made in tries:
        printed = {folio.kind: found for folio in made() if (found := _fitting(folio, fits, fits is serves))}
        if printed:
            return _Meant(printed, fits)
    raise SelectionError(_nothing(word, folios, others()))


def _fitting(folio: Folio, fits: Fits, or_cut: bool) -> tuple[Piece, ...]:
    """Return the pieces of a folio that fit; `or_cut`: if none that is printed does, those for a router."""
    found = tuple(filter(fits, folio.pieces))
    return found if found or not or_cut else tuple(filter(fits, _cut(folio)))


def _stations(piece: Piece) -> set[str]:
    """Return the stations that a piece serves, as a builder names them: "station 3"."""
    return {_spaced(in_message(place)) for place in piece.serves}


def _nothing(word: str, folios: Sequence[Folio], others: Sequence[Folio]) -> str:
    """Return the message about a word that means nothing, with the nearest names of both sets."""
    pieces = [piece for folio in (*folios, *others) for piece in folio.pieces]
    names = {name for piece in pieces for name in (_spaced(piece.name), *_stations(piece))}
    close = get_close_matches(word, sorted(names), 3)
    quoted = " or ".join(f'"{name}"' for name in close)
    kinds = ", ".join(folio.kind for folio in folios)
    return f'"{word}" is neither a kind of template ({kinds}) nor a piece or station of this boat' + (
        f"; did you mean {quoted}?" if close else ""
    )
