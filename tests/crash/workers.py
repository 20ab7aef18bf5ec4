"""Processes of `ovipost serve`: started, killed, stopped, and none left behind."""

import asyncio
import contextlib
import signal
import socket
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SECRET = "s3cret"  # noqa: S105 - of no bot
STOPS_WITHIN = 15.0  # seconds
TURN = 5.0  # seconds between two tries to be the one that polls


class Worker:
    """One place for a process, with its port and its door to the API; the processes in it come and go."""

    def __init__(self, api, port, settings, log):
        self.has_called = False  # the present process has reached the API
        self.killed_as = None  # the kind of kill, where it was killed from outside
        self._settings = settings | {"OVIPOST_TELEGRAM_API": api, "OVIPOST_PORT": str(port)}
        self._log = log
        self._process = None

    @property
    def pid(self):
        """Name the process that was started last."""
        return self._process.pid

    @property
    def is_up(self):
        """Whether a process runs here that nobody has killed."""
        return self._process is not None and self._process.returncode is None and self.killed_as is None

    async def start(self, killing=()):
        """Start a process; `killing` says at which of its commits it ends itself, as the launcher takes it."""
        module = ["tests.crash.launcher", *map(str, killing)] if killing else ["bot", "serve"]
        self.has_called, self.killed_as = False, None
        with self._log.open("ab") as log:
            self._process = await asyncio.create_subprocess_exec(
                sys.executable, "-m", *module, cwd=ROOT, env=self._settings, stdin=asyncio.subprocess.DEVNULL,
                stdout=log, stderr=log,
            )  # fmt: skip

    def kill(self, kind):
        """End the process as a power cut would; nothing where there is none."""
        if self.is_up:
            self.killed_as = kind
            with contextlib.suppress(ProcessLookupError):
                self._process.kill()

    async def ended(self):
        """Wait for the end of the process and give its exit code."""
        return await self._process.wait()

    async def stop(self):
        """Tell the process to stop and give its exit code; 0 where none runs."""
        if not self.is_up:
            return 0
        self._process.terminate()
        async with asyncio.timeout(STOPS_WITHIN):
            return await self.ended()

    async def clear(self):
        """Leave no process behind, whatever happened."""
        self.kill("at the end")
        if self._process is not None:
            await self._process.wait()


def settings(database, token, *, webhook=None):
    """Give the environment of a process."""
    given = {
        "OVIPOST_TELEGRAM_TOKEN": token,
        "OVIPOST_DB": database,
        "OVIPOST_LOG": "WARNING",
        "OVIPOST_SEND_RATE": "0",
        "OVIPOST_PERSON_RATE": "0",
        "PYTHONUNBUFFERED": "1",
    }
    if webhook is not None:
        given |= {"OVIPOST_WEBHOOK_URL": webhook, "OVIPOST_WEBHOOK_SECRET": SECRET}
    return given


def free_port():
    """Find a port that nobody listens on."""
    with socket.create_server(("127.0.0.1", 0)) as listening:
        return listening.getsockname()[1]


KILLED = -signal.SIGKILL
