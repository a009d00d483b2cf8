"""Run the command line: ``python -m templates_gen``, and the console script. It may be interrupted at any moment."""

import os
import sys

try:
    import signal
    from types import FrameType
except KeyboardInterrupt:  # libraries are still being loaded, and nothing takes care of signals yet
    os.write(2, b"interrupted; nothing was written\n")
    os._exit(130)


def main() -> None:
    """Run the command line; an interruption at any moment ends it with one line that says which files stand."""
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) != signal.SIG_IGN:
            signal.signal(number, _end)
    from templates_gen.cli import main as run

    try:
        run()
    finally:
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # all is done and reported


def _end(number: int, _: FrameType | None) -> None:
    """Say which files stand, and end at once.

    No exception is raised: libraries that are just being loaded, or that call back from compiled code, would swallow
    it or turn it into another. Nothing needs to be cleaned up: while files are written, `output` holds signals back.
    """
    interrupts = sys.modules.get("templates_gen.output.guards")
    standing = getattr(interrupts, "standing", None)  # the module may be on its way in
    line = f"interrupted; {standing() if standing else 'nothing was written'}"
    line = "".join(letter if letter.isprintable() else ascii(letter)[1:-1] for letter in line)
    try:
        if os.isatty(2):
            line = f"\r{line:<80}"  # over the line of progress
        os.write(2, f"{line}\n".encode())
    finally:
        os._exit(128 + number)


if __name__ == "__main__":
    main()
