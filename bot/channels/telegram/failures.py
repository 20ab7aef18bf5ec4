"""What may be told of an error of the Bot API: its kind, and of Telegram's own words only those that are known.

A description may repeat a piece of the message that was refused, or the id of a chat.
"""

from telegram import error

KNOWN = (
    "bot can't initiate conversation",
    "bot was blocked",
    "bot was kicked",
    "bot_command_invalid",
    "button_data_invalid",
    "button_url_invalid",
    "can't parse entities",
    "chat not found",
    "group chat was deactivated",
    "group chat was upgraded",
    "message is too long",
    "message text is empty",
    "not enough rights",
    "peer_id_invalid",
    "query is too old",
    "terminated by other getupdates",
    "user is deactivated",
    "user not found",
    "webhook is active",
)


def why(failure: error.TelegramError) -> str:
    """Say what went wrong in words that hold nothing of a message, a person or the token."""
    kind = type(failure).__name__
    if type(failure) in (error.NetworkError, error.TimedOut):  # whose words are our own: see request
        return f"{kind}: {failure.message}"
    words = failure.message.lower()
    known = next((phrase for phrase in KNOWN if phrase in words), None)
    return f"{kind}: {known}" if known else kind
