"""Whether every machine makes the same sheets: ``python -m tests.bench.bench_same_sheets --pythons python3.13``.

It makes all templates of each hull under other seeds of hashes, numbers of threads, locales, time zones, kernels of
the number library, working folders, and versions of Python (interpreters with the program's libraries), and compares
every file with the first run's, byte for byte. It ends with 1 when a PDF file or ``tiles.json`` differs anywhere, or
any file where the libraries and their kernel are the same. A locale that is not installed can be compiled into a
folder (``localedef -i tr_TR -f UTF-8 FOLDER/tr_TR.UTF-8``) that the variable ``LOCPATH`` names.
"""

import argparse
import os
import subprocess
import sys
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
HULLS = tuple(sorted(path.stem for path in (ROOT / "hulls").glob("*.toml")))
LAYOUT = (".pdf", "tiles.json")
"""Ends of the names of files that are the same with any kernel and version of the libraries."""


@dataclass(frozen=True)
class Way:
    """One way of running the program.

    Attributes
    ----------
    name : str
    settings : dict
        Variables of the environment.
    python : str
        The interpreter.
    same_figures : bool
        Whether the last digits of figures are the same, too.
    """

    name: str
    settings: dict[str, str] = field(default_factory=dict)
    python: str = sys.executable
    same_figures: bool = True


def ways(pythons: list[str]) -> list[Way]:
    """Return the ways that are compared, the plain one first."""
    found = [Way("plain")]
    found += [Way(f"hash seed {seed}", {"PYTHONHASHSEED": seed}) for seed in ("0", "1", "4242", "random")]
    for count in ("1", "2", "4"):
        found.append(Way(f"{count} threads", {"OMP_NUM_THREADS": count, "OPENBLAS_NUM_THREADS": count}))
    for name in ("C", "C.UTF-8", "de_DE.UTF-8", "tr_TR.UTF-8"):
        found.append(Way(f"locale {name}", {"LC_ALL": name, "LANG": name, "LANGUAGE": name}))
    found += [Way(f"time zone {zone}", {"TZ": zone}) for zone in ("UTC", "Asia/Kathmandu", "America/St_Johns")]
    found += [Way("no UTF-8 mode", {"PYTHONUTF8": "0", "LC_ALL": "C", "PYTHONCOERCECLOCALE": "0"})]
    for kernel in ("Nehalem", "Sandybridge", "Haswell"):
        found.append(Way(f"kernel {kernel}", {"OPENBLAS_CORETYPE": kernel}, same_figures=False))
    return found + [Way(f"interpreter {python}", python=python) for python in pythons]


def files_of(hull: Path, way: Way, folder: Path) -> dict[str, bytes]:
    """Return the files that the program makes, run in `folder`."""
    folder.mkdir()
    settings = {name: value for name, value in os.environ.items() if not name.startswith(("LC_", "LANG", "OMP_"))}
    settings |= {"PYTHONPATH": str(ROOT)} | way.settings
    command = [way.python, "-m", "templates_gen", "make", str(hull), "--out", "out"]
    subprocess.run(command, cwd=folder, env=settings, check=True, capture_output=True)
    return {path.name: path.read_bytes() for path in sorted((folder / "out").iterdir())}


def differing(first: dict[str, bytes], other: dict[str, bytes]) -> list[str]:
    """Return the names of files that only one run made, or that differ."""
    return sorted(name for name in first.keys() | other.keys() if first.get(name) != other.get(name))


def main() -> int:
    """Print which files differ under each way; return the exit status."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--pythons", nargs="*", default=[], help="other interpreters, with the same libraries")
    parser.add_argument("--hulls", nargs="*", default=HULLS)
    given = parser.parse_args()
    failed = 0
    for hull in given.hulls:
        path = ROOT / "hulls" / f"{hull}.toml"
        with tempfile.TemporaryDirectory() as scratch:
            plain, *others = ways(given.pythons)
            first = files_of(path, plain, Path(scratch) / "plain")
            for number, way in enumerate(others):
                names = differing(first, files_of(path, way, Path(scratch) / f"folder {number}"))
                wrong = [name for name in names if way.same_figures or name.endswith(LAYOUT)]
                failed += bool(wrong)
                shown = (
                    f"{'WRONG: ' if wrong else ''}{', '.join(names)} differ"
                    if names
                    else f"{len(first)} files the same"
                )
                print(f"{hull}, {way.name}: {shown}", flush=True)
    print(f"{failed} of {len(given.hulls) * len(others)} runs made other files")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
