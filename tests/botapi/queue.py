"""Updates on their way to the bot: kept until a poll asks past them or the webhook has taken them."""

import asyncio
import itertools
from collections import deque

import aiohttp

from tests.botapi.refusals import RefusedError

SECRET_HEADER = "X-Telegram-Bot-Api-Secret-Token"  # noqa: S105 - the header's name
LONGEST_POLL = 50  # seconds
MOST_UPDATES = 100  # a poll
RETRY_AFTER = 0.05  # seconds; Telegram's own are longer
TWO_POLLS = "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running"
HAS_WEBHOOK = (
    "Conflict: can't use getUpdates method while webhook is active; use deleteWebhook to delete the webhook first"
)


class UpdateQueue:
    """What happened and is not acknowledged."""

    def __init__(self, first_update, perform, changed):
        """Number updates from `first_update`; `perform` does what a webhook's answer asks, `changed` tells of news."""
        self.waiting = deque()
        self.webhook = None
        self.webhook_answers = []  # status codes, newest last
        self._secret = None
        self._perform = perform
        self._changed = changed
        self._ids = itertools.count(first_update)
        self._allowed = None
        self._news = asyncio.Event()
        self._poll = None  # what ends the poll that is open
        self._calling = None

    async def close(self):
        """End all that waits."""
        self._end_poll()
        if self._calling is not None:
            self._calling.cancel()
            await asyncio.gather(self._calling, return_exceptions=True)

    def add(self, content, update_id=None):
        """Queue an update, if the bot asked for its kind."""
        if self._allowed and not set(content) & set(self._allowed):
            return
        number = next(self._ids) if update_id is None else update_id
        self.waiting.append({"update_id": number} | content)
        self._news.set()
        self._changed()

    def allow(self, kinds):
        """Keep only updates of these kinds from now on; None changes nothing, an empty list allows all."""
        if kinds is not None:
            self._allowed = kinds

    def use_webhook(self, url, secret):
        """Send updates to an address, or keep them for polls."""
        self.webhook, self._secret = url, secret
        if url and self._calling is None:
            self._calling = asyncio.create_task(self._call_webhook())
        self._news.set()

    async def poll(self, params):
        """Answer getUpdates: what is before the offset is acknowledged, an older poll is ended."""
        if self.webhook:
            raise RefusedError(409, HAS_WEBHOOK)
        self.allow(params.get("allowed_updates"))
        self._acknowledge(int(params.get("offset") or 0))
        self._end_poll()
        mine = self._poll = asyncio.get_running_loop().create_future()
        try:
            await self._news_or_end(mine, min(float(params.get("timeout") or 0), LONGEST_POLL))
        finally:
            if self._poll is mine:
                self._poll = None
        limit = int(params.get("limit") or MOST_UPDATES)
        return list(itertools.islice(self.waiting, min(limit, MOST_UPDATES)))

    def _acknowledge(self, offset):
        if offset < 0:
            while len(self.waiting) > -offset:
                self.waiting.popleft()
        while offset > 0 and self.waiting and self.waiting[0]["update_id"] < offset:
            self.waiting.popleft()

    async def _news_or_end(self, end, seconds):
        until = asyncio.get_running_loop().time() + seconds
        while not self.waiting and (left := until - asyncio.get_running_loop().time()) > 0:
            self._news.clear()
            news = asyncio.ensure_future(self._news.wait())
            await asyncio.wait({news, end}, timeout=left, return_when=asyncio.FIRST_COMPLETED)
            news.cancel()
            if end.done():
                raise RefusedError(409, TWO_POLLS)

    def _end_poll(self):
        if self._poll is not None and not self._poll.done():
            self._poll.set_result(None)

    async def _call_webhook(self):
        async with aiohttp.ClientSession() as session:
            while True:
                if not (self.webhook and self.waiting):
                    self._news.clear()
                    await self._news.wait()
                    continue
                update = self.waiting[0]
                if await self._call_once(session, update):
                    self.waiting.remove(update)
                else:
                    await asyncio.sleep(RETRY_AFTER)
                self._changed()

    async def _call_once(self, session, update):
        """Post an update; what the answer asks for is done as if it were called."""
        headers = {SECRET_HEADER: self._secret} if self._secret else {}
        try:
            async with session.post(self.webhook, json=update, headers=headers) as answer:
                self.webhook_answers.append(answer.status)
                if answer.status == 200 and answer.content_type == "application/json":
                    asked = await answer.json()
                    await self._perform(asked.pop("method").lower(), asked)
                return answer.status == 200
        except aiohttp.ClientError:
            return False
