"""Trouble in words: what to do about it, what is asked about a die-off, what the answers come to.

Not for when which is said: the assistant's diagnosing.
"""

from collections.abc import Sequence

from bot.replies.voice import Voice
from core.journal.kinds import Trouble
from core.rules.losses import Losses

SICK = "sick"
ASKED = ("heat", "water", "ammonia", "feed", "spray", SICK)  # the likelier and the quicker to mend first


def advice(voice: Voice, what: Trouble) -> str:
    """Say what to do about trouble; nothing where it is of no known sort, or where it is not known of which bin."""
    key = f"losses.{what}"
    if what is Trouble.SICK:
        return _say(voice, key, bin=voice.say("problem.farm"))
    return _say(voice, key) if key in voice.words else ""


def unusual(voice: Voice, name: str, losses: Losses) -> str:
    """Say that more died than is usual."""
    figures = {"dead": losses.dead, "usual": round(losses.usual), "limit": losses.limit}
    return voice.say("losses.unusual", bin=_named(voice, name), **{k: voice.number(n) for k, n in figures.items()})


def held(voice: Voice, name: str) -> str:
    """Say that nothing moves until a bin is all clear."""
    return voice.say("losses.held", bin=voice.bin(name)) + " " + voice.say("losses.sure")


def question(voice: Voice, name: str, topic: str) -> str:
    """Ask about one possible cause."""
    return _say(voice, f"losses.ask_{topic}", bin=_named(voice, name))


def causes(voice: Voice, name: str, found: Sequence[str]) -> list[str]:
    """Say what is likely, and what to do: a disease first."""
    ordered = sorted(found, key=lambda topic: topic != SICK)
    return [_say(voice, f"losses.{topic}", bin=voice.bin(name)) for topic in ordered] or [voice.say("losses.nothing")]


def _named(voice: Voice, name: str) -> str:
    return voice.subject(voice.bin(name))


def _say(voice: Voice, key: str, **fields: object) -> str:
    temps = {f"t{f}": voice.temp((f - 32) / 1.8) for f in (60, 85, 90, 95)}
    return voice.say(key, **temps, **fields)
