"""Commands for the thumb: a few everyday words behind a slash.

Each is short for a sentence that the reader understands, or is the assistant's own (start, setup, invite and so on).
"""

from bot.ports.messages import DEFAULT_LANGUAGE
from bot.replies.languages import languages, wording

# What each is short for, read as English; nothing: the assistant's own.
SHORT_FOR = {
    "due": "what's due",
    "days": "how long on the tubs",
    "board": "how is the farm",
    "status": "status",
    "undo": "undo",
    "help": "help",
    "invite": "",
    "export": "",
    "erase": "",
    "setup": "",
}


def listed(language: str = DEFAULT_LANGUAGE) -> list[tuple[str, str]]:
    """Give each command with what it does, as a service lists them."""
    words = wording(language)
    return [(name, words.text(f"command.{name}")) for name in SHORT_FOR]


def by_language() -> dict[str, list[tuple[str, str]]]:
    """Give the list of each language."""
    return {language: listed(language) for language in languages()}


def phrase(command: str) -> str | None:
    """Give the English sentence that a command such as /due is short for; None where it is none of these."""
    name = command.removeprefix("/")
    return SHORT_FOR.get(name) or None if command.startswith("/") else None
