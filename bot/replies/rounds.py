"""Reminders about bins of growing crickets: feed, water, size, cleaning, splitting, the first chirp.

Not for the lay tray nor for the eggs: notices has those.
"""

from collections.abc import Iterator, Sequence

from bot.replies.voice import Voice
from core.journal.kinds import Chore
from core.rules import feeding, growth, space
from core.rules.chores import ChoreDue
from core.rules.grow_out import grade_of
from core.units import SizeGrade

DAILY = (Chore.FEED, Chore.BIN_WATER)
_FIRST_GRADE = SizeGrade.EIGHTH


def round_of(chore: ChoreDue) -> str:
    """Name the round of several bins that a chore belongs to; empty for work in one bin or place."""
    if chore.bins:
        return "daily" if chore.chore in DAILY else chore.chore.value
    return ""


def daily(voice: Voice, chores: Sequence[ChoreDue]) -> Iterator[str]:
    """Put the morning's round in words: one line where all bins want the same."""
    wanting = {chore.chore: chore.bins for chore in chores}
    fed, watered = wanting.get(Chore.FEED, ()), wanting.get(Chore.BIN_WATER, ())
    both = [name for name in fed if name in watered]
    for key, names in (
        ("push.feed_water", both),
        ("push.feed", [name for name in fed if name not in both]),
        ("push.bin_water", [name for name in watered if name not in both]),
    ):
        if names:
            yield voice.say(key, bins=voice.subject(voice.bins(names)))
    houses = (voice.farm.bins.get(name) for name in watered)
    young = [house.name for house in houses if house is not None and feeding.is_young(house, voice.now)]
    if young and len(young) == len(watered):
        yield voice.say("push.bin_water_all_young")
    elif young:
        yield voice.say("push.bin_water_young", bins=voice.subject(voice.bins(young)))


def lines(voice: Voice, chore: ChoreDue) -> Iterator[str]:
    """Put a chore of one bin, or of several, in words."""
    told = voice.subject(voice.bins(chore.bins or (chore.bin or "",)))
    match chore.chore:
        case Chore.FEED | Chore.BIN_WATER:
            yield from daily(voice, [chore])
        case Chore.SIZE_CHECK:
            yield from _size(voice, chore, told)
        case Chore.SPLIT:
            yield from _split(voice, chore, told)
        case Chore.FIRST_CHIRP:
            yield voice.say(f"push.first_chirp_{chore.step}", bins=told)
        case _:
            yield voice.say("push.clean", bins=told)
            yield voice.say("push.clean_b")


def _size(voice: Voice, chore: ChoreDue, told: str) -> Iterator[str]:
    grade = grade_of(chore.step)
    yield voice.say("push.size_check", bins=told, size=voice.size(grade))
    house = voice.farm.bins.get(chore.bin or "")
    if grade is _FIRST_GRADE and house is not None and growth.is_assumed(house):
        yield voice.say("push.size_check_b", temp=voice.temp(growth.BIN_C))


def _split(voice: Voice, chore: ChoreDue, told: str) -> Iterator[str]:
    house = voice.farm.bins.get(chore.bin or "")
    many = None if house is None else space.crowd(house, voice.now)
    yield voice.say("push.split", bins=told)
    if many is not None:
        yield voice.say("push.split_b", many=voice.rounded(round(many)), most=voice.rounded(space.ROOM))
