"""Long polling that stores each update before the next poll acknowledges it.

The library's own loop keeps updates in memory and acknowledges them before they are handled: a crash loses them.
"""

import asyncio
import logging
from collections.abc import Callable

from telegram import error

from bot.channels.telegram.account import NO_COMMANDS, Commands, TelegramAccount
from bot.channels.telegram.backoff import Backoff, unless
from bot.channels.telegram.failures import why
from bot.channels.telegram.intake import Intake, Take
from bot.channels.telegram.request import FloodError
from bot.channels.telegram.updates import update_id
from bot.logs import fields
from bot.ports.clock import Clock
from bot.ports.stores import Hold, StoreDownError

POLL_FOR = 25  # seconds that Telegram keeps a poll open
SURE_FOR = 1.0  # seconds after the poll was seen to be this process's; two that poll for so long do no harm
TURN_EVERY = 5.0  # seconds until it is asked again whether another process still polls
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
        hold: Callable[[], Hold | None],
        commands: Commands = NO_COMMANDS,
        poll_for: int = POLL_FOR,
    ) -> None:
        """Take the messages to `take`; `hold` gives this process the poll, or None while another one has it."""
        self._account = account
        self._intake = Intake(account, take, clock)
        self._hold = hold
        self._commands = commands
        self._poll_for = poll_for
        self._offset: int | None = None
        self._ours_until = 0.0  # in the loop's own time
        self._stored: frozenset[int] = frozenset()  # numbers of the updates that the last poll brought
        self._backoff = Backoff()
        self._answers: set[asyncio.Task[None]] = set()

    async def run(self, stop: asyncio.Event) -> None:
        """Poll until `stop`, for as long as no other process does; raise TokenRefusedError where the token is wrong."""
        await self._account.sign_in(stop, self._commands)
        while not stop.is_set():
            hold = await self._wait_for_turn(stop)
            if hold is None:
                break
            try:
                await self._account.persist(stop, "Taking the webhook away", self._account.delete_webhook)
                await self._poll(stop, hold)
            finally:
                await asyncio.to_thread(hold.release)
        if self._answers:
            await asyncio.wait(self._answers, timeout=GIVE_UP_AFTER)

    async def _wait_for_turn(self, stop: asyncio.Event) -> Hold | None:
        """Take the poll for this process, as soon as no other has it; None when told to stop."""
        is_told = False
        while not stop.is_set():
            try:
                hold = await asyncio.to_thread(self._hold)
            except StoreDownError as failure:
                _log.warning("the store cannot say who polls", extra=fields(error=failure))
                hold = None
            if hold is not None:
                return hold
            if not is_told:
                _log.info("another process polls; this one takes over when that one ends")
                is_told = True
            await unless(stop, asyncio.sleep(TURN_EVERY))
        return None

    async def _poll(self, stop: asyncio.Event, hold: Hold) -> None:
        self._offset, self._ours_until = None, 0.0  # another process may have polled since
        while not stop.is_set() and await self._is_ours(hold):
            try:
                batch = await unless(stop, self._account.raw_updates(self._offset, self._poll_for))
            except error.InvalidToken:
                self._account.note_refusal()
                await self._backoff.wait(stop)
                continue
            except error.TelegramError as failure:
                await self._wait(stop, failure)
                continue
            self._account.note_success()
            if batch and not await self._store(batch):
                await self._backoff.wait(stop)
                continue
            if not batch:
                # All before the offset is acknowledged now. After a week without updates Telegram begins its numbers
                # anew, at random: what then had a smaller one would be taken for acknowledged.
                self._offset = None
            self._backoff.reset()

    async def _is_ours(self, hold: Hold) -> bool:
        """Say whether the poll is still this process's; what was so a moment ago is taken to be so."""
        now = asyncio.get_running_loop().time()
        if now < self._ours_until:
            return True
        is_good = await asyncio.to_thread(hold.is_good)
        self._ours_until = now + SURE_FOR if is_good else now
        return is_good

    async def _store(self, batch: list[object]) -> bool:
        """Store updates; the next poll asks past them, or for all of them again where that cannot be."""
        try:
            taken = await asyncio.to_thread(self._intake.store, batch)
        except Exception as failure:  # noqa: BLE001 - whatever it was, the updates are asked for again
            _log.error(
                "updates could not be stored and are asked for again", extra=fields(many=len(batch), error=failure)
            )
            return False
        if not self._acknowledge([number for raw in batch if (number := update_id(raw)) is not None]):
            return False
        for press in (read.callback_query for read in taken if read.callback_query is not None):
            task = asyncio.create_task(self._answer(press))
            self._answers.add(task)
            task.add_done_callback(self._answers.discard)
        return True

    def _acknowledge(self, numbers: list[int]) -> bool:
        """Have the next poll ask past these; False where there are none, so that it cannot.

        Past the last of them and not past the highest: where the numbers have begun anew in between, those to come are
        smaller than it. Where the same come again, the highest is among what has been stored.
        """
        if not numbers:
            _log.error("updates without numbers cannot be acknowledged and are asked for again")
            return False
        self._offset = (max(numbers) if self._stored.issuperset(numbers) else numbers[-1]) + 1
        self._stored = frozenset(numbers)
        return True

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
