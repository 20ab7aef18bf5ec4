"""Rounds of starting processes, letting people talk, and killing one or all of them at some instant."""

import asyncio
import contextlib
import random
from dataclasses import dataclass

from tests.crash import kills
from tests.crash import workers as processes
from tests.crash.forwarder import Forwarder
from tests.crash.ledger import Ledger
from tests.crash.people import People
from tests.crash.records import is_idle, read
from tests.crash.service import Service
from tests.crash.summary import Summary
from tests.crash.verdict import judge

POLLING, WEBHOOK = "polling", "webhook"
STARTS_WITHIN = 60.0  # seconds
STRIKES_WITHIN = 4.0  # seconds for a trap or a commit; after that the kill comes as it is
DRAINS_WITHIN = 90.0  # seconds; a dead process's claims are free after 25
SETTLES = 1.0  # seconds in which something that should not come may still come


@dataclass(frozen=True, kw_only=True)
class Plan:
    """What to do."""

    database: str
    way: str = POLLING
    workers: int = 1
    rounds: int = 4
    seed: int = 1


class Harness:
    """One run in one configuration."""

    def __init__(self, plan, folder):
        self._plan = plan
        self._folder = folder
        self._chance = random.Random(f"{plan.seed} kills")  # noqa: S311 - no secret hangs on it
        self._ledger = Ledger()
        self._workers = []
        self._poller = None  # the number of the process that polled last
        self._deaths = {}  # by the number of the process: when

    async def run(self, tell=lambda _round, _ledger: None):
        """Do all rounds, let all drain, and give what came of it."""
        async with contextlib.AsyncExitStack() as at_end:
            service = await at_end.enter_async_context(Service(self._plan.workers, calls_kept=1000))
            await self._make_workers(service, at_end)
            people = People(service, self._ledger, random.Random(f"{self._plan.seed} people"))  # noqa: S311 - the same
            await self._workers[0].start()
            await people.set_up()
            before = await asyncio.to_thread(read, self._plan.database)
            stop = asyncio.Event()
            acting = asyncio.create_task(people.act_until(stop))
            at_end.push_async_callback(_ended, acting)
            for number in range(1, self._plan.rounds + 1):
                await self._round(service)
                tell(number, self._ledger)
            stop.set()
            await acting
            await self._drain(service, people)
            for worker in self._workers:
                await self._stop(worker)
            records = await asyncio.to_thread(read, self._plan.database)
        verdict = judge(self._ledger, people.chats, records.since(before))
        return Summary(plan=self._plan, ledger=self._ledger, verdict=verdict, conflicts=service.conflicts)

    async def _make_workers(self, service, at_end):
        plan = self._plan
        ports = [processes.free_port() for _ in range(plan.workers)]
        webhook = None
        if plan.way == WEBHOOK:
            webhook = (await at_end.enter_async_context(Forwarder(ports))).url
        settings = processes.settings(plan.database, service.token, webhook=webhook)
        for number, port in enumerate(ports):
            log = self._folder / f"worker{number}.log"
            worker = processes.Worker(service.door(number), port, settings, log)
            at_end.push_async_callback(worker.clear)
            self._workers.append(worker)
        service.on_call = self._called

    def _called(self, number, method):
        if number is None:
            return
        worker = self._workers[number]
        worker.has_called = True
        if method == "getupdates" and worker.pid != self._poller:
            if self._poller in self._deaths:
                self._ledger.handovers.append(_now() - self._deaths[self._poller])
            self._poller = worker.pid

    async def _round(self, service):
        """Start what is down, and kill in the way that chance picks."""
        blow = kills.pick(self._chance, are_several=len(self._workers) > 1)
        down = [worker for worker in self._workers if not worker.is_up]
        victim = self._chance.choice(down if down and blow.kind in kills.OF_FRESH else self._workers)
        if blow.kind in kills.OF_FRESH:
            await self._stop(victim)
        await self._start_all({victim: blow.killing})
        if blow.kind == kills.STARTING:
            await asyncio.sleep(blow.wait)
        else:
            await self._at_work(service)
            with kills.Trap(blow, self._workers).laid(service):
                await self._strike(blow, victim)
        if all(worker.is_up for worker in self._workers):
            for worker in self._workers if blow.takes_all else (victim,):
                worker.kill(kills.STARTING if blow.kind == kills.STARTING else kills.AT_RANDOM)
        await self._bury(blow)

    async def _start_all(self, killing):
        for worker in self._workers:
            if not worker.is_up:
                await worker.start(killing.get(worker, ()))

    async def _stop(self, worker):
        if code := await worker.stop():
            self._ledger.faults.append(f"a process ended with {code} when it was told to stop")

    async def _at_work(self, service):
        with contextlib.suppress(TimeoutError):  # under a heavy load: then it is killed while it starts
            await service.until(
                lambda: all(worker.has_called or not worker.is_up for worker in self._workers), within=STARTS_WITHIN
            )

    async def _strike(self, blow, victim):
        """Wait for the instant: of time, or at which a process is gone."""
        if blow.kind == kills.AT_RANDOM:
            await asyncio.sleep(blow.wait)
            return
        of = [victim] if blow.kind in kills.MOMENTS else self._workers
        ends = [asyncio.ensure_future(worker.ended()) for worker in of]
        await asyncio.wait(ends, timeout=STRIKES_WITHIN, return_when=asyncio.FIRST_COMPLETED)
        for end in ends:
            end.cancel()
        await asyncio.gather(*ends, return_exceptions=True)

    async def _bury(self, blow):
        """Put down who was killed and how, and who died of something else."""
        for worker in self._workers:
            if worker.is_up:
                continue
            if (code := await worker.ended()) != processes.KILLED:
                self._ledger.faults.append(f"a process ended by itself with {code}")
            self._ledger.kills.append((_now(), worker.killed_as or blow.kind))
            self._deaths[worker.pid] = _now()

    async def _drain(self, service, people):
        """Start what is down and wait until all is answered and nothing more comes."""
        await self._start_all({})
        with contextlib.suppress(TimeoutError):  # what is missing then is lost, and is told
            async with asyncio.timeout(DRAINS_WITHIN):
                await service.until(lambda: self._ledger.is_complete(people.chats), within=DRAINS_WITHIN)
                while not await asyncio.to_thread(is_idle, self._plan.database):  # noqa: ASYNC110 - it tells nobody
                    await asyncio.sleep(SETTLES)
        await self._at_work(service)
        await asyncio.sleep(SETTLES)


async def _ended(task):
    task.cancel()
    await asyncio.gather(task, return_exceptions=True)


def _now():
    return asyncio.get_running_loop().time()
