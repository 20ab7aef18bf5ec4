"""The bot's account at Telegram: signing in, its name, its commands, its invite links."""

import asyncio
import datetime as dt
import functools
import logging
from collections.abc import Callable, Coroutine, Mapping, Sequence
from types import MappingProxyType
from typing import Any

import msgspec
from telegram import InputFile, error
from telegram.constants import ParseMode
from telegram.ext import ExtBot

from bot.channels.telegram.backoff import Backoff, unless
from bot.channels.telegram.failures import why
from bot.channels.telegram.limits import SendLimiter
from bot.channels.telegram.request import AiohttpRequest, FloodError, Json
from bot.logs import fields
from bot.ports.messages import DEFAULT_LANGUAGE, Attachment

UPDATE_KINDS = ("message", "edited_message", "callback_query")  # all that we ask Telegram for
REFUSALS_BELIEVED = 3  # in a row, of a token that worked before
IN_FLIGHT = 256  # connections at most

Call = Callable[[], Coroutine[Any, Any, object]]
Commands = Mapping[str, Sequence[tuple[str, str]]]  # by language: each without its slash, and what it does
NO_COMMANDS: Commands = MappingProxyType({})

_log = logging.getLogger(__name__)


class TokenRefusedError(Exception):
    """Telegram does not know the token, or the address is no Bot API."""

    def __init__(self) -> None:
        """Say what to look at."""
        super().__init__(
            "Telegram refuses the token: check OVIPOST_TELEGRAM_TOKEN, and OVIPOST_TELEGRAM_API if it is set."
        )


class _Sent(msgspec.Struct, frozen=True):
    """What we want to know of a message that was sent."""

    message_id: int


class TelegramAccount(ExtBot[int]):
    """The library's client over our own pool and limits; one for a process, closed by `shutdown`."""

    def __init__(self, token: str, *, api: str, send_rate: float) -> None:
        """Connect nothing yet; `api` is the address of the Bot API up to the token, `send_rate` 0 for no bound."""
        # The library logs texts of messages at debug level.
        logging.getLogger("telegram").setLevel(logging.WARNING)
        sending, limiter = AiohttpRequest(connection_pool_size=IN_FLIGHT), SendLimiter(send_rate)
        polling = AiohttpRequest(connection_pool_size=2)
        super().__init__(
            token,
            base_url=api,
            base_file_url=api.removesuffix("/bot") + "/file/bot",
            request=sending,
            get_updates_request=polling,
            rate_limiter=limiter,
        )
        self._sending, self._polling, self._limiter = sending, polling, limiter
        self._refusals = 0  # of the token, one after another
        self._was_let_in = False

    @property
    def server_time(self) -> dt.datetime | None:
        """Give the time of the newest answer by the server's clock, to the second; None before there is one."""
        return self._sending.server_time

    def __repr__(self) -> str:
        """Leave the token out, which the library writes here."""
        return "TelegramAccount()"

    async def shutdown(self) -> None:
        """Close the pools, which sending opens though nobody signed in; the library would leave them open then."""
        await super().shutdown()
        for request in self._request:
            await request.shutdown()

    async def send_text(
        self, chat: int, text: str, *, is_html: bool = False, markup: Json | None = None, is_silent: bool = False
    ) -> int:  # fmt: skip
        """Send a text, without previews of the links in it, and give the number of the message.

        In our own words, because the library's take as long to make and to read as the call itself takes.
        """
        data: Json = {"chat_id": chat, "text": text, "link_preview_options": {"is_disabled": True}}
        if is_html:
            data["parse_mode"] = ParseMode.HTML
        if markup is not None:
            data["reply_markup"] = markup
        if is_silent:
            data["disable_notification"] = True
        call, url = self._sending.call, f"{self.base_url}/sendMessage"
        sent = await self._limiter.process_request(call, (url, data), {}, "sendMessage", data, None)
        try:
            return msgspec.convert(sent, _Sent).message_id
        except msgspec.ValidationError:
            raise error.NetworkError("The answer names no message") from None

    async def send_file(self, chat: int, file: Attachment) -> int:
        """Send a file and give the number of the message."""
        sent = await self.send_document(chat, InputFile(file.content, filename=file.name))
        return sent.message_id

    async def raw_updates(self, offset: int | None, poll_for: int) -> list[object]:
        """Ask for updates from `offset` on, which acknowledges all before it; wait for one `poll_for` seconds.

        Raw, because the library loses a whole batch where it cannot read one update, and logs its text.
        """
        data: Json = {"timeout": poll_for, "allowed_updates": UPDATE_KINDS}
        if offset is not None:
            data["offset"] = offset
        wait = poll_for + (self._polling.read_timeout or 0)
        answer = await self._polling.call(f"{self.base_url}/getUpdates", data, read_timeout=wait)
        if not isinstance(answer, list):
            raise error.NetworkError("The answer is no list of updates")
        return answer

    def note_refusal(self) -> None:
        """Take note that the token was refused; raise TokenRefusedError where that is to be believed.

        A token that worked before is not given up for the word of a proxy on the way, nor for a slip of Telegram's.
        """
        self._refusals += 1
        if not self._was_let_in or self._refusals >= REFUSALS_BELIEVED:
            raise TokenRefusedError from None  # the library's error may hold the token
        _log.warning("the token is refused though it worked before; it is tried again")

    def note_success(self) -> None:
        """Take note that the token works."""
        self._refusals = 0
        self._was_let_in = True

    async def sign_in(self, stop: asyncio.Event, commands: Commands = NO_COMMANDS) -> None:
        """Learn the bot's own name and offer its commands; again and again while the network is down."""
        await self.persist(stop, "Signing in", functools.partial(self._introduce, commands))

    async def persist(self, stop: asyncio.Event, what: str, call: Call) -> None:
        """Make a call until it works or `stop` is set; raise TokenRefusedError where it never will."""
        backoff = Backoff()
        while not stop.is_set():
            try:
                await unless(stop, call())
            except error.InvalidToken:
                self.note_refusal()
                await backoff.wait(stop)
            except FloodError as wait:
                await backoff.wait(stop, at_least=wait.seconds)
            except error.TelegramError as failure:
                _log.warning("a call failed and is tried again", extra=fields(call=what, why=why(failure)))
                await backoff.wait(stop)
            except (KeyError, TypeError, ValueError) as odd:  # the library could not read what came
                _log.warning("an answer makes no sense; the call is tried again", extra=fields(call=what, error=odd))
                await backoff.wait(stop)
            else:
                self.note_success()
                return

    async def _introduce(self, commands: Commands) -> None:
        """Sign in and set the lists of commands; the default language's is for everybody without one of their own."""
        await self.initialize()
        try:
            for language, listed in commands.items():
                code = None if language == DEFAULT_LANGUAGE else language
                await self.set_my_commands(list(listed), language_code=code)
        except error.BadRequest as refused:  # a list that Telegram never takes must not keep the bot from its work
            _log.error("Telegram refuses the list of commands", extra=fields(why=why(refused)))


def invite_link(bot_username: str, token: str) -> str:
    """Give the link that opens a chat with the bot and has it sent `/start TOKEN`; A-Z, a-z, 0-9, _ and - only."""
    return f"https://t.me/{bot_username}?start={token}"
