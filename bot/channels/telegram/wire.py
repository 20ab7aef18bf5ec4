"""What we read of an update, as the Bot API writes it.

Ours, with the names of python-telegram-bot, because the library's records of a message have a hundred fields and take
ten times as long to make. A field that is not named here is passed over; one of the wrong form raises ValidationError.
"""

import datetime as dt
from typing import Any

import msgspec


class User(msgspec.Struct, frozen=True, kw_only=True):
    """A person or a bot."""

    id: int
    is_bot: bool
    first_name: str
    last_name: str | None = None
    username: str | None = None
    language_code: str | None = None

    @property
    def full_name(self) -> str:
        """Give both names."""
        return f"{self.first_name} {self.last_name}" if self.last_name else self.first_name


class Chat(msgspec.Struct, frozen=True, kw_only=True):
    """A chat with one person, a group or a channel."""

    id: int
    type: str


class Location(msgspec.Struct, frozen=True, kw_only=True):
    """A place on earth."""

    latitude: float
    longitude: float


class Message(msgspec.Struct, frozen=True, kw_only=True):
    """A message; of what it holds besides words only whether it does."""

    message_id: int
    chat: Chat
    seconds: int = msgspec.field(name="date")  # since 1970; 0 where Telegram no longer has the message
    from_user: User | None = msgspec.field(default=None, name="from")
    text: str | None = None
    caption: str | None = None
    location: Location | None = None
    reply_to_message: "Message | None" = None
    forum_topic_created: Any = None
    migrate_to_chat_id: int | None = None
    migrate_from_chat_id: int | None = None
    animation: Any = None
    audio: Any = None
    document: Any = None
    photo: Any = None
    video: Any = None
    video_note: Any = None
    voice: Any = None

    @property
    def date(self) -> dt.datetime:
        """Give the time that it was sent, in UTC; raise OverflowError where there is no such time."""
        return dt.datetime.fromtimestamp(self.seconds, dt.UTC)


class CallbackQuery(msgspec.Struct, frozen=True, kw_only=True):
    """A button that was pressed."""

    id: str
    from_user: User = msgspec.field(name="from")
    message: Message | None = None
    data: str | None = None


class Update(msgspec.Struct, frozen=True, kw_only=True):
    """What happened."""

    update_id: int
    message: Message | None = None
    edited_message: Message | None = None
    callback_query: CallbackQuery | None = None
