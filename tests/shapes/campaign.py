"""One seeded hull through the whole of the program, and what is to be reported of it."""

import tomllib
import traceback
from dataclasses import dataclass, field
from pathlib import Path
from time import process_time

from templates_gen.checking import Checked
from templates_gen.errors import HullFileError
from templates_gen.report.measurements import measurements
from tests.flow import checked, folio
from tests.shapes.errors import BEVEL_LIMIT, LENGTH_LIMIT, Difference, difference, finer_measurements, reported_error
from tests.shapes.figures import Impossible, Planks, Record, impossible_figures
from tests.shapes.fits import Fit, hood_misses, lap_miss

KINDS = ("moulds", "bevels", "rebates", "transom", "strakes")


@dataclass
class Outcome:
    """What became of one hull file.

    Attributes
    ----------
    messages : list of str
        The errors that the program gives; empty where the boat builds.
    cures : list of str
        The cure that each names, "" where it names none.
    failure : str
        A traceback.
    """

    messages: list[str] = field(default_factory=list)
    cures: list[str] = field(default_factory=list)
    failure: str = ""
    impossible: list[Impossible] = field(default_factory=list)
    fits: dict[str, Fit] = field(default_factory=dict)
    error: Difference | None = None
    own_error: Difference | None = None
    warnings: list[str] = field(default_factory=list)
    seconds: float = 0.0
    record: Record = field(default_factory=dict)

    @property
    def builds(self) -> bool:
        """Whether the program builds the boat."""
        return not self.messages and not self.failure

    @property
    def untrue(self) -> bool:
        """Whether an error over its limit is more than three times the program's own estimate of it."""
        if self.error is None or self.own_error is None:
            return False
        pairs = (
            (getattr(self.error, key)[0], getattr(self.own_error, key)[0]) for key in ("bevel", "take_off", "outline")
        )
        limits = (BEVEL_LIMIT, LENGTH_LIMIT, LENGTH_LIMIT)
        return any(true > limit and own < true / 3 for (true, own), limit in zip(pairs, limits, strict=True))


def outcome(path: Path, with_error: bool = True, with_drawings: bool = False) -> Outcome:
    """Return what becomes of a hull file: read, computed, walked, measured again finer, drawn."""
    result = Outcome()
    start = process_time()
    try:
        boat = checked(path)
        result.seconds = process_time() - start
        _judge(result, boat, path, with_error, with_drawings)
    except HullFileError as error:
        result.messages = [f"file: {fault.text}" for fault in error.faults]
    except Exception:
        result.failure = traceback.format_exc(limit=-4)
    return result


def _judge(result: Outcome, done: Checked, path: Path, with_error: bool, with_drawings: bool) -> None:
    result.messages = [finding.text for finding in done.errors]
    result.cures = [finding.cure.words if finding.cure else "" for finding in done.errors]
    result.warnings = [finding.text for finding in done.findings if finding.severity == "warning"]
    boat = done.boat
    if boat is None or result.messages:
        return
    result.record = measurements(boat)
    result.impossible = list(impossible_figures(result.record, planks_of(path)))
    result.fits = {f"hood end, {name}": fit for name, fit in hood_misses(boat.shell).items()}
    result.fits["lap"] = lap_miss(boat.shell)
    if with_error:
        result.error = difference(result.record, finer_measurements(done.hull))
        result.own_error = reported_error(result.record)
    if with_drawings:
        for kind in KINDS:
            folio(boat, kind)  # type: ignore[arg-type]


def planks_of(path: Path) -> Planks:
    """Return the planking's stock as the hull file has it, mm."""
    raw = tomllib.loads(path.read_text(encoding="utf-8"))
    scale = 25.4 if raw["units"] == "in" else 1.0
    planking = raw["planking"]
    strakes, thickness = planking["strakes"], planking["thickness"]
    each = thickness if isinstance(thickness, list) else [thickness] * strakes
    lap = planking.get("lap", (3.0 if planking.get("method") == "glued" else 2.0) * each[0])
    laps = lap if isinstance(lap, list) else [lap] * (strakes - 1)
    return Planks([scale * float(t) for t in each], [scale * float(a) for a in laps])
