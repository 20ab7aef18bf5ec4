"""What may be told of an error of the Bot API: its kind, and of Telegram's own words only those that are known.

A description may repeat a piece of the message that was refused, or the id of a chat.
"""

from telegram import error

from bot.channels.telegram.request import FloodError, GroupFullError, ServerTroubleError

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

OUR_OWN = (error.NetworkError, error.TimedOut, FloodError, GroupFullError, ServerTroubleError)  # raised in request
BY_THE_LIBRARY = "unknown error in http implementation"  # it repeats the error, and with it perhaps the address


def why(failure: error.TelegramError) -> str:
    """Say what went wrong in words that hold nothing of a message, a person or the token."""
    kind, words = type(failure).__name__, failure.message.lower()
    if type(failure) in OUR_OWN and not words.startswith(BY_THE_LIBRARY):
        return f"{kind}: {failure.message}"
    known = next((phrase for phrase in KNOWN if phrase in words), None)
    return f"{kind}: {known}" if known else kind
