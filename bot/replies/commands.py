"""Commands for the thumb: a few everyday words behind a slash.

Each is short for a sentence that the reader understands, or is the assistant's own (start, setup, invite).
"""

from bot.replies.voice import DEFAULT_LANGUAGE, wording

NAMES = ("due", "days", "status", "undo", "help", "invite", "setup")


def listed(language: str = DEFAULT_LANGUAGE) -> list[tuple[str, str]]:
    """Give each command with what it does, as a service lists them."""
    words = wording(language)
    return [(name, words.words(f"command.{name}")[0]) for name in NAMES]


def phrase(command: str) -> str | None:
    """Give the English sentence that a command such as /due is short for; None where it is none of these."""
    name = command.removeprefix("/")
    if not command.startswith("/") or name not in NAMES:
        return None
    return wording(DEFAULT_LANGUAGE).words(f"command.{name}")[1] or None
