"""Standard output and standard error: in UTF-8 everywhere, whole or with an error, and safe to show on a terminal."""

import os
import sys
from contextlib import suppress
from typing import Any, TextIO

LONGEST_LINE = 1600
"""Characters of a message that are shown; a longer one has a value in it that nobody reads."""

HEAD, TAIL = 1000, 400


def visible(text: str) -> str:
    """Return a text on one line; letters that a terminal would obey are shown as escapes, such as \\\\x1b.

    A very long text loses its middle: its beginning says where, its end what to do.
    """
    if len(text) > LONGEST_LINE:
        text = f"{text[:HEAD]} … ({len(text) - HEAD - TAIL} characters left out) … {text[-TAIL:]}"
    return "".join(letter if letter.isprintable() or letter == "\t" else ascii(letter)[1:-1] for letter in text)


class _Messages:
    """Standard error for whoever prints there, the library of the command line too: line by line made visible."""

    def __init__(self, stream: TextIO | None) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        """Write a text; a stream that is full or closed takes no messages, which is no reason to stop the work."""
        if self._stream is not None:
            shown = "\n".join(map(visible, text.split("\n")))
            try:
                self._stream.write(shown)
                self._stream.flush()
            except (OSError, ValueError):
                self._stream = None
                _lead_nowhere(2)
        return len(text)

    def flush(self) -> None:
        """Do nothing: everything is written at once."""

    @property
    def terminal(self) -> TextIO | None:
        """Return the terminal on which messages appear; None if they go elsewhere."""
        return self._stream if self._stream is not None and self._stream.isatty() else None

    def isatty(self) -> bool:
        """Return whether messages appear on a terminal."""
        return self.terminal is not None

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


def visible_messages(stream: TextIO | None) -> TextIO:
    """Return a stream that shows messages on `stream`, in UTF-8 and without letters that a terminal would obey."""
    with suppress(AttributeError):
        stream.reconfigure(encoding="utf-8", errors="backslashreplace")  # type: ignore[union-attr]
    return _Messages(stream)  # type: ignore[return-value]


def keep_standard_descriptors() -> None:
    """Open what is closed of the three standard descriptors, so that no file of the job gets one of their numbers."""
    for descriptor in range(3):
        try:
            os.fstat(descriptor)
        except OSError:
            os.open(os.devnull, os.O_RDWR)


def terminal() -> TextIO | None:
    """Return the terminal of standard error, to write on as it is; None if messages go elsewhere."""
    return sys.stderr.terminal if isinstance(sys.stderr, _Messages) else None


def written_out(results: str, stream: TextIO | None) -> bool:
    """Write all results of a command to standard output; if that cannot be done, say why, and return False."""
    if not results:
        return True
    try:
        if stream is None:
            raise ValueError("it is closed")
        stream.reconfigure(encoding="utf-8", errors="backslashreplace")  # type: ignore[attr-defined]
        stream.write(results)
        stream.flush()
    except (OSError, ValueError) as fault:
        why = getattr(fault, "strerror", None) or str(fault)
        print(
            f"error: standard output cannot be written: {why.lower()}; send the results to another place",
            file=sys.stderr,
        )
        _lead_nowhere(1)
        return False
    return True


def _lead_nowhere(descriptor: int) -> None:
    """Let a descriptor that takes nothing lead to the null device, so that the last flush of the program succeeds."""
    with suppress(OSError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, descriptor)
        os.close(nowhere)
