"""The Bot API server with a door of its own for each worker, so that it is known which of them calls."""

import asyncio
import contextvars
import socket

from aiohttp import web

from tests.botapi.server import BotApiServer

_CALLER = contextvars.ContextVar("caller", default=None)


class Service(BotApiServer):
    """A made-up Telegram for several processes of one bot."""

    def __init__(self, workers, **options):
        super().__init__(**options)
        self._doors = [socket.create_server(("127.0.0.1", 0)) for _ in range(workers)]
        self._by_port = {door.getsockname()[1]: number for number, door in enumerate(self._doors)}
        self.on_call = None  # is called with the worker and the method, at each call
        self.on_message = None  # is called with the worker once a message is taken and not answered yet
        self.on_answered = None  # the same once its answer is about to go out
        self.conflicts = 0  # polls of living processes that were ended by another's

    async def __aenter__(self):
        await super().__aenter__()
        for door in self._doors:
            await web.SockSite(self._runner, door).start()
        return self

    def door(self, worker):
        """Give the API's address for a worker."""
        return f"http://127.0.0.1:{self._doors[worker].getsockname()[1]}/bot"

    def keep(self, sent):
        """Keep a message of the bot, and tell who sent it."""
        kept = super().keep(sent)
        if self.on_message is not None:
            self.on_message(_CALLER.get())
        return kept

    async def _called(self, request):
        worker = self._worker_of(request)
        _CALLER.set(worker)
        method = request.match_info["method"].lower()
        if self.on_call is not None:
            self.on_call(worker, method)
        answer = await super()._called(request)
        if answer.status == 409 and _is_there(request):
            self.conflicts += 1
        if method == "sendmessage" and self.on_answered is not None:
            asyncio.get_running_loop().call_soon(self.on_answered, worker)
        return answer

    def _worker_of(self, request):
        name = request.transport.get_extra_info("sockname") if request.transport else None
        return self._by_port.get(name[1]) if name else None


def _is_there(request):
    return request.transport is not None and not request.transport.is_closing()
