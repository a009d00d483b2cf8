"""Headless Firefox from the distribution's packages, driven by its own remote protocol, for tests that click.

Debian has no driver for it, so this speaks WebDriver BiDi (W3C working draft) over the websocket that it opens. Where
Firefox is not installed the tests are skipped and say which package brings it; `.ci/run` installs it.
Without a screen it finds no driver to draw in three dimensions with, so that is switched off everywhere.
"""

import itertools
import json
import socket
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import websocket

FIREFOX = "/usr/bin/firefox-esr"

_STARTING = 60.0
"""Seconds that it may take to start."""

_SETTINGS = """user_pref("browser.download.folderList", 2);
user_pref("browser.download.dir", "{folder}");
user_pref("browser.download.alwaysOpenPanel", false);
user_pref("webgl.disabled", true);
user_pref("app.update.enabled", false);
user_pref("datareporting.policy.dataSubmissionEnabled", false);
"""
KEYS = {"Tab": "\ue004", "Enter": "\ue007", "Left": "\ue012", "Up": "\ue013", "Right": "\ue014", "Down": "\ue015"}
"""Keys by their numbers in WebDriver (W3C recommendation, 17.4.2)."""


class Firefox:
    """A window of Firefox that scripts are run in.

    Attributes
    ----------
    folder : Path
        What it downloads is there.
    errors : list of str
        What its pages wrote to the console as errors, and what they threw, but for the lack of WebGL.
    """

    def __init__(self, connection: websocket.WebSocket, folder: Path) -> None:
        self.connection, self.folder, self.errors = connection, folder, list[str]()
        self.numbers = itertools.count(1)
        self.call("session.new", capabilities={})
        # the window that it starts with has no focus, and without it no key presses a button
        self.context = self.call("browsingContext.create", type="tab")["context"]
        self.call("session.subscribe", events=["log.entryAdded"])

    def call(self, method: str, **parameters: object) -> Any:
        """Return what a command of the protocol gives. Raises RuntimeError with what went wrong."""
        number = next(self.numbers)
        self.connection.send(json.dumps({"id": number, "method": method, "params": parameters}))
        while True:
            answer = json.loads(self.connection.recv())
            if answer.get("method") == "log.entryAdded" and answer["params"]["level"] == "error":
                self.errors += [text for text in [str(answer["params"]["text"])] if "WebGL" not in text]
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

    def press(self, *keys: str) -> None:
        """Press keys one after another: letters, or names of `KEYS`."""
        values = [KEYS.get(key, key) for key in keys]
        actions = [{"type": kind, "value": value} for value in values for kind in ("keyDown", "keyUp")]
        source = {"type": "key", "id": "keyboard", "actions": actions}
        self.call("input.performActions", context=self.context, actions=[source])

    def wait_until(self, is_done: Callable[[], bool]) -> None:
        """Wait for what the browser does in its own time. Raises TimeoutError."""
        end = time.monotonic() + _STARTING
        while not is_done():
            if time.monotonic() > end:
                raise TimeoutError
            time.sleep(0.02)

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
        folder = Path(profile) / "downloads"
        folder.mkdir()
        (Path(profile) / "user.js").write_text(_SETTINGS.format(folder=folder), encoding="utf-8")
        command = [FIREFOX, "--headless", "--no-remote", "--profile", profile, f"--remote-debugging-port={port}"]
        with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
            try:
                connection = _connected(f"ws://127.0.0.1:{port}/session")
                window = Firefox(connection, folder)
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
