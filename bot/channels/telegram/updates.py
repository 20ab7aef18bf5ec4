"""An update of Telegram becomes our own record, once, here.

What the words mean is the reader's business; whether the sender may speak is the assistant's.
"""

import datetime as dt
import functools
import logging
import re

import msgspec
import telegram
from telegram.constants import ChatType

from bot.channels.telegram.request import Json
from bot.logs import fields
from bot.ports.cleaning import clean
from bot.ports.messages import Incoming, Sender

GROUPS = (ChatType.GROUP, ChatType.SUPERGROUP)
WITHOUT_WORDS = ("animation", "audio", "document", "photo", "video", "video_note", "voice")

_log = logging.getLogger(__name__)


class Taken(msgspec.Struct, frozen=True, kw_only=True):
    """What an update holds for us: the message, and the id by which a press is answered."""

    incoming: Incoming
    callback_query: str | None = None


def taken(raw: Json, bot_username: str, now: dt.datetime) -> Taken | None:
    """Read an update as it came over the wire; None for one that is no message for us or that cannot be read."""
    try:
        update = telegram.Update.de_json(raw, None)
    except Exception as failure:  # noqa: BLE001 - whatever the library stumbles over, the updates behind it must come through
        _log.warning("an update cannot be read and is passed over", extra=fields(update=update_id(raw), error=failure))
        return None
    incoming = incoming_of(update, bot_username, now)
    if incoming is None:
        return None
    return Taken(incoming=incoming, callback_query=update.callback_query.id if update.callback_query else None)


def incoming_of(update: telegram.Update, bot_username: str, now: dt.datetime) -> Incoming | None:
    """Make our own record of an update; `now` is the time of a press, which Telegram gives none."""
    if update.callback_query is not None:
        return _press(update.update_id, update.callback_query, now)
    if update.edited_message is not None:
        return _written(update.update_id, update.edited_message, bot_username, is_edit=True)
    if update.message is not None:
        return _written(update.update_id, update.message, bot_username, is_edit=False)
    return None


def update_id(raw: Json) -> int | None:
    """Give the number of an update as it came over the wire, if it has one."""
    number = raw.get("update_id")
    return number if isinstance(number, int) else None


def address(telegram_id: int) -> str:
    """Name a person or chat so that no other channel has the same name."""
    return f"telegram:{telegram_id}"


def chat_id(chat: str) -> int:
    """Give the number behind an address; raise ValueError for one of another channel."""
    channel, _, number = chat.partition(":")
    if channel != "telegram":
        raise ValueError(f"{channel} is not Telegram")
    return int(number)


def update_key(update_id: int) -> str:
    """Name an update."""
    return f"telegram:update:{update_id}"


def message_key(chat: int, message_id: int) -> str:
    """Name a message, the same for its edits."""
    return f"telegram:{chat}:{message_id}"


def _press(update_id: int, query: telegram.CallbackQuery, now: dt.datetime) -> Incoming | None:
    if query.message is None or not query.data or query.from_user.is_bot:
        return None
    chat = query.message.chat
    return Incoming(
        key=update_key(update_id),
        chat=address(chat.id),
        sender=_sender(query.from_user),
        sent_at=now,
        press=clean(query.data),
        is_group=chat.type in GROUPS,
    )


def _written(update_id: int, message: telegram.Message, bot_username: str, *, is_edit: bool) -> Incoming | None:
    """Take a message of a person in a chat or group that has words or a place, or that needs an answer all the same."""
    user, chat = message.from_user, message.chat
    if user is None or user.is_bot or chat.type == ChatType.CHANNEL:
        return None
    place = message.location
    words = clean(message.text or message.caption or "")
    is_group = chat.type in GROUPS
    if not is_group and not _needs_answer(message):
        return None
    if is_group and not (words.strip() or place):
        return None
    if place and is_edit:  # a live location that moves
        return None
    if _is_for_another_bot(words, bot_username):
        return None
    text, is_named = _without_mention(words, bot_username)
    return Incoming(
        key=update_key(update_id),
        chat=address(chat.id),
        sender=_sender(user),
        sent_at=message.date,
        text=text.strip(),
        message=message_key(chat.id, message.message_id),
        is_edit=is_edit,
        is_group=is_group,
        is_addressed=not is_group or is_named or text.startswith("/") or _is_reply_to(message, bot_username),
        location=(place.latitude, place.longitude) if place else None,
    )


def _sender(user: telegram.User) -> Sender:
    name = " ".join(clean(user.full_name).split()) or clean(user.username or "") or str(user.id)
    return Sender(address=address(user.id), name=name, language=user.language_code)


def _needs_answer(message: telegram.Message) -> bool:
    """Whether a person expects something of it: not of a sticker, nor of a note by Telegram itself."""
    return bool(
        message.text or message.caption or message.location or any(getattr(message, kind) for kind in WITHOUT_WORDS)
    )


def _is_for_another_bot(text: str, bot_username: str) -> bool:
    command = text.split(maxsplit=1)[0] if text.startswith("/") else ""
    _, at, name = command.partition("@")
    return bool(at) and name.lower() != bot_username.lower()


def _is_reply_to(message: telegram.Message, bot_username: str) -> bool:
    """Whether it answers the bot; in a group with topics each message answers the note that opened its topic."""
    answered = message.reply_to_message
    if answered is None or answered.from_user is None or answered.forum_topic_created is not None:
        return False
    return (answered.from_user.username or "").lower() == bot_username.lower()


@functools.lru_cache(maxsize=4)
def _mention(bot_username: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w)@{re.escape(bot_username)}(?!\w)", re.IGNORECASE)


def _without_mention(text: str, bot_username: str) -> tuple[str, bool]:
    """Take the bot's name out, after a command (`/due@the_bot`) as in a sentence, and say whether it was there."""
    mention = _mention(bot_username)
    if text.startswith("/"):
        command, *rest = text.split(maxsplit=1)
        bare = command.partition("@")[0]
        return " ".join([bare, *(mention.sub("", words) for words in rest)]), True
    without = mention.sub("", text)
    if without == text:
        return text, False
    return re.sub(r"[ ]{2,}", " ", without).strip(" ,:;"), True
