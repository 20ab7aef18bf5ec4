"""`python -m tests.crash` kills `ovipost serve` as often as it is told to and says what came of it."""

import argparse
import asyncio
import contextlib
import random
import signal
import sys
import tempfile
from pathlib import Path

from tests import postgres
from tests.crash.harness import POLLING, WEBHOOK, Harness, Plan

TOLD_EVERY = 20  # rounds


def main():
    """Run and give the exit code: 1 where anything was lost, doubled or put out of order."""
    parser = argparse.ArgumentParser(prog="python -m tests.crash", description=__doc__)
    parser.add_argument("--rounds", type=int, default=200)
    parser.add_argument("--db", choices=("sqlite", "postgresql"), default="sqlite")
    parser.add_argument("--way", choices=(POLLING, WEBHOOK), default=POLLING)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(1_000_000))
    parser.add_argument("--keep", metavar="FOLDER", type=Path, help="where database and logs stay")
    given = parser.parse_args()
    print(f"seed {given.seed}", flush=True)
    with contextlib.ExitStack() as at_end:
        folder = given.keep or Path(at_end.enter_context(tempfile.TemporaryDirectory(prefix="crash-")))
        folder.mkdir(parents=True, exist_ok=True)
        database = f"sqlite:///{folder / 'ovipost.db'}"
        if given.db == "postgresql":
            database = at_end.enter_context(postgres.running()).new()
        plan = Plan(database=database, way=given.way, workers=given.workers, rounds=given.rounds, seed=given.seed)
        summary = asyncio.run(_run(Harness(plan, folder)))
    print("\n".join(summary.lines()))
    return 0 if summary.verdict.is_well else 1


async def _run(harness):
    """Run, and end in order, with no process left behind, when told to stop."""
    task = asyncio.ensure_future(harness.run(_tell))
    asyncio.get_running_loop().add_signal_handler(signal.SIGTERM, task.cancel)
    return await task


def _tell(number, ledger):
    if number % TOLD_EVERY == 0:
        answered = len(ledger.acts) - len(ledger.unanswered())
        print(f"round {number}: sent {len(ledger.acts)}, answered {answered}", file=sys.stderr, flush=True)


if __name__ == "__main__":
    sys.exit(main())
