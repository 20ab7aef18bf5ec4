"""An update of Telegram becomes our own record, once, here.

Whatever an update holds, it becomes a record that can be kept and read again, or it is passed over.
What the words mean is the reader's business; whether the sender may speak is the assistant's.
"""

import datetime as dt
import functools
import logging
import re
from typing import TypeGuard

import msgspec
from telegram.constants import ChatType

from bot.channels.telegram import wire
from bot.logs import fields
from bot.ports.cleaning import clean
from bot.ports.messages import LONGEST_TEXT, Incoming, Sender

GROUPS = (ChatType.GROUP, ChatType.SUPERGROUP)
WITHOUT_WORDS = ("animation", "audio", "document", "photo", "video", "video_note", "voice")
FIRST_BOTS = dt.datetime(2015, 6, 24, tzinfo=dt.UTC)  # when Telegram began to have bots: no message to one is older
LARGEST_ID = 2**63  # Telegram's own have 52 bits at most
LONGEST_NAME = 128  # letters; Telegram has 64 for each of the two names
LONGEST_CODE = 35  # letters of a language tag
LONGEST_PRESS = 64  # bytes, https://core.telegram.org/bots/api#inlinekeyboardbutton

_log = logging.getLogger(__name__)


class Taken(msgspec.Struct, frozen=True, kw_only=True):
    """What an update holds for us: the message, and the id by which a press is answered."""

    incoming: Incoming
    callback_query: str | None = None


def update_id(raw: object) -> int | None:
    """Give the number of an update; None for what is none."""
    number = raw.get("update_id") if isinstance(raw, dict) else None
    return number if _is_id(number) else None


def taken(raw: object, bot_username: str, now: dt.datetime) -> Taken | None:
    """Read an update as it came over the wire; None for one that is no message for us or that cannot be read."""
    number = update_id(raw)
    try:
        update = msgspec.convert(raw, wire.Update)
        incoming = None if number is None else incoming_of(update, bot_username, now)
        if incoming is None:
            return None
        press = update.callback_query.id if update.callback_query else None
        # What the inbox could not read again would stand in the way of all behind it.
        return msgspec.json.decode(msgspec.json.encode(Taken(incoming=incoming, callback_query=press)), type=Taken)
    except Exception as failure:  # noqa: BLE001 - whatever is not as it is documented, the updates behind it must come through
        _log.warning("an update cannot be read and is passed over", extra=fields(update=number, error=failure))
        return None


def incoming_of(update: wire.Update, bot_username: str, now: dt.datetime) -> Incoming | None:
    """Make our own record of an update; `now` is the time of a press, which Telegram gives none."""
    if update.callback_query is not None:
        return _press(update.update_id, update.callback_query, now)
    if update.edited_message is not None:
        return _written(update.update_id, update.edited_message, bot_username, is_edit=True)
    if update.message is not None:
        moved = _moved(update.update_id, update.message)
        return moved or _written(update.update_id, update.message, bot_username, is_edit=False)
    return None


def address(telegram_id: int) -> str:
    """Name a person or chat so that no other channel has the same name."""
    if not _is_id(telegram_id):
        raise ValueError("no number of a person or chat")
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


def _is_id(number: object) -> TypeGuard[int]:
    return type(number) is int and -LARGEST_ID < number < LARGEST_ID


def _moved(update_id: int, message: wire.Message) -> Incoming | None:
    """Take note that a group became a supergroup, which Telegram tells in the old one and in the new one."""
    if message.migrate_to_chat_id is not None:
        old, new = address(message.chat.id), address(message.migrate_to_chat_id)
    elif message.migrate_from_chat_id is not None:
        old, new = address(message.migrate_from_chat_id), address(message.chat.id)
    else:
        return None
    sender = Sender(address=new, name="")
    return Incoming(
        key=update_key(update_id), chat=new, sender=sender, sent_at=message.date, is_group=True, moved_from=old
    )


def _press(update_id: int, query: wire.CallbackQuery, now: dt.datetime) -> Incoming | None:
    if query.message is None or not query.data or query.from_user.is_bot:
        return None
    if len(query.data.encode()) > LONGEST_PRESS:  # of no button of ours
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


def _written(update_id: int, message: wire.Message, bot_username: str, *, is_edit: bool) -> Incoming | None:
    """Take a message of a person in a chat or group that has words or a place, or that needs an answer all the same."""
    user, chat = message.from_user, message.chat
    if user is None or user.is_bot or chat.type == ChatType.CHANNEL:
        return None
    if message.date < FIRST_BOTS:
        raise ValueError("older than there are bots")
    place = message.location
    words = clean((message.text or message.caption or "")[: LONGEST_TEXT + 1])  # so that it is seen to be too long
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


def _sender(user: wire.User) -> Sender:
    name = " ".join(clean(user.full_name[:LONGEST_NAME]).split())
    name = name or clean((user.username or "")[:LONGEST_NAME]) or str(user.id)
    language = user.language_code and user.language_code[:LONGEST_CODE]
    return Sender(address=address(user.id), name=name, language=language)


def _needs_answer(message: wire.Message) -> bool:
    """Whether a person expects something of it: not of a sticker, nor of a note by Telegram itself."""
    return bool(
        message.text or message.caption or message.location or any(getattr(message, kind) for kind in WITHOUT_WORDS)
    )


def _is_for_another_bot(text: str, bot_username: str) -> bool:
    command = text.split(maxsplit=1)[0] if text.startswith("/") else ""
    _, at, name = command.partition("@")
    return bool(at) and name.lower() != bot_username.lower()


def _is_reply_to(message: wire.Message, bot_username: str) -> bool:
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
