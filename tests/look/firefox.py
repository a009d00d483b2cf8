"""Headless Firefox from the distribution's packages, driven by its own remote protocol, for tests that click.

Debian has no driver for it, so this speaks WebDriver BiDi (W3C working draft) over the websocket that it opens. Where
Firefox is not installed the tests are skipped and say which package brings it; `.ci/run` installs it.
"""

import itertools
import json
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import websocket

FIREFOX = "/usr/bin/firefox-esr"

_STARTING = 60.0
"""Seconds that it may take to start."""


class Firefox:
    """A window of Firefox that scripts are run in."""

    def __init__(self, connection: websocket.WebSocket) -> None:
        self.connection = connection
        self.numbers = itertools.count(1)
        self.call("session.new", capabilities={})
        self.context = self.call("browsingContext.getTree")["contexts"][0]["context"]

    def call(self, method: str, **parameters: object) -> Any:
        """Return what a command of the protocol gives. Raises RuntimeError with what went wrong."""
        number = next(self.numbers)
        self.connection.send(json.dumps({"id": number, "method": method, "params": parameters}))
        while True:
            answer = json.loads(self.connection.recv())
            if answer.get("id") == number:
                if answer["type"] == "error":
                    raise RuntimeError(answer)
                return answer["result"]

    def resize(self, width: int, height: int) -> None:
        """Make the window of this size, pixels."""
        self.call("browsingContext.setViewport", context=self.context, viewport={"width": width, "height": height})

    def get(self, url: str) -> None:
        """Open a page, and wait until it is loaded."""
        self.call("browsingContext.navigate", context=self.context, url=url, wait="complete")

    def run(self, body: str, *arguments: object) -> Any:
        """Return what the body of a function gives on the page, plain data in and out."""
        expression = f"JSON.stringify((function () {{ {body} }})(...{json.dumps(arguments)}) ?? null)"
        result = self.call(
            "script.evaluate", expression=expression, target={"context": self.context}, awaitPromise=False
        )
        if result["type"] != "success":
            raise RuntimeError(result)
        return json.loads(result["result"]["value"])


@contextmanager
def firefox(width: int, height: int) -> Iterator[Firefox]:
    """Yield a browser with a window of this size, pixels, and end it; skip the test where there is none."""
    if not Path(FIREFOX).exists():
        pytest.skip("no second browser to test the page in: apt-get install firefox-esr")
    with socket.socket() as free, tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
        free.close()
        command = [FIREFOX, "--headless", "--no-remote", "--profile", profile, f"--remote-debugging-port={port}"]
        with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
            try:
                connection = _connected(f"ws://127.0.0.1:{port}/session")
                window = Firefox(connection)
                window.resize(width, height)
                yield window
                connection.close()
            finally:
                process.terminate()


def _connected(address: str) -> websocket.WebSocket:
    end = time.monotonic() + _STARTING
    while True:
        try:
            return websocket.create_connection(address, timeout=_STARTING, suppress_origin=True)
        except OSError:
            if time.monotonic() > end:
                raise
            time.sleep(0.2)
