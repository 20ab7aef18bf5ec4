"""`ovipost serve` that kills itself around one of its own commits: its arguments are NUMBER MOMENT MICROSECONDS.

NUMBER counts the commits that wrote something. MOMENT: `before` kills where the commit is about to begin, `in` so many
microseconds after that from a thread of its own, `after` once it is through and nothing else has happened yet.
"""

import os
import signal
import sys
import threading
import time

import sqlalchemy as sa
from sqlalchemy import event

from bot.cli import main

WRITES = ("INSERT", "UPDATE", "DELETE")


class Killer:
    """Counts commits and strikes at one."""

    def __init__(self, number, moment, microseconds):
        self._left = number
        self._moment = moment
        self._seconds = microseconds / 1_000_000
        self._lock = threading.Lock()
        self._strike = threading.Event()
        self._writing = set()  # raw connections whose transaction has written
        self._struck = set()  # those whose commit is the one
        threading.Thread(target=self._wait_and_kill, daemon=True).start()

    def listen(self):
        """Hook into every engine of this process."""
        event.listen(sa.Engine, "after_cursor_execute", self._executed)
        event.listen(sa.Engine, "commit", self._commits)
        event.listen(sa.Engine, "rollback", self._rolls_back)
        event.listen(sa.pool.Pool, "checkin", self._ended)

    def _executed(self, connection, _cursor, statement, *_):
        if statement.lstrip()[:6].upper() in WRITES:
            with self._lock:
                self._writing.add(_raw(connection))

    def _commits(self, connection):
        with self._lock:
            if _raw(connection) not in self._writing:
                return
            self._writing.discard(_raw(connection))
            self._left -= 1
            if self._left != 0:
                return
            self._struck.add(_raw(connection))
        if self._moment == "before":
            kill()
        elif self._moment == "in":
            self._strike.set()

    def _rolls_back(self, connection):
        with self._lock:
            self._writing.discard(_raw(connection))

    def _ended(self, raw, _record):
        with self._lock:
            is_struck = id(raw) in self._struck
        if is_struck:
            kill()

    def _wait_and_kill(self):
        self._strike.wait()
        time.sleep(self._seconds)
        kill()


def _raw(connection):
    return id(connection.connection.dbapi_connection)


def kill():
    """End this process as a power cut would."""
    os.kill(os.getpid(), signal.SIGKILL)


if __name__ == "__main__":
    killer = Killer(int(sys.argv[1]), sys.argv[2], int(sys.argv[3]))
    killer.listen()
    sys.exit(main(["serve"]))
