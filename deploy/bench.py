"""Speed and size on this machine, a line each beside what it should be. Run by deploy/bench.

Not a test: what else the machine does moves every figure.
"""

import datetime as dt
import importlib.metadata
import json
import os
import platform
import pty
import re
import select
import signal
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import bench_growth
import bench_load
import bench_many
import bench_memory
import bench_plan
import bench_science
from bench_journals import MESSAGES, MESSAGES_ES, NOW, journal, large_farm
from bench_table import tell

from bot import bootstrap
from bot.assistant.desk import Desk
from bot.channels.replay import SimulatedClock, chats_of
from bot.ports.messages import Incoming, Sender
from bot.ports.stores import Member
from bot.storage import migrate
from bot.storage.sql_store import SqlStore
from core.farm.fold import fold
from core.journal.kinds import Role

OVIPOST = (sys.executable, "-m", "bot")

LIBRARIES = ("msgspec", "numpy", "sqlalchemy", "prompt-toolkit", "apscheduler", "python-telegram-bot")
BY_LANGUAGE = {"en": MESSAGES, "es": MESSAGES_ES}
FIRST_READ = """\
import datetime as dt
from bot.reader.reader import Reader
from core.farm.farm import Farm
Reader().read({text!r}, at=dt.datetime(2026, 7, 14, 14, tzinfo=dt.timezone.utc), farm=Farm(), language={language!r})
"""


def main() -> None:
    """Measure all, or the parts that are named, and print it."""
    parts: dict[str, Callable[[Path], None]] = {
        "speed": _speed,
        "load": bench_load.main,
        "many": bench_many.main,
        "growth": bench_growth.main,
        "memory": bench_memory.main,
        "plan": bench_plan.main,
    }
    wanted = sys.argv[1:] or list(parts)
    if not set(wanted) <= set(parts):
        sys.exit(f"deploy/bench [{'|'.join(parts)}] ...")
    versions = ", ".join(f"{name} {importlib.metadata.version(name)}" for name in LIBRARIES)
    print(f"{_processor()}, {os.cpu_count()} cores, {platform.system()} {platform.release()}")
    print(f"Python {platform.python_version()}, SQLite {sqlite3.sqlite_version}, {versions}")
    for part in wanted:
        print(f"\n{part}", flush=True)
        with tempfile.TemporaryDirectory() as folder:
            parts[part](Path(folder))


def _speed(folder: Path) -> None:
    for measure in (_science, _messages, _folding, _reading, _reader_starts, _read_command, _replaying, _starting):
        measure(folder)


def _processor() -> str:
    try:
        found = re.search(r"model name\s*:\s*(.+)", Path("/proc/cpuinfo").read_text("utf-8"))
    except OSError:
        found = None
    return found[1] if found else platform.processor() or platform.machine()


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def _messages(folder: Path) -> None:
    for where, url in (("in memory", "sqlite://"), ("in a file", f"sqlite:///{folder / 'bench.db'}")):
        migrate.upgrade(url)
        store = SqlStore(url)
        clock = SimulatedClock(NOW)
        desk = Desk(store=store, reader=bootstrap.build_reader(), clock=clock)
        noor = Member(address="replay:Noor", farm=0, name="Noor", role=Role.OWNER)
        desk.open_farm(journal(5000, bins=6), [noor], chats_of([noor]))
        times = [_one_message(desk, clock, number) for number in range(300)][30:]
        store.close()
        tell(f"a message read, recorded and answered, {where}, median", statistics.median(times) * 1e3, "ms", 5)
        tell("    99 of 100", statistics.quantiles(times, n=100)[98] * 1e3, "ms")


def _one_message(desk: Desk, clock: SimulatedClock, number: int) -> float:
    clock.move_to(clock.now() + dt.timedelta(minutes=3))
    incoming = Incoming(
        key=f"replay:line:{number}",
        chat="replay:Noor",
        sender=Sender(address="replay:Noor", name="Noor"),
        sent_at=clock.now(),
        text=MESSAGES[number % len(MESSAGES)],
    )
    return _seconds(lambda: (desk.take(incoming), desk.work()))


def _science(_: Path) -> None:
    for what, milliseconds, most in bench_science.figures():
        tell(what, milliseconds, "ms", most)


def _folding(_: Path) -> None:
    events = journal(10_000, bins=6)
    tell("fold of 10,000 events", statistics.median(_seconds(lambda: fold(events)) for _ in range(5)) * 1e3, "ms", 150)


def _reading(_: Path) -> None:
    farm = large_farm(60, 200)
    reader = bootstrap.build_reader()
    for language, messages in BY_LANGUAGE.items():
        times = [_seconds(lambda: _read(reader, farm, text, language)) for _ in range(30) for text in messages]  # noqa: B023 - called at once
        tell(f"a message in {language} read on 60 bins and 200 tubs, median", statistics.median(times) * 1e3, "ms")
        tell("    99 of 100", statistics.quantiles(times, n=100)[98] * 1e3, "ms")


def _read(reader: object, farm: object, text: str, language: str) -> None:
    reader.read(text, at=NOW, farm=farm, language=language)  # type: ignore[attr-defined]


def _reader_starts(_: Path) -> None:
    """Time Python with the reader imported, made and used once, less Python's own start."""
    empty = statistics.median(_seconds(lambda: _run((sys.executable, "-c", ""))) for _ in range(9))
    for language, messages in BY_LANGUAGE.items():
        program = FIRST_READ.format(language=language, text=messages[0])
        whole = statistics.median(_seconds(lambda: _run((sys.executable, "-c", program))) for _ in range(9))  # noqa: B023
        tell(f"start of the reader up to its first message in {language}", whole - empty, "s", 0.3)


def _read_command(_: Path) -> None:
    line = json.dumps({"id": 1, "from": "Noor", "at": NOW.isoformat(), "text": MESSAGES[0]})
    empty = statistics.median(_seconds(lambda: _run((sys.executable, "-c", ""))) for _ in range(5))
    whole = statistics.median(_seconds(lambda: _run((*OVIPOST, "read"), line)) for _ in range(7))
    tell("`ovipost read` of one line, without Python's own start", whole - empty, "s", 0.25)
    tell("    Python's own start", empty, "s")


def _run(command: Sequence[str], given: str = "") -> str:
    return subprocess.run(command, input=given, capture_output=True, text=True, check=True).stdout  # noqa: S603


def _season() -> Iterator[dict[str, str]]:
    """Give about 500 messages of 120 days."""
    start = dt.datetime(2026, 4, 1, 7, 30, tzinfo=dt.timezone(dt.timedelta(hours=-6)))
    weekly = {0: "tray in bin {bin}", 1: "pulled the tray from bin {bin}, many eggs, lamp shelf", 3: "tray in bin 3"}
    weekly[4] = "pulled the tray from bin 3, some eggs, humid room"
    for day in range(120):
        at = start + dt.timedelta(days=day)
        if day == 0:
            yield {"at": at.isoformat(), "from": "Noor", "text": "add place lamp shelf with a lamp"}
            yield {"at": at.isoformat(), "from": "Noor", "text": "add place humid room with a humidifier"}
        said = [
            "watered the lamp shelf",
            f"lamp shelf {85 + day % 6}",
            weekly.get(day % 7, f"chirping in bin {day % 5 + 1}"),
        ]
        said.append("watered the lamp shelf" if day % 2 else f"how long on tub {day // 7 + 1}?")
        for hours, text in zip((0, 1, 2, 10.75), said, strict=True):
            text = text.format(bin=day // 7 % 2 + 1)
            yield {
                "at": (at + dt.timedelta(hours=hours)).isoformat(),
                "from": "Tomas" if hours > 5 else "Noor",
                "text": text,
            }


def _replaying(folder: Path) -> None:
    lines = [json.dumps(line) for line in _season()]
    file = folder / "season.jsonl"
    file.write_text("\n".join(lines), encoding="utf-8")
    said: list[str] = []
    seconds = _seconds(lambda: said.extend(_run((*OVIPOST, "replay", str(file))).splitlines()))
    pushes = sum(json.loads(line)["type"] == "push" for line in said)
    tell(f"`ovipost replay`, {len(lines)} messages over 120 days, {pushes} pushes", seconds, "s", 10)


def _starting(folder: Path) -> None:
    os.environ["OVIPOST_DB"] = f"sqlite:///{folder / 'chat.db'}"  # noqa: TID251 - for the programs started here
    for what, options in (("chat", ("--as", "Noor")), ("chat --demo", ("--demo",))):
        starts = [_at_prompt((*OVIPOST, "chat", *options)) for _ in range(4)][1:]
        tell(f"second start of `ovipost {what}` to the prompt", statistics.median(s for s, _ in starts), "s", 2)
        tell("    memory at the prompt", max(mb for _, mb in starts), "MB", 150)


def _at_prompt(command: Sequence[str]) -> tuple[float, float]:
    """Start a chat in a terminal of its own; give the seconds until it prompts, and the megabytes it then holds."""
    start = time.perf_counter()
    process, terminal = pty.fork()
    if process == 0:
        os.execv(command[0], command)  # noqa: S606 - ourselves
    shown = b""
    while b"Noor>" not in shown and time.perf_counter() - start < 30:
        if select.select([terminal], [], [], 1.0)[0]:
            shown += os.read(terminal, 65536)
    seconds = time.perf_counter() - start
    time.sleep(0.5)
    megabytes = _resident_mb(process)
    os.kill(process, signal.SIGKILL)
    os.waitpid(process, 0)
    os.close(terminal)
    return seconds, megabytes


def _resident_mb(process: int) -> float:
    try:
        found = re.search(r"VmHWM:\s+(\d+) kB", Path(f"/proc/{process}/status").read_text("utf-8"))
    except OSError:
        return float("nan")
    return int(found[1]) / 1000 if found else float("nan")


if __name__ == "__main__":
    main()
