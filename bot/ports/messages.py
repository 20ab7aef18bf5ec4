"""What comes in from a chat and what goes out to it, free of any messaging service.

Text that goes out carries two control characters for bold, so that a channel can render it its own way;
a channel takes control characters out of all that comes in.
"""

import datetime as dt
from typing import Any

import msgspec

DEFAULT_LANGUAGE = "en"  # of people of whom nothing else is known
LONGEST_TEXT = 4096  # letters of a message that is read; what is longer is refused, and its text kept nowhere

BOLD_ON = "\x02"
BOLD_OFF = "\x03"


def bold(text: str) -> str:
    """Mark text as bold."""
    return f"{BOLD_ON}{text}{BOLD_OFF}"


def plain(text: str) -> str:
    """Take the marks for bold out."""
    return text.replace(BOLD_ON, "").replace(BOLD_OFF, "")


class Sender(msgspec.Struct, frozen=True, kw_only=True):
    """Who wrote a message."""

    address: str  # unique over all channels: `telegram:123`, `terminal:noor`, `replay:Noor`
    name: str  # as the service gives it
    language: str | None = None  # as the service gives it: en, es-MX


class Incoming(msgspec.Struct, frozen=True, kw_only=True):
    """A message or a button press, as it is kept in the inbox until it is handled."""

    key: str  # unique over all channels: `telegram:update:42`
    chat: str  # address of the chat that it came from and that the answer goes to
    sender: Sender
    sent_at: dt.datetime  # when the person sent it
    text: str = ""  # empty for a press or a location
    press: str | None = None  # a button's data
    message: str = ""  # the message's own key, the same for its edits: `telegram:-100:17`
    is_edit: bool = False
    is_group: bool = False
    is_addressed: bool = True  # in a group: whether it speaks to the assistant by name, reply or command
    location: tuple[float, float] | None = None  # latitude, longitude in degrees
    moved_from: str = ""  # no message, but the news that this chat is the one that had this address before


class Button(msgspec.Struct, frozen=True, kw_only=True):
    """A button under a message."""

    label: str
    data: str  # at most 64 bytes in UTF-8, version first: see bot.assistant.buttons
    url: str | None = None


Rows = tuple[tuple[Button, ...], ...]


class About(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What a message records, asks for and states, for `replay` and for tests; JSON values only."""

    events: list[dict[str, Any]] = msgspec.field(default_factory=list)
    chores: list[dict[str, Any]] = msgspec.field(default_factory=list)
    forecast: list[dict[str, Any]] = msgspec.field(default_factory=list)


class Attachment(msgspec.Struct, frozen=True, kw_only=True):
    """A file that goes with a message, as text; channels write it in UTF-8 with a mark, which spreadsheets go by."""

    name: str  # letters, digits, dots and hyphens
    text: str

    @property
    def content(self) -> bytes:
        """Give the file's bytes."""
        return self.text.encode("utf-8-sig")


class Outgoing(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A message to one chat, as it is kept in the outbox until it is sent."""

    key: str  # unique with the chat: a reminder or reply is posted once
    chat: str
    text: str
    buttons: Rows = ()
    is_push: bool = False  # sent on the assistant's own account
    asks_location: bool = False  # the channel may offer to share a location
    location_label: str = ""  # what its button for that says
    answers_press: str | None = None  # key of the press that this answers
    is_silent: bool = False  # it need not wake anybody
    if_late: str = ""  # a line that goes under the text where it leaves late
    file: Attachment | None = None
    is_kept: bool = True  # False: once it is sent, nothing stays that tells who it went to
    about: About = About()
