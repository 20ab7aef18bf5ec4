"""What `ovipost doctor` looks at, one small function a thing.

Not for the database and the service: whoever joins the parts hands in how to ask them.
"""

import datetime as dt
import shutil
import sys
import tempfile
import zoneinfo
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TypeGuard

import msgspec

from bot.ports.clock import Clock

OLDEST_PYTHON = (3, 11)
LEAST_FREE_MB = 200  # a farm's year takes a few; the rest is for the log, a backup and the system itself
PROBE = b"\0" * 65536  # written to see whether the disk takes it
WRITTEN_ON = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)  # a clock that says less is not set
FURTHEST_OFF = dt.timedelta(minutes=1)  # between this machine's clock and another's
ZONES = ("America/Denver", "Australia/Lord_Howe", "Europe/Berlin")

Trouble = str | None  # what to do about it; None: all is well


class Finding(msgspec.Struct, frozen=True, kw_only=True):
    """One thing that was looked at."""

    is_well: bool
    text: str


class OtherClock(msgspec.Struct, frozen=True, kw_only=True):
    """A clock elsewhere, and how it compares."""

    whose: str
    ahead: dt.timedelta  # of this machine's; negative where that is behind


class Look(msgspec.Struct, frozen=True, kw_only=True):
    """What was seen of a thing outside this program."""

    trouble: Trouble = None
    clock: OtherClock | None = None
    more: tuple[Finding, ...] = ()


def findings(
    *,
    clock: Clock,
    folder: Path,
    database: Callable[[], Look],
    account: Callable[[], Look] | None,
    more: Callable[[], Iterator[Finding]] = lambda: iter(()),
) -> Iterator[Finding]:
    """Look at everything; `account` is None where no token is set, `more` looks at what is set besides."""
    yield found("Python " + ".".join(map(str, sys.version_info[:3])), _python())
    seen = database()
    yield found("database", seen.trouble)
    yield from seen.more
    yield found("time zones", _zones())
    yield found("disk", _disk(folder))
    other = seen.clock
    if account is None:
        yield found("Telegram: no token is set, so only the terminal chat works", None)
    else:
        seen = account()
        yield found("Telegram", seen.trouble)
        yield from seen.more
        other = seen.clock or other
    yield found(f"clock, within a minute of {other.whose}" if _is_near(other) else "clock", _clock(clock, other))
    yield from more()


def found(what: str, trouble: Trouble) -> Finding:
    """Make a line of what was looked at and what is wrong with it."""
    return Finding(is_well=trouble is None, text=what if trouble is None else f"{what}: {trouble}")


def founders(owners: int) -> Finding:
    """Say who may found a farm, which is nobody's trouble but good to know."""
    if owners:
        return found(f"owners: {owners} may found a farm", None)
    return found("owners: none are set, so whoever finds the bot may found a farm (OVIPOST_OWNERS)", None)


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
    if free_mb < LEAST_FREE_MB:
        return f"only {free_mb} MB are free at {there}; make room."
    try:
        with tempfile.TemporaryFile(dir=there) as probe:
            probe.write(PROBE)
    except OSError as error:
        return f"nothing can be written to {there} ({error.strerror}); make room there, or let this user write to it."
    return None


def _is_near(other: OtherClock | None) -> TypeGuard[OtherClock]:
    return other is not None and abs(other.ahead) <= FURTHEST_OFF


def _clock(clock: Clock, other: OtherClock | None) -> Trouble:
    now = clock.now()
    if other is not None and not _is_near(other):
        which = "behind" if other.ahead > dt.timedelta() else "ahead of"
        return (
            f"it is {_span(abs(other.ahead))} {which} {other.whose}, so reminders come at wrong times; "
            "turn on time synchronization: `timedatectl set-ntp true`."
        )
    return None if now >= WRITTEN_ON else f"it says {now:%Y-%m-%d}; set it, or reminders come at wrong times."


def _span(length: dt.timedelta) -> str:
    seconds = round(length.total_seconds())
    for unit, of_it in (("day", 86400), ("hour", 3600), ("minute", 60)):
        if seconds >= 2 * of_it:
            return f"{seconds // of_it} {unit}s"
    return f"{seconds} seconds"
