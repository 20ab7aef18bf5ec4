"""What a dead process was at is another's within half a minute, and of several processes one polls."""

import asyncio

import pytest

from tests.crash import workers as processes
from tests.crash.forwarder import Forwarder
from tests.crash.harness import POLLING, WEBHOOK
from tests.crash.service import Service

HALF_A_MINUTE = 30.0
STARTS_WITHIN = 60.0

pytestmark = [pytest.mark.database, pytest.mark.soak]


class Crew:
    """Two processes on one database."""

    def __init__(self, service, workers):
        self.service = service
        self.workers = workers
        self.polls = []  # workers by number, newest last
        service.on_call = self._called

    def _called(self, number, method):
        self.workers[number].has_called = True
        if method == "getupdates":
            self.polls.append(number)

    async def start(self, number, killing=()):
        worker = self.workers[number]
        await worker.start(killing)
        await self.service.until(lambda: worker.has_called, within=STARTS_WITHIN)
        return worker

    async def answers(self, who, text, *, within=HALF_A_MINUTE):
        count = len(self.service.sent(who))
        self.service.says(who, text)
        await self.service.until(lambda: len(self.service.sent(who)) > count, within=within)
        return self.service.sent(who)[count]


@pytest.fixture
async def crew(request, postgres, tmp_path):
    ports = [processes.free_port() for _ in range(2)]
    async with Service(2) as service, Forwarder(ports) as forwarder:
        webhook = forwarder.url if getattr(request, "param", POLLING) == WEBHOOK else None
        settings = processes.settings(postgres, service.token, webhook=webhook)
        workers = [
            processes.Worker(service.door(number), port, settings, tmp_path / f"worker{number}.log")
            for number, port in enumerate(ports)
        ]
        yield Crew(service, workers)
        for worker in workers:
            await worker.clear()


async def test_one_process_polls_and_another_takes_over_when_it_dies(crew):
    service, noor = crew.service, crew.service.person("Noor")
    await crew.start(0)
    await service.until(lambda: crew.polls, within=STARTS_WITHIN)
    await crew.start(1)
    assert (await crew.answers(noor, "fed bin 101")).text.startswith("Bin 101: fed.")
    await asyncio.sleep(processes.TURN + 1)
    assert set(crew.polls) == {0}

    crew.workers[0].kill("the poller")
    await service.until(lambda: crew.polls[-1] == 1, within=HALF_A_MINUTE)

    assert (await crew.answers(noor, "fed bin 102")).text.startswith("Bin 102: fed.")
    assert service.conflicts == 0


@pytest.mark.parametrize("crew", [POLLING, WEBHOOK], indirect=True)
async def test_a_message_that_a_dead_process_was_handling_is_handled_by_another(crew):
    service, noor = crew.service, crew.service.person("Noor")
    first = await crew.start(0, killing=(2, "before", 0))  # it stores the message and dies over the answer
    await asyncio.sleep(1)
    service.says(noor, "fed bin 101")
    assert await first.ended() == processes.KILLED
    await crew.start(1)

    await service.until(lambda: service.sent(noor), within=HALF_A_MINUTE)

    assert [sent.text.splitlines()[0] for sent in service.sent(noor)] == ["Bin 101: fed."]


async def test_a_message_that_a_dead_process_was_sending_is_sent_by_another(crew):
    service, noor = crew.service, crew.service.person("Noor")
    await crew.start(0)
    await crew.start(1)
    await crew.answers(noor, "fed bin 101")
    senders = []

    def die_once(number):
        senders.append(number)
        if len(senders) == 1:
            crew.workers[number].kill("over a message")

    service.on_message = die_once
    count = len(service.sent(noor))
    service.says(noor, "fed bin 102")
    service.says(noor, "fed bin 103")
    await service.until(lambda: len(service.sent(noor)) == count + 3, within=HALF_A_MINUTE + 5)

    texts = [sent.text.splitlines()[0] for sent in service.sent(noor)[count:]]
    assert texts == ["Bin 102: fed.", "Bin 102: fed.", "Bin 103: fed."]
    assert senders[1] != senders[0]
