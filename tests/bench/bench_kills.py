"""Kills, interruptions and two writers at once, with real processes: what stands in the folder afterwards.

``python -m tests.bench.bench_kills --kills 200 --interrupts 50 --writers 100``

Each kill (SIGKILL) strikes a process that writes one set of files over another, at a random moment, and one strikes
at every renaming. In turn the folder is empty, holds a former set, or holds one with files of the builder's as well.
Then another run writes there. Interruptions (SIGINT) strike the whole command, from its start on. It prints what was
seen and ends with 1 if anything was lost or mixed.
"""

import argparse
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from templates_gen.errors import OutputError
from templates_gen.output import MANIFEST, OutputFolder
from templates_gen.sheets import JOB_NAMES

ROOT = Path(__file__).resolve().parents[2]
OWN = {"notes.txt": b"the builder's own", "stock-7.dxf": b"the builder's own drawing", "bevels.odt": b"and a letter"}
KINDS = ("empty", "filled", "foreign")
SURE = "moulds.pdf"

Files = dict[str, bytes]


def some_set(mark: str, size: int, without: str = "") -> Files:
    """Return files of a job's names, each of another size and full of `mark`."""
    names = [name for name in JOB_NAMES if not name.startswith("stock") and not name.startswith(f"{without}.")]
    return {name: mark.encode() * (size * (1 + place)) for place, name in enumerate(names)}


FORMER, NEW, NEXT = some_set("f", 20_000), some_set("n", 30_000, "transom"), some_set("x", 500)


def prepared(folder: Path, kind: str) -> Path:
    """Return a folder that is missing, holds the former set, or that set and files of the builder's."""
    shutil.rmtree(folder, ignore_errors=True)
    if kind != "empty":
        OutputFolder(folder, JOB_NAMES).write(FORMER)
    if kind == "foreign":
        for name, data in OWN.items():
            (folder / name).write_bytes(data)
    return folder


def child(work: Callable[[], None]) -> int:
    """Do some work in a process of its own, which ends with 0, or with 2 on an OutputError; return its number."""
    process = os.fork()
    if process:
        return process
    try:
        work()
        os._exit(0)
    except OutputError:
        os._exit(2)
    finally:
        os._exit(3)


def ended(process: int) -> int:
    """Wait for a process; return its exit status, or minus the signal that ended it."""
    return os.waitstatus_to_exitcode(os.waitpid(process, 0)[1])


def visible(folder: Path) -> Files:
    """Return the files of a folder but for the program's list; something hidden counts under its name."""
    if not folder.is_dir():
        return {}
    hidden = {path.name: b"" for path in folder.iterdir() if path.is_dir()}
    return hidden | {
        path.name: path.read_bytes() for path in folder.iterdir() if path.is_file() and path.name != MANIFEST
    }


def after_a_kill(folder: Path, kind: str) -> str:
    """Return what stands in a folder after the next run in it: first a run that fails, then one that writes."""
    own = OWN if kind == "foreign" else {}
    seen = visible(folder)
    if any(seen.get(name) != data for name, data in own.items()):
        return "LOST a file of the builder's"
    before = FORMER if kind != "empty" else {}
    was_whole = any(seen == whole | own for whole in (before, NEW))
    OutputFolder(folder, JOB_NAMES)
    stands = visible(folder)
    if not any(stands == whole | own for whole in (before, NEW)):
        return "MIXED after the next run"
    OutputFolder(folder, JOB_NAMES).write(NEXT)
    if visible(folder) != NEXT | own:
        return "MIXED after the next run had written"
    if not was_whole:
        return "mixed or with remains, put right by the next run"
    return "the new set stood" if seen == NEW | own else "the former set stood"


def kills(folder: Path, count: int, draw: random.Random) -> Counter[str]:
    """Kill runs at random moments of their writing."""
    prepared(folder, "filled")
    began = time.monotonic()
    ended(child(lambda: OutputFolder(folder, JOB_NAMES).write(NEW)))
    span = 1.2 * (time.monotonic() - began)
    seen: Counter[str] = Counter()
    for number in range(count):
        kind = KINDS[number % len(KINDS)]
        prepared(folder, kind)
        process = child(lambda: OutputFolder(folder, JOB_NAMES).write(NEW))
        time.sleep(draw.uniform(0.0, span) * draw.choice((0.3, 1.0)))  # a write takes longer on some folders
        os.kill(process, signal.SIGKILL)
        ended(process)
        seen[after_a_kill(folder, kind)] += 1
    return seen


def killed_at_renaming(folder: Path, number: int) -> None:
    """Write a set; the process kills itself before its renaming of this number."""
    real, left = os.replace, [number]

    def replace(*paths: Path) -> None:
        left[0] -= 1
        if left[0] < 0:
            os.kill(os.getpid(), signal.SIGKILL)
        real(*paths)

    os.replace = replace  # type: ignore[assignment]
    OutputFolder(folder, JOB_NAMES).write(NEW)


def kills_at_renamings(folder: Path) -> Counter[str]:
    """Kill a run at every renaming, in each kind of folder."""
    seen: Counter[str] = Counter()
    for kind in KINDS:
        number = 0
        while True:
            prepared(folder, kind)
            status = ended(child(lambda number=number: killed_at_renaming(folder, number)))  # type: ignore[misc]
            if status == 0:
                break
            seen[after_a_kill(folder, kind)] += 1
            number += 1
    return seen


def interrupts(folder: Path, count: int, draw: random.Random) -> Counter[str]:
    """Interrupt the whole command at random moments."""
    command = [sys.executable, "-m", "templates_gen", "make", str(ROOT / "hulls" / "pram.toml"), "--out", str(folder)]
    command += ["--only", "moulds"]
    signal.signal(
        signal.SIGINT, signal.default_int_handler
    )  # a shell's background ignores it, and so would the command
    shutil.rmtree(folder, ignore_errors=True)
    began = time.monotonic()
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    whole, span = visible(folder), 1.1 * (time.monotonic() - began)
    seen: Counter[str] = Counter()
    for number in range(count):
        shutil.rmtree(folder, ignore_errors=True)
        if number % 2:
            OutputFolder(folder, JOB_NAMES).write(FORMER)
        before = visible(folder)
        process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        time.sleep(draw.uniform(0.05, span))
        process.send_signal(signal.SIGINT)
        errors = process.communicate()[1]
        stands = visible(folder)
        if stands not in (before, whole):
            seen["MIXED"] += 1
        elif process.returncode == 130 and errors.strip().splitlines()[-1].startswith("interrupted; "):
            seen["130, one line, " + ("the new set" if stands == whole != before else "what was there")] += 1
        elif process.returncode == 0 and stands == whole:
            seen["ended before"] += 1
        elif stands == before and not re.search(r"/templates_gen/\w", errors):
            seen["struck while Python itself was starting, before the program's first line"] += 1
        else:
            seen[f"TRACEBACK or other end: {process.returncode} {errors[-300:]!r}"] += 1
    return seen


def writers(folder: Path, count: int) -> Counter[str]:
    """Let two processes that began at once write different sets into one folder."""
    seen: Counter[str] = Counter()
    for _ in range(count):
        prepared(folder, "filled")
        start, go = os.pipe()

        def work(files: Files, start: int = start, go: int = go) -> None:
            output = OutputFolder(folder, JOB_NAMES)
            os.close(go)
            os.read(start, 1)  # until the parent has closed its end
            output.write(files)

        processes = {child(lambda work=work, files=files: work(files)): files for files in (NEW, NEXT)}  # type: ignore[misc]
        time.sleep(0.05)
        os.close(go)
        statuses = {process: ended(process) for process in processes}
        os.close(start)
        won = [process for process, status in statuses.items() if status == 0]
        if len(won) == 1 and visible(folder) == processes[won[0]] and sorted(statuses.values()) == [0, 2]:
            seen["one succeeded and its set stood"] += 1
        else:
            seen[f"WRONG: {sorted(statuses.values())}"] += 1
    return seen


def main() -> None:
    """Run the campaign and print what was seen."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    for name, usual in (("kills", 200), ("interrupts", 50), ("writers", 100), ("seed", 1)):
        parser.add_argument(f"--{name}", type=int, default=usual)
    given = parser.parse_args()
    draw = random.Random(given.seed)
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "out"
        campaign: dict[str, Callable[[], Counter[str]]] = {
            f"{given.kills} kills at random moments": lambda: kills(folder, given.kills, draw),
            "a kill at every renaming": lambda: kills_at_renamings(folder),
            f"two writers, {given.writers} times": lambda: writers(folder, given.writers),
            f"{given.interrupts} interruptions": lambda: interrupts(folder, given.interrupts, draw),
        }
        is_well = True
        for name, part in campaign.items():
            print(f"{name}:")
            for what, count in sorted(part().items()):
                print(f"  {count:4d}  {what}", flush=True)
                is_well &= not what.split()[0].isupper()
    sys.exit(not is_well)


if __name__ == "__main__":
    main()
