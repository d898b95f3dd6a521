"""The server as people start it: a process of its own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from http import HTTPStatus
from http.client import HTTPException
from typing import TYPE_CHECKING

from tests.served import ANSWERED, Phone, free_port

if TYPE_CHECKING:
    import signal
    from pathlib import Path

BACK = 5.0
"""So soon after its start the server takes readings again. [s]"""


class Serve:
    """``ringtrue serve`` in a process of its own, always at the same address."""

    def __init__(self, folder: Path) -> None:
        self.book = folder / "book.ringtrue"
        self.port = free_port()
        self._environment = {**os.environ, "RINGTRUE_SETTINGS": str(folder / "settings.toml")}
        self._process: subprocess.Popen[str] | None = None
        self.pid = 0
        self.token = ""

    def start(self) -> float:
        """Start, and wait until it answers; how long that took. [s]."""
        command = [sys.executable, "-m", "ringtrue", "serve", "--json", "--no-browser"]
        command += ["--port", str(self.port), "--book", str(self.book)]
        began = time.monotonic()
        self._process = subprocess.Popen(command, stdout=subprocess.PIPE, env=self._environment, text=True)
        self.pid = self._process.pid
        assert self._process.stdout is not None
        said = json.loads(self._process.stdout.readline())
        phone = Phone(self.port, self.token)
        if not self.token:
            entered = {"secret": said["owner"].partition("#")[2], "device": "phone", "person": "a builder"}
            paired = phone.post("/api/pair", entered)
            phone.hang_up()
            self.token = paired.headers["set-cookie"].partition("=")[2].partition(";")[0]
            phone = Phone(self.port, self.token)
        while not self._answers(phone):
            assert time.monotonic() - began < ANSWERED, "it does not come back"
        phone.hang_up()
        return time.monotonic() - began

    def stop(self, how: signal.Signals) -> None:
        """Stop it."""
        assert self._process is not None
        self._process.send_signal(how)
        self._process.wait(20)
        assert self._process.stdout is not None
        self._process.stdout.close()
        self._process = None

    def _answers(self, phone: Phone) -> bool:
        try:
            return phone.get("/api/me").status == HTTPStatus.OK
        except (OSError, HTTPException):  # as a phone does, which tries again
            return False
