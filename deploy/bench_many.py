"""Many farms whose reminders fall due in the same minute, by workers in processes of their own. Run by deploy/bench.

    python bench_many.py ADDRESS

is one of them: it says when it is ready, begins when it is told to, and prints what it did.
"""

import contextlib
import datetime as dt
import json
import subprocess
import sys
import time
from pathlib import Path

import bench_farms
import sqlalchemy as sa
from bench_databases import databases
from bench_table import tell

from bot import bootstrap
from bot.assistant.desk import Desk
from bot.channels.replay import SimulatedClock
from bot.ports.stores import StoreDownError
from bot.storage import engines, tables
from bot.storage.sql_store import SqlStore

FARMS = 20_000
WORKERS = (1, 2, 4)
LEAST = 2000  # reminders a second and worker
LATER = dt.timedelta(minutes=1)  # when all of them are due


def main(folder: Path, farms: int = FARMS) -> None:
    """Measure all and print it."""
    people = [f"bench:{number}" for number in range(1, farms + 1)]
    plain, with_eggs = (bench_farms.two_weeks(eggs=eggs) for eggs in (False, True))
    with databases(folder) as found:
        for name, url in found.items():
            for workers in WORKERS:
                bench_farms.put_farms(url, people, events=plain)
                what = f"reminders of {farms:,} farms on {name}, {workers} worker{'s' * (workers > 1)}"
                a_second = _posted_a_second(url, workers, farms)
                tell(what, a_second, "a second")
                tell("    each", a_second / workers, "a second", least=LEAST)
            bench_farms.put_farms(url, people, events=with_eggs)
            a_second = _posted_a_second(url, 1, farms)
            tell(f"the same on {name} where each has a hatch to forecast, 1 worker", a_second, "a second")


def _posted_a_second(url: str, workers: int, farms: int) -> float:
    seconds, posted = _raced(url, workers), _posted(url)
    if posted != farms:
        print(f"    {posted} were posted, and not {farms}")
    return posted / seconds


def _raced(url: str, workers: int) -> float:
    """Let workers share the work and give the seconds from the first start to the last end."""
    with contextlib.ExitStack() as at_end:
        started = [at_end.enter_context(_worker(url)) for _ in range(workers)]
        for worker in started:
            _said(worker)
        begun_at = time.perf_counter()
        for worker in started:
            _tell_to_begin(worker)
        for worker in started:
            _said(worker)
        return time.perf_counter() - begun_at


def _worker(url: str) -> "subprocess.Popen[str]":
    command = (sys.executable, __file__, url)
    return subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)  # noqa: S603 - ourselves


def _said(worker: "subprocess.Popen[str]") -> dict[str, float]:
    line = worker.stdout.readline() if worker.stdout is not None else ""
    if not line:
        raise RuntimeError("a worker ended before its time")
    return dict(json.loads(line))


def _tell_to_begin(worker: "subprocess.Popen[str]") -> None:
    if worker.stdin is not None:
        worker.stdin.write("go\n")
        worker.stdin.flush()


def _posted(url: str) -> int:
    engine = engines.open_engine(url)
    with engine.begin() as connection:
        count = connection.scalar(sa.select(sa.func.count()).select_from(tables.outbox))
    engine.dispose()
    return int(count or 0)


def _work(url: str) -> None:
    store = SqlStore(url)
    desk = Desk(store=store, reader=bootstrap.build_reader(), clock=SimulatedClock(bench_farms.DUE + LATER))
    bootstrap.run_for_long()
    print("{}", flush=True)
    sys.stdin.readline()
    farms, start = 0, time.perf_counter()
    while (done := _reminded(desk)) != 0:
        farms += done or 0
    print(json.dumps({"farms": farms, "seconds": time.perf_counter() - start}), flush=True)
    store.close()


def _reminded(desk: Desk) -> int | None:
    """Give how many farms were reminded; None where the database was another worker's for too long."""
    try:
        return desk.remind()
    except StoreDownError:
        return None


if __name__ == "__main__":
    _work(sys.argv[1])
