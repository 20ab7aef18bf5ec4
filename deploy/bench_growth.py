"""What a message costs on more farms, and on a farm with a longer journal. Run by deploy/bench.

It may grow as the logarithm does: a thousand times the farms may cost log(10,000) / log(10), four times as much.
"""

import datetime as dt
import itertools
import math
import statistics
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import bench_farms
from bench_databases import databases
from bench_journals import MESSAGES, NOW, journal
from bench_table import tell

from bot import bootstrap
from bot.assistant.desk import Desk
from bot.channels.replay import SimulatedClock
from bot.ports.messages import Incoming, Sender
from bot.storage.sql_store import SqlStore

FARMS = (10, 1_000, 50_000)
EVENTS = (100, 10_000, 100_000)
COUNTED = 400  # messages
STEP = dt.timedelta(minutes=1)
NOOR = "bench:1"


def main(folder: Path) -> None:
    """Measure all and print it."""
    with databases(folder) as found:
        for name, url in found.items():
            _more_farms(name, url)
            _longer_journals(name, url)


def _more_farms(name: str, url: str) -> None:
    events = bench_farms.two_weeks()

    def cost(farms: int) -> float:
        bench_farms.put_farms(url, [f"bench:{number}" for number in range(1, farms + 1)], events=events)
        people = itertools.cycle(f"bench:{1 + number * 7919 % farms}" for number in range(farms))
        return statistics.median(_seconds(url, bench_farms.DUE, people, COUNTED))

    _grown(f"a message on one of {{:,}} farms, {name}", FARMS, cost)


def _longer_journals(name: str, url: str) -> None:
    first: list[float] = []

    def cost(length: int) -> float:
        bench_farms.put_farm(url, NOOR, journal(length, bins=6))
        seconds = list(_seconds(url, NOW, itertools.repeat(NOOR), COUNTED))
        first.append(seconds[0])
        return statistics.mean(seconds[1:])  # the mean: what an undo or a late telling costs is not hidden

    _grown(f"a message on a farm of {{:,}} events, {name}, the mean", EVENTS, cost)
    for length, seconds in zip(EVENTS, first, strict=True):
        tell(f"    the first one after a start, {length:,} events", seconds * 1e3, "ms")


def _grown(what: str, sizes: Sequence[int], cost: Callable[[int], float]) -> None:
    """Print what it costs at each size, and whether it has grown by more than the logarithm since the first."""
    least = 0.0
    for size in sizes:
        milliseconds = cost(size) * 1e3
        most = least * math.log(size) / math.log(sizes[0]) if least else None
        tell(what.format(size), milliseconds, "ms", most)
        least = least or milliseconds


def _seconds(url: str, at: dt.datetime, people: Iterator[str], messages: int) -> Iterator[float]:
    """Give the seconds that each message takes from its arrival until its answer is posted."""
    store, clock = SqlStore(url), SimulatedClock(at)
    desk = Desk(store=store, reader=bootstrap.build_reader(), clock=clock)
    for number, person in zip(range(messages), people, strict=False):
        clock.move_to(clock.now() + STEP)
        incoming = Incoming(
            key=f"bench:line:{number}",
            chat=person,
            sender=Sender(address=person, name=bench_farms.OWNER),
            sent_at=clock.now(),
            text=MESSAGES[number % len(MESSAGES)],
        )
        start = time.perf_counter()
        desk.take(incoming)
        desk.work()
        yield time.perf_counter() - start
    store.close()
