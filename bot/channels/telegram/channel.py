"""Messages out to Telegram, one at a time; when and how often to try is the delivery's business."""

import contextlib
import datetime as dt
import logging
from collections import OrderedDict
from collections.abc import Callable, Iterable

import msgspec
from telegram import error

from bot.channels.telegram.account import TelegramAccount
from bot.channels.telegram.failures import why
from bot.channels.telegram.parts import Part, parts
from bot.channels.telegram.request import FloodError, GroupFullError, Json, ServerTroubleError
from bot.channels.telegram.updates import address, chat_id, message_key
from bot.logs import fields
from bot.ports.messages import Attachment, Button, Outgoing, plain
from bot.ports.sending import SendError, Trouble

# How Telegram says that a chat is no more, in the description of a 400; all else that it refuses is about the message.
GONE = ("chat not found", "peer_id_invalid", "user not found", "group chat was upgraded", "group chat was deactivated")
OF_MARKUP = "entit"  # is in what Telegram says about the markup of a text
TOO_LONG = ("message is too long", "message_too_long")
LONG_ENOUGH_TO_HALVE = 200  # letters
BEGUN_AT_MOST = 1000  # long messages of which the first parts are sent, kept until the rest is
PIN = "\N{ROUND PUSHPIN}"

NO_KEYBOARD: Json = {"remove_keyboard": True}

_log = logging.getLogger(__name__)


class Piece(msgspec.Struct, frozen=True, kw_only=True):
    """One message as Telegram takes it."""

    part: Part
    markup: Json | None = None  # as the Bot API has it
    file: Attachment | None = None  # in place of a text
    is_silent: bool = False  # rings nowhere


class TelegramChannel:
    """A way out to people on Telegram."""

    def __init__(
        self,
        account: TelegramAccount,
        *,
        late: Callable[[Outgoing, dt.datetime], str] | None = None,
    ) -> None:
        """Take the wording from outside: `late` gives the text of a message that was due at a time gone by."""
        self._account = account
        self._late = late
        self._begun: OrderedDict[tuple[str, str], list[Piece]] = OrderedDict()
        self._asked_location: set[str] = set()

    async def send(self, outgoing: Outgoing, *, late_since: dt.datetime | None = None) -> str:
        """Send a message, a long one in parts, and name the last; after a failure go on with the part that failed.

        A press needs nothing here: it is answered when it is taken.
        """
        key = (outgoing.chat, outgoing.key)
        try:
            to = chat_id(outgoing.chat)
        except ValueError:
            raise SendError("the address is none of Telegram's", is_final=True) from None
        pieces = self._begun.pop(key, None) or self._pieces(outgoing, to, late_since)
        reference = ""
        for number, piece in enumerate(pieces):
            try:
                reference = await self._send_piece(to, piece)
            except error.TelegramError as failure:
                refused = _send_error(failure)
                if number and not refused.is_final:
                    self._keep((refused.moved_to or outgoing.chat, outgoing.key), pieces[number:])
                raise refused from None
            self._note_keyboard(outgoing.chat, piece)
        return reference

    def _pieces(self, outgoing: Outgoing, to: int, late_since: dt.datetime | None) -> list[Piece]:
        is_late = late_since is not None and self._late is not None
        text = self._late(outgoing, late_since) if is_late and self._late and late_since else outgoing.text
        cut = [Piece(part=part, is_silent=outgoing.is_silent) for part in parts(text)]
        asks_location = outgoing.asks_location and to > 0  # Telegram has this button in private chats only
        label = outgoing.location_label or PIN
        if outgoing.buttons:
            cut[-1] = msgspec.structs.replace(cut[-1], markup=_inline(outgoing))
        if asks_location and outgoing.buttons:  # a message has one kind of buttons: this one gets its own
            cut.append(Piece(part=Part(plain=label, html=label), markup=_location_keyboard(label)))
        elif asks_location:
            cut[-1] = msgspec.structs.replace(cut[-1], markup=_location_keyboard(label))
        elif not outgoing.buttons and outgoing.chat in self._asked_location:
            cut[-1] = msgspec.structs.replace(cut[-1], markup=NO_KEYBOARD)
        if outgoing.file is not None:
            cut.append(Piece(part=Part(plain="", html=""), file=outgoing.file))
        return cut

    def _note_keyboard(self, chat: str, sent: Piece) -> None:
        """Remember where the button for the location stands, so that the next message takes it away."""
        if sent.markup is not None and "keyboard" in sent.markup:
            self._asked_location.add(chat)
        elif sent.markup is NO_KEYBOARD:
            self._asked_location.discard(chat)

    def _keep(self, key: tuple[str, str], rest: list[Piece]) -> None:
        self._begun[key] = rest
        while len(self._begun) > BEGUN_AT_MOST:
            self._begun.popitem(last=False)

    async def _send_piece(self, to: int, piece: Piece) -> str:
        """Send one message; where Telegram objects to its form, in a plainer one or in smaller parts."""
        if piece.file is not None:
            return message_key(to, await self._account.send_file(to, piece.file))
        try:
            return await self._send_form(to, piece, is_html=True)
        except error.BadRequest as failure:
            if _is_gone(failure):
                raise
            _log.warning(
                "Telegram objects to the form of a message, it goes out in a plainer one",
                extra=fields(why=why(failure)),
            )
            is_of_markup = _says(failure, (OF_MARKUP,))
            is_too_long = _says(failure, TOO_LONG) and len(piece.part.plain) > LONG_ENOUGH_TO_HALVE
        if is_too_long:
            bare = msgspec.structs.replace(piece, markup=None)
            *first, last = parts(piece.part.plain, len(piece.part.plain) // 2)
            for half in first:
                await self._send_piece(to, msgspec.structs.replace(bare, part=half))
            return await self._send_piece(to, msgspec.structs.replace(piece, part=last))
        if is_of_markup and piece.markup is not None:
            with contextlib.suppress(error.BadRequest):
                return await self._send_form(to, piece)
        return await self._send_form(to, msgspec.structs.replace(piece, markup=None))

    async def _send_form(self, to: int, piece: Piece, *, is_html: bool = False) -> str:
        text = piece.part.html if is_html else piece.part.plain
        number = await self._account.send_text(
            to, text, is_html=is_html, markup=piece.markup, is_silent=piece.is_silent
        )  # fmt: skip
        return message_key(to, number)


def _location_keyboard(label: str) -> Json:
    share = {"text": label, "request_location": True}
    return {"keyboard": [[share]], "one_time_keyboard": True, "resize_keyboard": True}


def _inline(outgoing: Outgoing) -> Json:
    return {"inline_keyboard": [[_button(button) for button in row] for row in outgoing.buttons]}


def _button(button: Button) -> Json:
    does = {"url": button.url} if button.url else {"callback_data": button.data}
    return {"text": plain(button.label), **does}


def _says(failure: error.TelegramError, words: Iterable[str]) -> bool:
    said = failure.message.lower()
    return any(word in said for word in words)


def _is_gone(failure: error.BadRequest) -> bool:
    return _says(failure, GONE)


def _send_error(failure: error.TelegramError) -> SendError:
    """Say by the class of an error how to go on."""
    reason = why(failure)
    match failure:
        case GroupFullError():
            return SendError(reason, retry_after=failure.seconds)
        case FloodError():
            return SendError(reason, trouble=Trouble.FLOOD, retry_after=failure.seconds)
        case error.ChatMigrated():
            return SendError("the group has a new address", moved_to=address(failure.new_chat_id))
        case error.Forbidden():
            return SendError(reason, is_final=True, chat_gone=True)
        case error.BadRequest():
            return SendError(reason, is_final=True, chat_gone=_is_gone(failure))
        case ServerTroubleError() | error.InvalidToken() | error.Conflict():
            return SendError(reason, trouble=Trouble.SERVER)
        case error.NetworkError():  # TimedOut is one
            return SendError(reason, trouble=Trouble.NETWORK)
        case _:
            return SendError(reason)
