"""What makes a print true from a printer that is a little out, in both directions."""

from dataclasses import dataclass, replace

from templates_gen.errors import DrawingError
from templates_gen.paper.sheet import Sheet, fits

SQUARE = 100.0
"""mm: side of the square to measure."""

MOST = 3.0
"""Per cent: more than this is no fault of a printer but a page made to fit its paper (common practice)."""


@dataclass(frozen=True)
class Correction:
    """What the square of 100 mm measured on paper, mm.

    Attributes
    ----------
    across, up : float
        As the first page shows the square, title strip below.

    Notes
    -----
    A printer draws a sheet across its rollers and along its feed, and each way has an error of its own. Which of them
    x is depends on how a page lies: a page with its long side below is turned by a quarter to go through the same
    rollers, so x and y change places. The first page is always upright (from a roll, with the roll's width below), so
    "across" is along the short side of every sheet (or the roll's width), and "up" along the long side (or the feed).
    """

    across: float = SQUARE
    up: float = SQUARE

    @classmethod
    def parse(cls, text: str) -> "Correction":
        """Return the correction for a square that measured so much across and up, such as "99.4x100.3".

        Raises
        ------
        DrawingError
            If it is not two figures, or one of them is more than 3 % out.
        """
        figures = [part.strip() for part in text.lower().replace("×", "x").replace(",", ".").split("x")]
        if len(figures) != 2 or not all(_is_plain(figure) for figure in figures):
            raise DrawingError(
                f'"{text}" is not the measured size of the 100 mm square: give its width and height in mm, as you '
                "look at the first page, such as 99.4x100.3"
            )
        across, up = map(float, figures)
        for way, figure in (("across", across), ("up", up)):
            out = abs(figure - SQUARE) / SQUARE * 100
            if not fits(out, MOST):
                raise DrawingError(
                    f"the 100 mm square measured {figure:g} mm {way}, {out:.1f} % out: a printer is at most {MOST:g} "
                    "% out, so the print dialog has scaled the page. Print at 100 %, “actual size”, never “fit to "
                    "page”, and measure again"
                )
        return cls(across, up)

    @property
    def is_none(self) -> bool:
        """Return whether there is nothing to correct."""
        return self.across == SQUARE == self.up

    def factors(self, sheet: Sheet) -> tuple[float, float]:
        """Return by how much a page on `sheet` is stretched in x and in y."""
        across, up = SQUARE / self.across, SQUARE / self.up
        return (up, across) if sheet.is_turned else (across, up)

    def planned(self, sheet: Sheet) -> Sheet:
        """Return the sheet on which pages are laid out, in true millimetres.

        Stretched by `factors` it is exactly `sheet`, and what lies within its margins lies within those of `sheet`.
        """
        across, up = self.factors(sheet)
        margin = sheet.margin / min(across, up)
        return replace(
            sheet,
            width=sheet.width / across,
            height=sheet.height / up,
            margin=margin,
            roll=sheet.roll / (SQUARE / self.across),
        )

    def __str__(self) -> str:
        """Return it as it is written on the command line and on every sheet: "99.4x100.3"."""
        return f"{self.across:g}x{self.up:g}"


def _is_plain(figure: str) -> bool:
    """Return whether a figure is written in digits, with or without a decimal point between them."""
    whole, point, rest = figure.partition(".")
    return all(part.isascii() and part.isdigit() for part in (whole, *([rest] if point else ())))


NO_CORRECTION = Correction()
