"""What "fed", "watered" and "cleaned" are about where no name is said: what a reminder asked for just before.

Not for the names that are said: subjects.
"""

import datetime as dt
from typing import Any

from bot.reader.scene import View
from core.farm.farm import AskedChore
from core.journal.kinds import Chore, Holds

STILL_MEANT = dt.timedelta(hours=12)  # a round that was asked for longer ago needs its bins named
_SUBJECTS = frozenset({"tubs", "bins", "place", "all"})


def watered(slots: dict[str, Any], view: View) -> dict[str, Any]:
    """Let a bare "watered" be of the tubs that were asked for, or of the bins where they were."""
    if slots.get("all") and _is_of_bins(view):
        return {**{name: value for name, value in slots.items() if name != "all"}, "bins": _held_bins(view)}
    if _is_said(slots, view):
        return slots
    last = view.scene.farm.last_asked
    if last is not None and last.chore == Chore.WATER and last.ended_at is None:
        return slots | _subject_of(last)
    return slots | _round(Chore.BIN_WATER, view)


def fed(slots: dict[str, Any], view: View) -> dict[str, Any]:
    """Let a bare "fed" be of the bins that were asked for."""
    return slots if _is_said(slots, view) else slots | _round(Chore.FEED, view)


def cleaned(slots: dict[str, Any], view: View) -> dict[str, Any]:
    """Let a bare "cleaned" be of the bins that were asked for."""
    return slots if _is_said(slots, view) else slots | _round(Chore.CLEAN, view)


def _is_said(slots: dict[str, Any], view: View) -> bool:
    return bool(_SUBJECTS & set(slots)) or any("<vague>" in t.tags for t in view.tokens)


def _round(chore: Chore, view: View) -> dict[str, Any]:
    """Give the subject of the newest reminder for a chore, where it is not ended nor long ago."""
    farm, at = view.scene.farm, view.scene.at
    asked = max((a for a in farm.asked.values() if a.chore == chore), key=lambda a: (a.at, a.number), default=None)
    if asked is None or asked.ended_at is not None or at - asked.at > STILL_MEANT:
        return {}
    return _subject_of(asked)


def _subject_of(asked: AskedChore) -> dict[str, Any]:
    if asked.place:
        return {"place": asked.place}
    if asked.bins or asked.bin:
        return {"bins": list(asked.bins) or [asked.bin]}
    return {"tubs": list(asked.tubs)} if asked.tubs else {}


def _is_of_bins(view: View) -> bool:
    """Tell whether "all" are all bins: they were called so, or there are no tubs."""
    said = view.chunks("<all>")
    farm = view.scene.farm
    return bool(farm.bins) and (
        (bool(said) and all("<bin>" in t.tags and "<tub>" not in t.tags for t in said)) or not farm.tubs.incubating
    )


def _held_bins(view: View) -> list[str]:
    """Name the bins that something lives in; all, where nobody said so of any."""
    bins = view.scene.farm.bins
    return [name for name, house in bins.items() if house.cohorts or house.holds is not Holds.NOTHING] or list(bins)
