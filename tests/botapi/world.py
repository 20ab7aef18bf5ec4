"""The people, chats and messages of a made-up Telegram."""

from dataclasses import dataclass, field
from typing import Any

from tests.botapi.markup import passages


@dataclass(frozen=True, kw_only=True)
class Person:
    """Somebody with an account; the chat with the bot has the same number."""

    id: int
    name: str
    username: str | None = None
    language: str = "en"

    @property
    def user(self):
        """Write the person as the Bot API does."""
        user = {"id": self.id, "is_bot": False, "first_name": self.name, "language_code": self.language}
        return user | ({"username": self.username} if self.username else {})

    @property
    def chat(self):
        """Write the chat between the person and the bot."""
        return {"id": self.id, "type": "private", "first_name": self.name}


@dataclass(frozen=True, kw_only=True)
class Group:
    """A group that the bot is in."""

    id: int
    title: str
    kind: str = "supergroup"

    @property
    def chat(self):
        """Write the group as the Bot API does."""
        return {"id": self.id, "type": self.kind, "title": self.title}


@dataclass(frozen=True, kw_only=True)
class File:
    """A file that came with a call."""

    name: str
    content: bytes


@dataclass(frozen=True, kw_only=True)
class Sent:
    """A message of the bot, as the person sees it."""

    chat: int
    message_id: int
    text: str  # without markup
    entities: list[dict[str, Any]] = field(default_factory=list)
    markup: dict[str, Any] = field(default_factory=dict)  # reply_markup as it was given
    at: float = 0.0  # time of the loop
    file: File | None = None

    @property
    def bold(self):
        """Give the bold passages."""
        return passages(self.text, self.entities, "bold")

    @property
    def buttons(self):
        """Give the buttons under the message, row by row."""
        return self.markup.get("inline_keyboard", [])

    @property
    def labels(self):
        """Give what is written on the buttons under the message."""
        return [button["text"] for row in self.buttons for button in row]

    def data(self, label):
        """Give what a button sends."""
        return next(button["callback_data"] for row in self.buttons for button in row if button["text"] == label)


@dataclass(frozen=True, kw_only=True)
class Call:
    """One call of a method by the bot."""

    method: str
    params: dict[str, Any]
    at: float  # time of the loop
