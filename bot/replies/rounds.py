"""Reminders about bins of growing crickets: feed, water, size, cleaning, splitting, the first chirp.

Not for the lay tray nor for the eggs: notices has those.
"""

from collections.abc import Iterator

from bot.replies.voice import Voice
from core.journal.kinds import Chore
from core.rules import feeding
from core.rules.chores import ChoreDue
from core.rules.grow_out import grade_of


def lines(voice: Voice, chore: ChoreDue, *, is_first: bool) -> Iterator[str]:
    """Put a chore of one bin, or of several, in words."""
    names = chore.bins or (chore.bin or "",)
    told = voice.bins(names)
    fields = {"bins": told, "size": voice.size(grade_of(chore)) if chore.chore is Chore.SIZE_CHECK else ""}
    if chore.bins and not is_first:
        yield voice.say(f"push.{chore.chore}_too", **fields)
    else:
        key = f"push.first_chirp_{chore.step}" if chore.chore is Chore.FIRST_CHIRP else f"push.{chore.chore}"
        yield voice.say(key, **(fields | {"bins": voice.subject(told)}))
    if chore.chore is Chore.BIN_WATER:
        yield from _for_the_young(voice, names)
    if chore.chore in {Chore.CLEAN, Chore.SPLIT}:
        yield voice.say(f"push.{chore.chore}_b")


def _for_the_young(voice: Voice, names: tuple[str, ...]) -> Iterator[str]:
    houses = (voice.farm.bins.get(name) for name in names)
    young = [house.name for house in houses if house is not None and feeding.is_young(house, voice.now)]
    if young:
        yield voice.say("push.bin_water_young", bins=voice.subject(voice.bins(young)))
