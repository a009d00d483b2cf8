"""The as-built file's tables and keys, with their types.

A file of two strakes hung, beside the hull file::

    format = 1
    hull = "4f9937e8"       # may be left out
    units = "mm"            # left out: the hull file's
    [strake.1]
    above_mark = { fore = 0.5, 1 = 1.0, 2 = -0.5, 3 = 1, 4 = 0, 5 = 0.5, aft = -1 }
    [strake.2]
    above_mark = { fore = 1, 1 = 0, 2 = 0.5, 3 = 0, 5 = 1, aft = 0 }
    sure = ["2"]            # measured again, and right; left out: a figure that looks like a slip is not used
    thickness = 9.2         # left out: as drawn
    lap = 20                # left out: as drawn
"""

from typing import Annotated, ClassVar, Literal

from pydantic import BaseModel, BeforeValidator, Field

from templates_gen.hull.schema import Length, Table

PlaceName = Annotated[str, BeforeValidator(lambda name: str(name) if type(name) is int else name)]
"""A place's name; a mould's number may stand without its quotes."""


class HungTable(Table):
    """One strake that has been hung."""

    above_mark: dict[str, Length] = Field(
        description="a table: for each station by name, fore and aft, how far the upper inside corner stands above "
        "(+) or below (-) its mark, along the section"
    )
    sure: list[PlaceName] = Field(
        default=[], description='a list of places whose odd figures are right, such as ["3", "aft"]'
    )
    thickness: Length | None = Field(None, description="the real thickness of the strake's stock")
    lap: Length | None = Field(None, description="the width of the lap set off on the strake for the next one")


class _Hung(BaseModel):
    """A table whose keys are the numbers of strakes."""

    each: ClassVar[type[BaseModel]] = HungTable


class AsBuiltTable(Table):
    """The whole file."""

    format: Literal[1] = Field(description="1")
    hull: str | None = Field(None, description="the hull file's fingerprint, in quotes, as the sheets drawn show it")
    units: Literal["mm", "in", "ft-in-8", "eighths"] | None = Field(
        None, description='"mm", "in", "ft-in-8" or "eighths" (of an inch, as plain numbers)'
    )
    strake: dict[str, HungTable] = Field(
        description="a table [strake.1] and so on for each strake hung",
        json_schema_extra={"table": _Hung},  # type: ignore[dict-item]
    )
