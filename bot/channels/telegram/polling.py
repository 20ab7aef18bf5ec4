"""Long polling that stores each update before the next poll acknowledges it.

The library's own loop keeps updates in memory and acknowledges them before they are handled: a crash loses them.
"""

import asyncio
import logging

from telegram import error

from bot.channels.telegram.account import NO_COMMANDS, Commands, TelegramAccount, TokenRefusedError
from bot.channels.telegram.backoff import Backoff, unless
from bot.channels.telegram.failures import why
from bot.channels.telegram.intake import Intake, Take
from bot.channels.telegram.request import FloodError, Json
from bot.logs import fields
from bot.ports.clock import Clock

POLL_FOR = 25  # seconds that Telegram keeps a poll open
GIVE_UP_AFTER = 2.0  # seconds for the answers to presses that are under way at the stop

_log = logging.getLogger(__name__)


class TelegramPolling:
    """The way in from Telegram without an address of one's own."""

    def __init__(
        self,
        account: TelegramAccount,
        take: Take,
        clock: Clock,
        *,
        commands: Commands = NO_COMMANDS,
        poll_for: int = POLL_FOR,
    ) -> None:
        """Take the messages to `take`, which stores one for good; what it raises brings the update again."""
        self._account = account
        self._intake = Intake(account, take, clock)
        self._commands = commands
        self._poll_for = poll_for
        self._offset: int | None = None
        self._backoff = Backoff()
        self._answers: set[asyncio.Task[None]] = set()

    async def run(self, stop: asyncio.Event) -> None:
        """Poll until `stop`; raise TokenRefusedError where the token is wrong."""
        await self._account.sign_in(stop, self._commands)
        await self._account.persist(stop, "Taking the webhook away", self._account.delete_webhook)
        while not stop.is_set():
            try:
                batch = await unless(stop, self._account.raw_updates(self._offset, self._poll_for))
            except error.InvalidToken:
                raise TokenRefusedError from None
            except error.TelegramError as failure:
                await self._wait(stop, failure)
                continue
            if batch and not await self._store(batch):
                await self._backoff.wait(stop)
                continue
            self._backoff.reset()
        if self._answers:
            await asyncio.wait(self._answers, timeout=GIVE_UP_AFTER)

    async def _store(self, batch: list[Json]) -> bool:
        """Store updates in order up to the first that cannot be; the next poll asks from there."""
        presses, is_whole = await asyncio.to_thread(self._store_each, batch)
        for press in presses:
            task = asyncio.create_task(self._answer(press))
            self._answers.add(task)
            task.add_done_callback(self._answers.discard)
        return is_whole

    def _store_each(self, batch: list[Json]) -> tuple[list[str], bool]:
        presses: list[str] = []
        for raw in batch:
            try:
                read = self._intake.store(raw)
            except Exception as failure:  # noqa: BLE001 - whatever it was, the update is asked for again
                # Only its class: the text of a database's error repeats what was to be written.
                _log.error(
                    "an update could not be stored and is asked for again",
                    extra=fields(update=raw["update_id"], error=failure),
                )
                return presses, False
            if read is not None and read.callback_query is not None:
                presses.append(read.callback_query)
            self._offset = raw["update_id"] + 1
        return presses, True

    async def _answer(self, press: str) -> None:
        """Stop the clock that turns on a pressed button; an old press cannot be answered, which is no matter."""
        try:
            await self._account.answer_callback_query(press)
        except error.TelegramError as failure:
            _log.debug("a press was not answered", extra=fields(why=why(failure)))

    async def _wait(self, stop: asyncio.Event, failure: error.TelegramError) -> None:
        if isinstance(failure, FloodError):
            await self._backoff.wait(stop, at_least=failure.seconds)
            return
        if isinstance(failure, error.Conflict):
            _log.warning("another process polls for this bot, or a webhook is set; only one may; it is tried again")
        else:
            _log.warning("polling failed and is tried again", extra=fields(why=why(failure)))
        await self._backoff.wait(stop)
