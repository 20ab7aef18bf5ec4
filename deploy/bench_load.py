"""Messages in to answers out over HTTP on loopback, Ovipost beside an echo bot. Run by deploy/bench.

Each is a process of its own: the Bot API server of bench_api and one bot at a time, all on the same cores.
"""

import datetime as dt
import os
import statistics
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

import bench_api
import bench_farms
import msgspec
from bench_databases import databases
from bench_table import tell

HERE = Path(__file__).parent
MANY, ALONE = 64, 1  # messages in flight
MESSAGES = {MANY: (4000, 1000), ALONE: (1000, 200)}  # that count, and before them to warm up
TIMES = 3  # the middle one is told: each moves with what else the machine does
LEAST_SPEED, MOST_WAIT = 1.0, 1.5  # times the echo bot's
TICKS = os.sysconf("SC_CLK_TCK")

Command = Sequence[str]


class Ran(msgspec.Struct, kw_only=True):
    """What a bot did."""

    a_second: float
    median: float  # seconds
    late: float  # seconds; 99 of 100 answers are quicker
    processor: float = 0.0  # the bot's own seconds a message


def main(folder: Path) -> None:
    """Measure all and print it."""
    speed, wait = _echo()
    with databases(folder) as found:
        for name, url in found.items():
            _ovipost(name, url, speed, wait)


def _echo() -> tuple[float, float]:
    """Give the echo bot's messages a second and its median, each from the better of its two ways."""
    speeds, waits = [], []
    for way, told in (("one", "one update at a time"), ("many", "concurrent updates")):
        many, alone = ([_ran(_echo_command(way), in_flight) for _ in range(TIMES)] for in_flight in (MANY, ALONE))
        speeds.append(statistics.median(ran.a_second for ran in many))
        waits.append(statistics.median(ran.median for ran in alone))
        tell(f"echo bot, {told}: {MANY} in flight", speeds[-1], "a second")
        tell("    median with 1 in flight", waits[-1] * 1e3, "ms")
    return max(speeds), min(waits)


def _echo_command(way: str) -> Command:
    return (str(HERE / "bench_echo.py"), "{api}", bench_api.TOKEN, way)


def _ovipost(name: str, url: str, speed: float, wait: float) -> None:
    people = [f"telegram:{bench_api.FIRST_PERSON + n}" for n in range(MANY)]
    ran: dict[int, list[Ran]] = {MANY: [], ALONE: []}
    for in_flight in [MANY, ALONE] * TIMES:
        now = dt.datetime.now(dt.UTC)  # noqa: TID251 - the bot measured goes by the machine's clock
        bench_farms.put_farms(url, people, events=bench_farms.up_to(now), asks=False)
        ran[in_flight].append(_ran(("-m", "bot", "serve"), in_flight, {"OVIPOST_DB": url}))
    a_second = statistics.median(one.a_second for one in ran[MANY])
    median = statistics.median(one.median for one in ran[ALONE])
    tell(f"ovipost serve on {name}, {MANY} farms: {MANY} in flight", a_second, "a second", least=LEAST_SPEED * speed)
    tell("    99 of 100 answered within", statistics.median(one.late for one in ran[MANY]) * 1e3, "ms")
    tell("    its own processor time a message", statistics.median(one.processor for one in ran[MANY]) * 1e3, "ms")
    tell("    median with 1 in flight", median * 1e3, "ms", most=MOST_WAIT * wait * 1e3)


def _ran(bot: Command, in_flight: int, settings: Mapping[str, str] | None = None) -> Ran:
    """Run a bot under load and give what it did."""
    counted, warm_up = MESSAGES[in_flight]
    with _python((str(HERE / "bench_api.py"), str(in_flight), str(counted), str(warm_up)), {}) as server:
        if server.stdout is None or server.stdin is None:
            raise AssertionError("both are pipes")
        api = f"http://127.0.0.1:{server.stdout.readline().strip()}/bot"
        with _python([part.format(api=api) for part in bot], _settings(api) | (settings or {})) as process:
            ran = msgspec.json.decode(server.stdout.readline(), type=Ran)
            ran.processor = _processor_seconds(process.pid) / (counted + warm_up)
            process.kill()
        server.stdin.close()
    return ran


def _python(command: Command, settings: Mapping[str, str]) -> "subprocess.Popen[str]":
    return subprocess.Popen(  # noqa: S603 - ourselves
        (sys.executable, *command),
        env=os.environ | settings,  # noqa: TID251 - for the program started here
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )


def _settings(api: str) -> dict[str, str]:
    return {
        "OVIPOST_TELEGRAM_TOKEN": bench_api.TOKEN,
        "OVIPOST_TELEGRAM_API": api,
        "OVIPOST_SEND_RATE": "0",
        "OVIPOST_PERSON_RATE": "0",
    }


def _processor_seconds(process: int) -> float:
    try:
        spent = Path(f"/proc/{process}/stat").read_text("utf-8").rpartition(")")[2].split()
    except OSError:
        return float("nan")
    return (int(spent[11]) + int(spent[12])) / TICKS
