"""A program that writes to a store as fast as it can until its input ends: `python -m tests.bot.storage.hammer URL`.

Each unit of work writes one event, one message and one dialog of one of three farms, so that a copy that holds one of
them without the others, or a later one without an earlier one, gives itself away.
"""

import itertools
import subprocess
import sys
import threading
from contextlib import contextmanager
from pathlib import Path

from bot.storage.sql_store import SqlStore
from tests.contracts.records import NOON, an_event, an_outgoing

FARMS = (1, 2, 3)
ROOT = Path(__file__).resolve().parents[3]


def prepare(url):
    store = SqlStore(url)
    with store.begin() as work:
        assert tuple(work.farms.found(NOON) for _ in FARMS) == FARMS
    store.close()


def hammer(url, is_told_to_stop):
    store = SqlStore(url)
    for number in itertools.count(1):
        for farm in FARMS:
            with store.begin() as work:
                work.journal.append(farm, [an_event(number)])
                work.outbox.post(an_outgoing(f"reply:{number}", f"telegram:{farm}"), NOON)
                work.dialogs.save(f"telegram:{farm}", "telegram:7", str(number).encode())
            if number == 1 and farm == FARMS[-1]:
                print("going", flush=True)  # noqa: T201 - for whoever started it
        if is_told_to_stop():
            break
    store.close()


@contextmanager
def hammering(url):
    """Have another process write until the end of the block."""
    command = [sys.executable, "-m", "tests.bot.storage.hammer", url]
    started = subprocess.Popen(command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)  # noqa: S603
    try:
        assert started.stdout.readline() == "going\n"
        yield
        assert started.poll() is None
    finally:
        started.communicate(timeout=60)
    assert started.returncode == 0


def journals(url):
    """The events of each farm."""
    store = SqlStore(url)
    with store.begin() as work:
        found = {farm: work.journal.since(farm) for farm in work.farms.ids()}
    store.close()
    return found


def trouble(url):
    """What is wrong with a copy, as far as the farms' own rows tell."""
    store = SqlStore(url)
    wrong = []
    with store.begin() as work:
        posted = [one.outgoing for one in work.outbox.waiting(NOON, 1_000_000)]
        for farm in FARMS:
            numbers = [event.number for event in work.journal.since(farm)]
            sent = [int(out.key.partition(":")[2]) for out in posted if out.chat == f"telegram:{farm}"]
            saved = int(work.dialogs.load(f"telegram:{farm}", "telegram:7") or 0)
            if not numbers == sent == list(range(1, saved + 1)):
                wrong.append((farm, numbers[-3:], sent[-3:], saved))
    store.close()
    return wrong


if __name__ == "__main__":
    ended = threading.Event()
    threading.Thread(target=lambda: (sys.stdin.read(), ended.set()), daemon=True).start()
    hammer(sys.argv[1], ended.is_set)
