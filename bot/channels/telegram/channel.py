"""Messages out to Telegram, one at a time; when and how often to try is the delivery's business."""

import datetime as dt
import logging
from collections import OrderedDict
from collections.abc import Callable

import msgspec
import telegram
from telegram import error
from telegram.constants import ParseMode

from bot.channels.telegram.account import TelegramAccount
from bot.channels.telegram.parts import Part, parts
from bot.channels.telegram.request import FloodError
from bot.channels.telegram.updates import address, chat_id, message_key
from bot.ports.messages import Outgoing, plain
from bot.ports.sending import SendError

# How Telegram says that a chat is no more, in the description of a 400; all else that it refuses is about the message.
GONE = ("chat not found", "peer_id_invalid", "user not found", "group chat was upgraded", "group chat was deactivated")
BEGUN_AT_MOST = 1000  # long messages of which the first parts are sent, kept until the rest is
PIN = "\N{ROUND PUSHPIN}"

Markup = telegram.InlineKeyboardMarkup | telegram.ReplyKeyboardMarkup | telegram.ReplyKeyboardRemove

_log = logging.getLogger(__name__)


class ChatMovedError(SendError):
    """A group became a supergroup: its old address is gone."""

    def __init__(self, moved_to: str) -> None:
        """Keep the new address."""
        super().__init__("The group has a new address", is_final=True, chat_gone=True)
        self.moved_to = moved_to


class Piece(msgspec.Struct, frozen=True, kw_only=True):
    """One message as Telegram takes it."""

    part: Part
    markup: Markup | None = None


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
        except ValueError as wrong:
            raise SendError(str(wrong), is_final=True) from None
        pieces = self._begun.pop(key, None) or self._pieces(outgoing, to, late_since)
        reference = ""
        for number, piece in enumerate(pieces):
            try:
                reference = await self._send_piece(to, piece)
            except error.TelegramError as failure:
                refused = _send_error(failure)
                if number and not refused.is_final:
                    self._keep(key, pieces[number:])
                raise refused from None
        self._note_keyboard(outgoing.chat, pieces[-1])
        return reference

    def _pieces(self, outgoing: Outgoing, to: int, late_since: dt.datetime | None) -> list[Piece]:
        is_late = late_since is not None and self._late is not None
        text = self._late(outgoing, late_since) if is_late and self._late and late_since else outgoing.text
        cut = [Piece(part=part) for part in parts(text)]
        asks_location = outgoing.asks_location and to > 0  # Telegram has this button in private chats only
        label = outgoing.location_label or PIN
        if outgoing.buttons:
            cut[-1] = msgspec.structs.replace(cut[-1], markup=_inline(outgoing))
        if asks_location and outgoing.buttons:  # a message has one kind of buttons: this one gets its own
            cut.append(Piece(part=Part(plain=label, html=label), markup=_location_keyboard(label)))
        elif asks_location:
            cut[-1] = msgspec.structs.replace(cut[-1], markup=_location_keyboard(label))
        elif not outgoing.buttons and outgoing.chat in self._asked_location:
            cut[-1] = msgspec.structs.replace(cut[-1], markup=telegram.ReplyKeyboardRemove())
        return cut

    def _note_keyboard(self, chat: str, last: Piece) -> None:
        """Remember where the button for the location stands, so that the next message takes it away."""
        if isinstance(last.markup, telegram.ReplyKeyboardMarkup):
            self._asked_location.add(chat)
        elif isinstance(last.markup, telegram.ReplyKeyboardRemove):
            self._asked_location.discard(chat)

    def _keep(self, key: tuple[str, str], rest: list[Piece]) -> None:
        self._begun[key] = rest
        while len(self._begun) > BEGUN_AT_MOST:
            self._begun.popitem(last=False)

    async def _send_piece(self, to: int, piece: Piece) -> str:
        """Send one message; where Telegram objects to its form, once more without any."""
        try:
            sent = await self._account.send_message(
                to,
                piece.part.html,
                parse_mode=ParseMode.HTML,
                reply_markup=piece.markup,
                link_preview_options=telegram.LinkPreviewOptions(is_disabled=True),
            )
        except error.BadRequest as failure:
            if _is_gone(failure):
                raise
            _log.warning("Telegram objects to a message, it goes out as plain text: %s", failure)
            sent = await self._account.send_message(to, piece.part.plain)
        return message_key(to, sent.message_id)


def _location_keyboard(label: str) -> telegram.ReplyKeyboardMarkup:
    share = telegram.KeyboardButton(label, request_location=True)
    return telegram.ReplyKeyboardMarkup([[share]], one_time_keyboard=True, resize_keyboard=True)


def _inline(outgoing: Outgoing) -> telegram.InlineKeyboardMarkup:
    return telegram.InlineKeyboardMarkup(
        [
            [
                telegram.InlineKeyboardButton(plain(button.label), url=button.url)
                if button.url
                else telegram.InlineKeyboardButton(plain(button.label), callback_data=button.data)
                for button in row
            ]
            for row in outgoing.buttons
        ]
    )


def _is_gone(failure: error.BadRequest) -> bool:
    return any(words in failure.message.lower() for words in GONE)


def _send_error(failure: error.TelegramError) -> SendError:
    """Say by the class of an error how to go on."""
    match failure:
        case FloodError():
            return SendError(str(failure), retry_after=failure.seconds)
        case error.ChatMigrated():
            return ChatMovedError(address(failure.new_chat_id))
        case error.Forbidden():
            return SendError(str(failure), is_final=True, chat_gone=True)
        case error.BadRequest():
            return SendError(str(failure), is_final=True, chat_gone=_is_gone(failure))
        case _:
            return SendError(str(failure))
