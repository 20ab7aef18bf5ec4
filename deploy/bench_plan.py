"""How long a plan takes to be found, and how near it is to the best there may be. Run by deploy/bench."""

import datetime as dt
import statistics
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from bench_table import tell

from core.farm.farm import Farm
from core.farm.fold import fold
from core.journal import facts, wants
from core.journal.event import Body, Event
from core.journal.kinds import Addable
from core.rules import plans
from core.rules.agenda import agenda
from core.rules.pipeline import pipeline_of
from core.rules.plans import Goal, plan_for
from core.science.planning import planned
from core.units import SizeGrade

NOW = dt.datetime(2026, 5, 4, 13, tzinfo=dt.UTC)
DAY = dt.timedelta(days=1)
BINS = 12
STOCKED = (80, 72, 64, 52, 40, 28, 14, 4)  # days ago; four bins are empty
ORDERS = 20
SEASON = 182
SIZES = (SizeGrade.QUARTER, SizeGrade.HALF, SizeGrade.PINHEAD, SizeGrade.THREE_EIGHTHS, SizeGrade.ADULT)
COUNTS = (500, 1000, 200, 1500, 300, 800)
GOALS = (
    ("1,000 of 1/2 in every week", Goal(count=1000, size=SizeGrade.HALF, every="week")),
    ("3,000 of 1/2 in every week, which is too many", Goal(count=3000, size=SizeGrade.HALF, every="week")),
    ("500 adults every month", Goal(count=500, size=SizeGrade.ADULT, every="month")),
)


def main(_: Path) -> None:
    """Measure and print."""
    farm = _farm()
    _seconds(lambda: plan_for(farm, GOALS[2][1], NOW))  # scipy is loaded, and what eggs give is reckoned
    tell(f"a plan for {ORDERS} orders in 26 weeks, {BINS} bins", _seconds(lambda: plan_for(farm, None, NOW)), "s", 5)
    wanted = plans.promised(farm, NOW)
    known = pipeline_of(farm, wanted, NOW, SEASON)
    if known is not None:
        found = planned(known.works)
        tell("    what it costs above the bound", (found.cost / found.bound - 1) * 100, "%")
        tell("    met of the 20", sum(made.hindrance is None for made in found.made), "")
    for name, goal in GOALS:
        tell(f"a plan for {name}", _seconds(lambda: plan_for(farm, goal, NOW)), "s", 5)  # noqa: B023 - called at once
    accepted = fold([*_events(), _event(999, _plan(), NOW)])
    tell("the rules on that farm", _microseconds(lambda: agenda(farm, NOW)), "µs")
    tell("    with 60 planned trays", _microseconds(lambda: agenda(accepted, NOW)), "µs")


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def _microseconds(work: Callable[[], object]) -> float:
    return statistics.median(_seconds(work) for _ in range(200)) * 1e6


def _farm() -> Farm:
    return fold(_events())


def _plan() -> wants.Plan:
    days = [(f"B{1 + day % 4}", (NOW + day * DAY).date()) for day in range(60)]
    return wants.Plan(bins=tuple(name for name, _ in days), days=tuple(day for _, day in days))


def _events() -> list[Event]:
    said = sorted(_said(), key=lambda told: told[1])
    return [_event(number, body, at) for number, (body, at) in enumerate(said, start=1)]


def _event(number: int, body: Body, at: dt.datetime) -> Event:
    return Event(number=number, said_at=at, happened_at=at, by="Noor", body=body)


def _said() -> Iterator[tuple[Body, dt.datetime]]:
    start = NOW - 90 * DAY
    yield wants.Add(what=Addable.PLACE, name="lamp shelf", lamp=True), start
    for number in range(1, BINS + 1):
        yield wants.Add(what=Addable.BIN, name=f"B{number}"), start
    for number, ago in enumerate(STOCKED, start=1):
        yield facts.Stocked(bin=f"B{number}", count=1000 + 137 * number), NOW - ago * DAY
    for number in range(ORDERS):
        due = (NOW + (9 + number * 8.5) * DAY).date()
        size, count = SIZES[number % len(SIZES)], COUNTS[number % len(COUNTS)]
        yield wants.Order(who="Pete", count=count, size=size, due=due), NOW - DAY


if __name__ == "__main__":
    main(Path())
