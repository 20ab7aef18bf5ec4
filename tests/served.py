"""The whole bot as `ovipost serve` joins it, in front of a Bot API on loopback, and people who talk to it."""

import asyncio
import datetime as dt
import time

from bot import bootstrap


class GoingClock:
    """A clock that was set to a moment and goes on from there; it can be set ahead."""

    def __init__(self, at):
        self._ahead = at - dt.datetime.fromtimestamp(time.monotonic(), dt.UTC)

    def now(self):
        return dt.datetime.fromtimestamp(time.monotonic(), dt.UTC) + self._ahead

    def forward(self, **span):
        self._ahead += dt.timedelta(**span)


class Bot:
    """The program as `ovipost serve` joins it, on a database file, stopped and started at will."""

    def __init__(self, settings):
        self.settings = settings
        self._stop = asyncio.Event()
        self._serving = None

    async def start(self):
        self._stop = asyncio.Event()
        self._serving = asyncio.create_task(bootstrap.build_serve(self.settings).run(self._stop))

    async def ended(self, *, within):
        """Wait until it ends by itself; what it raises comes out."""
        serving, self._serving = self._serving, None
        async with asyncio.timeout(within):
            await serving

    async def stop(self):
        if self._serving is not None:
            self._stop.set()
            async with asyncio.timeout(10):
                await self._serving
            self._serving = None


class Talk:
    """What people do, each with the bot's next message in that chat."""

    def __init__(self, server):
        self._server = server

    async def says(self, who, text, *, to=None):
        return await self._next(to or who, lambda: self._server.says(who, text, to=to))

    async def edits(self, who, message, text):
        return await self._next(who, lambda: self._server.edits(message, text))

    async def shares(self, who, place):
        return await self._next(who, lambda: self._server.shares_location(who, *place))

    async def presses(self, who, label, *, to=None):
        sent = next(s for s in reversed(self._server.sent(to or who)) if label in s.labels)
        return await self._next(to or who, lambda: self._server.presses(who, sent, label))

    async def next_in(self, chat, *, after):
        await self._server.until(lambda: len(self._server.sent(chat)) > after)
        return self._server.sent(chat)[after]

    async def _next(self, chat, act):
        count = len(self._server.sent(chat))
        act()
        return await self.next_in(chat, after=count)
