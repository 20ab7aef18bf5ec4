"""What `ovipost doctor` looks at, one small function a thing.

Not for the database and the service: whoever joins the parts hands in how to ask them.
"""

import datetime as dt
import shutil
import sys
import zoneinfo
from collections.abc import Callable, Iterator
from pathlib import Path

import msgspec

from bot.ports.clock import Clock

OLDEST_PYTHON = (3, 11)
LEAST_FREE_MB = 200  # a farm's year takes a few; the rest is for the log, a backup and the system itself
WRITTEN_ON = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)  # a clock that says less is not set
ZONES = ("America/Denver", "Australia/Lord_Howe", "Europe/Berlin")

Trouble = str | None  # what to do about it; None: all is well


class Finding(msgspec.Struct, frozen=True, kw_only=True):
    """One thing that was looked at."""

    is_well: bool
    text: str


def findings(
    *, clock: Clock, folder: Path, database: Callable[[], Trouble], account: Callable[[], Trouble] | None
) -> Iterator[Finding]:
    """Look at everything; `account` is None where no token is set."""
    yield _found("Python " + ".".join(map(str, sys.version_info[:3])), _python())
    yield _found("database", database())
    yield _found("time zones", _zones())
    yield _found("disk", _disk(folder))
    yield _found("clock", _clock(clock))
    if account is None:
        yield _found("Telegram: no token is set, so only the terminal chat works", None)
    else:
        yield _found("Telegram", account())


def _found(what: str, trouble: Trouble) -> Finding:
    return Finding(is_well=trouble is None, text=what if trouble is None else f"{what}: {trouble}")


def _python() -> Trouble:
    return None if sys.version_info >= OLDEST_PYTHON else "install Python 3.11 or newer."


def _zones() -> Trouble:
    try:
        for name in ZONES:
            zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, OSError):
        return "the data are missing; install the package tzdata."
    return None


def _disk(folder: Path) -> Trouble:
    there = next((place for place in (folder, *folder.parents) if place.exists()), Path.cwd())
    free_mb = shutil.disk_usage(there).free // 1_000_000
    return None if free_mb >= LEAST_FREE_MB else f"only {free_mb} MB are free at {there}; make room."


def _clock(clock: Clock) -> Trouble:
    now = clock.now()
    return None if now >= WRITTEN_ON else f"it says {now:%Y-%m-%d}; set it, or reminders come at wrong times."
