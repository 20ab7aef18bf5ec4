"""Whether memory stays flat over many messages, in a process of its own. Run by deploy/bench.

    python bench_memory.py ADDRESS

prints its resident megabytes, a line each quarter of the messages.
"""

import datetime as dt
import re
import subprocess
import sys
from pathlib import Path

import bench_farms
from bench_journals import MESSAGES
from bench_table import tell

from bot import bootstrap
from bot.assistant.desk import Desk
from bot.channels.replay import SimulatedClock
from bot.ports.messages import Incoming, Sender
from bot.storage.sql_store import SqlStore

FARMS = 4_000
MESSAGES_IN_ALL = 100_000
QUARTERS = 4
AT_ONCE = 16
STEP = dt.timedelta(seconds=1)
FLAT = 1.1  # times what the first quarter needed


def main(folder: Path) -> None:
    """Measure all and print it."""
    url = f"sqlite:///{folder / 'memory.db'}"
    people = [f"bench:{number}" for number in range(1, FARMS + 1)]
    bench_farms.put_farms(url, people, events=bench_farms.two_weeks(), asks=False)
    first = 0.0
    command = (sys.executable, __file__, url)
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as worker:  # noqa: S603 - ourselves
        for quarter, line in enumerate(worker.stdout or (), start=1):
            megabytes = float(line)
            messages = MESSAGES_IN_ALL * quarter // QUARTERS
            tell(f"memory after {messages:,} messages on {FARMS:,} farms", megabytes, "MB", first * FLAT or None)
            first = first or megabytes


def _work(url: str) -> None:
    store, clock = SqlStore(url), SimulatedClock(bench_farms.DUE)
    desk = Desk(store=store, reader=bootstrap.build_reader(), clock=clock)
    for number in range(0, MESSAGES_IN_ALL, AT_ONCE):
        desk.take(*(_said(n, clock.now()) for n in range(number, number + AT_ONCE)))
        desk.work()
        clock.move_to(clock.now() + STEP)
        if (number + AT_ONCE) % (MESSAGES_IN_ALL // QUARTERS) < AT_ONCE:
            print(_resident_mb(), flush=True)
    store.close()


def _said(number: int, at: dt.datetime) -> Incoming:
    person = f"bench:{1 + number * 7919 % FARMS}"
    return Incoming(
        key=f"bench:line:{number}",
        chat=person,
        sender=Sender(address=person, name=bench_farms.OWNER),
        sent_at=at,
        text=MESSAGES[number // FARMS % len(MESSAGES)],
    )


def _resident_mb() -> float:
    try:
        found = re.search(r"VmRSS:\s+(\d+) kB", Path("/proc/self/status").read_text("utf-8"))
    except OSError:
        found = None
    return int(found[1]) / 1000 if found else float("nan")


if __name__ == "__main__":
    _work(sys.argv[1])
