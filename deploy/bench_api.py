"""A Bot API server for the bench, in a process of its own: people who each have one message in flight.

It says no more HTTP than the clients measured need, so that they are the bottleneck and not it. A message is timed from
the moment that it can be asked for until the bot's answer has come in whole; then its person says the next.

    python bench_api.py PEOPLE MESSAGES WARM_UP

prints the port, and when all is answered a line of JSON: answers a second, median and 99th hundredth of their seconds.
"""

import asyncio
import itertools
import json
import statistics
import sys
import time
import urllib.parse
from collections import deque
from collections.abc import Callable
from typing import Any, cast

import msgspec

TOKEN = "4200000001:AAbench_token-of-no-bot-0123456789abcd"  # noqa: S105 - of no bot
FIRST_PERSON = 7001
BOT = {"id": 4200000001, "is_bot": True, "first_name": "Farm", "username": "farm_bench_bot"}
MOST_UPDATES = 100  # a poll
BEFORE = b'{"ok":true,"result":'
SAID = (
    "watered the lamp shelf",
    "lamp shelf 88",
    "fed bin 2",
    "how long on tub 1?",
    "chirping in bin 1",
    "humid room 85 and 80% humidity",
    "what's due",
    "took some mold out of tub 1",
    "how's bin 2 doing",
    "watered the humid room",
)

_ENCODE = msgspec.json.Encoder().encode


class People:
    """People who say a message each and the next when they have an answer; the first answers do not count."""

    def __init__(self, people: int, messages: int, warm_up: int) -> None:
        self.over: asyncio.Future[float] = asyncio.get_running_loop().create_future()
        self.seconds: list[float] = []
        self._heard = 0
        self._messages, self._warm_up = messages, warm_up
        self._waiting: deque[tuple[int, bytes]] = deque()  # updates with their numbers, until they are acknowledged
        self._asks: Callable[[bytes], None] | None = None  # answers the poll that is open
        self._numbers = itertools.count(1)
        self._said = {FIRST_PERSON + n: n for n in range(people)}  # where in the list of messages each is
        self._since: dict[int, float] = {}
        self._begun_at = 0.0

    def poll(self, offset: int, answer: Callable[[bytes], None]) -> None:
        """Take what is before the offset for handled, and answer as soon as there is an update."""
        if not self._since and not self._heard:  # the bot is there
            for person in self._said:
                self._say(person)
        while self._waiting and self._waiting[0][0] < offset:
            self._waiting.popleft()
        self._asks = answer
        self._give()

    def _give(self) -> None:
        if self._asks is not None and self._waiting:
            updates = itertools.islice(self._waiting, MOST_UPDATES)
            self._asks(b"[" + b",".join(update for _, update in updates) + b"]")
            self._asks = None

    def _say(self, person: int) -> None:
        text = SAID[self._said[person] % len(SAID)]
        self._said[person] += 1
        user = {"id": person, "is_bot": False, "first_name": "Noor", "language_code": "en"}
        number = next(self._numbers)
        update = {"update_id": number, "message": self._head(person) | {"from": user, "text": text}}
        self._since[person] = time.perf_counter()
        self._waiting.append((number, _ENCODE(update)))

    def _head(self, person: int) -> dict[str, object]:
        chat = {"id": person, "type": "private", "first_name": "Noor"}
        now = int(time.time())  # noqa: TID251 - the server's own clock
        return {"message_id": next(self._numbers), "date": now, "chat": chat}

    def hear(self, person: int, text: str) -> bytes:
        """Take the bot's answer and give the message that it became."""
        now = time.perf_counter()
        since = self._since.pop(person, None)
        if since is not None and not self.over.done():
            self._count(now - since, now)
            self._say(person)
            self._give()
        return _ENCODE(self._head(person) | {"from": BOT, "text": text})

    def _count(self, seconds: float, now: float) -> None:
        self._heard += 1
        if self._heard == self._warm_up:
            self._begun_at = now
        if self._heard > self._warm_up:
            self.seconds.append(seconds)
        if len(self.seconds) == self._messages:
            self.over.set_result(now - self._begun_at)


class Connection(asyncio.Protocol):
    """One connection of a client that sends a request at a time."""

    def __init__(self, people: People) -> None:
        self._people = people
        self._buffer = b""
        self._transport: asyncio.Transport | None = None

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Keep the way back."""
        self._transport = cast("asyncio.Transport", transport)

    def data_received(self, data: bytes) -> None:
        """Answer a request once it is whole."""
        self._buffer += data
        head, _, body = self._buffer.partition(b"\r\n\r\n")
        said = head.lower().partition(b"content-length:")[2].partition(b"\r\n")[0]
        if b"\r\n\r\n" not in self._buffer or len(body) < int(said or 0):
            return
        self._buffer = b""
        self._called(head.split(b" ", 2)[1].rpartition(b"/")[2].lower(), _given(head, body))

    def _called(self, method: bytes, given: dict[str, Any]) -> None:
        match method:
            case b"getupdates":
                self._people.poll(int(given.get("offset") or 0), self._answer)
            case b"sendmessage":
                self._answer(self._people.hear(int(given["chat_id"]), given["text"]))
            case b"getme":
                self._answer(_ENCODE(BOT))
            case _:
                self._answer(b"true")

    def _answer(self, result: bytes) -> None:
        if self._transport is not None:
            length = len(result) + len(BEFORE) + 1
            head = b"HTTP/1.1 200 OK\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n" % length
            self._transport.write(head + BEFORE + result + b"}")


def _given(head: bytes, body: bytes) -> dict[str, Any]:
    if b"application/json" in head:
        return msgspec.json.decode(body, type=dict[str, Any])
    return dict(urllib.parse.parse_qsl(body.decode()))


async def _serve(people: int, messages: int, warm_up: int) -> None:
    said = People(people, messages, warm_up)
    server = await asyncio.get_running_loop().create_server(lambda: Connection(said), "127.0.0.1", 0)
    print(server.sockets[0].getsockname()[1], flush=True)
    seconds = await said.over
    figures = {"a_second": messages / seconds, "median": statistics.median(said.seconds)}
    figures["late"] = statistics.quantiles(said.seconds, n=100)[98]
    print(json.dumps(figures), flush=True)
    await asyncio.to_thread(sys.stdin.read)  # the bot is to go first
    server.close()


if __name__ == "__main__":
    asyncio.run(_serve(*(int(number) for number in sys.argv[1:4])))
