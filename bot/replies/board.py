"""A look at the whole farm on one screen: places and tubs, bins, what is due, the next order.

Not for one of them in full: status.
"""

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence

from bot.replies.status import reading_of
from bot.replies.voice import Voice
from bot.replies.wishes import chore_name
from bot.replies.worklist import whereabouts
from core.farm.farm import Bin, Tub, number_in
from core.farm.orders import EARLY
from core.journal.kinds import Holds
from core.rules import hours
from core.rules.agenda import Agenda
from core.rules.chores import ChoreDue
from core.rules.forecasts import Forecast
from core.rules.growth import growth_of
from core.rules.promises import promises
from core.rules.supply import alive_now
from core.science.availability import Amount
from core.science.development import HatchWindow

MOST_TUBS = 10
MOST_BINS = 12
MOST_DUE = 5
SEEN_LATELY = dt.timedelta(days=5)  # a size that was seen is not reckoned anew before


def board(voice: Voice, work: Agenda, coming: Sequence[ChoreDue], known: Mapping[str, Forecast]) -> str:
    """Say how the whole farm stands."""
    farm = voice.farm
    if not farm.bins and not farm.tubs:
        return voice.say("status.farm_empty")
    lines = [voice.subject(voice.farm_name()), *_tubs(voice, known), *_bins(voice, known)]
    return "\n".join([*lines, *_due(voice, work, coming), *_order(voice)])


def _tubs(voice: Voice, known: Mapping[str, Forecast]) -> Iterator[str]:
    """Name each place with its last reading, and its tubs below it, the nearest to hatch first."""
    waiting = sorted(voice.farm.incubating(), key=lambda tub: _soonest(tub, known))
    kept = waiting[:MOST_TUBS]
    for place in dict.fromkeys([*(tub.place for tub in kept), *voice.farm.places]):
        tubs = [tub for tub in kept if tub.place == place]
        found = voice.farm.places.get(place or "")
        name = voice.subject(place or voice.say("name.somewhere"))
        if found is not None and found.readings:
            last = found.readings[-1]
            yield voice.say("board.place", place=name, reading=reading_of(voice, last), when=voice.when(last.at))
        elif tubs:
            yield voice.say("board.place_unread", place=name)
        yield from (voice.say("board.tub", tub=voice.tub(tub.name), state=_state(voice, tub, known)) for tub in tubs)
    if len(waiting) > MOST_TUBS:
        yield voice.say("board.more_tubs", n=len(waiting) - MOST_TUBS)


def _soonest(tub: Tub, known: Mapping[str, Forecast]) -> dt.datetime:
    if tub.hatch_at is not None:
        return tub.hatch_at
    window = known[tub.name].window if tub.name in known else None
    return window.likely if isinstance(window, HatchWindow) else dt.datetime.max.replace(tzinfo=dt.UTC)


def _state(voice: Voice, tub: Tub, known: Mapping[str, Forecast]) -> str:
    """Say in a few words how far a tub is."""
    window = known[tub.name].window if tub.name in known else None
    marks = [voice.say(f"board.{mark}") for mark, is_so in (("mold", tub.mold_at), ("dry", _is_dry(tub))) if is_so]
    if tub.hatch_at is not None:
        told = voice.say("board.hatching")
    elif isinstance(window, HatchWindow) and window.latest < voice.now:
        told = voice.say("board.overdue")
    elif isinstance(window, HatchWindow):
        told = voice.say("board.days", n=max(voice.days_to(window.likely), 0), day=voice.day(window.likely))
    else:
        told = voice.say("board.no_day")
    return voice.listed([told, *marks])


def _is_dry(tub: Tub) -> bool:
    return tub.dry_at is not None and (tub.watered_at is None or tub.watered_at < tub.dry_at)


def _bins(voice: Voice, known: Mapping[str, Forecast]) -> Iterator[str]:
    """Give each bin that holds something a line: what, what size, about how many."""
    alive = alive_now(voice.farm, known, voice.now)
    numbers = dict(alive.sources(alive.days[0]))
    bins = sorted(voice.farm.bins.values(), key=lambda house: number_in(house.name, "B"))
    houses = [house for house in bins if house.holds is not Holds.NOTHING or house.tray is not None]
    for house in houses[:MOST_BINS]:
        parts = [*_holds(voice, house), *_marks(voice, house, numbers.get(house.name))]
        yield voice.say("board.bin", bin=voice.subject(voice.bin(house.name)), state=", ".join(parts))
    if len(houses) > MOST_BINS:
        yield voice.say("board.more_bins", n=len(houses) - MOST_BINS)
    empty = [house.name for house in bins if house not in houses]
    if empty:
        yield voice.say("board.empty", n=len(empty), bins=voice.bins(empty[:MOST_BINS]))


def _holds(voice: Voice, house: Bin) -> Iterator[str]:
    """Say what lives in a bin: adults, or the size of the growing ones as seen or reckoned."""
    is_seen = any(voice.now - at < SEEN_LATELY for at, _ in house.sizes)
    grown = None if is_seen or house.holds is Holds.ADULTS else growth_of(voice.farm, house, voice.now)
    if house.holds is Holds.ADULTS:
        yield voice.say("status.adults")
    elif grown is not None:
        yield voice.size(grown.body.size)
    elif house.holds is not Holds.NOTHING:
        yield voice.size(house.size) if house.size is not None else voice.say(f"status.{house.holds}")


def _marks(voice: Voice, house: Bin, there: Amount | None) -> Iterator[str]:
    if there is not None:
        yield voice.say("board.about", count=voice.rounded(there.likely))
    if house.tray is not None:
        yield voice.say("board.tray")
    if house.held_since is not None:
        yield voice.say("board.held")


def _due(voice: Voice, work: Agenda, coming: Sequence[ChoreDue]) -> Iterator[str]:
    """Say what is due, else what comes next."""
    if work.open:
        rows: dict[str, list[str]] = {}
        for chore in work.open:
            rows.setdefault(whereabouts(voice, chore), []).append(chore_name(voice, chore.chore))
        yield voice.say("board.due", n=len(work.open))
        for where, chores in list(rows.items())[:MOST_DUE]:
            yield voice.say("board.chore", where=where, chore=", ".join(chores))
        if len(rows) > MOST_DUE:
            yield voice.say("board.more_due", n=sum(len(chores) for chores in list(rows.values())[MOST_DUE:]))
        return
    yield voice.say("status.farm_nothing_due")
    later = [chore for chore in coming if chore.due > voice.now]
    if later:
        first = min(later, key=lambda chore: chore.due)
        told = {"where": whereabouts(voice, first), "chore": chore_name(voice, first.chore)}
        yield voice.say("board.next", when=voice.when(first.due), **told)


def _order(voice: Voice) -> Iterator[str]:
    until = hours.local(voice.farm, voice.now).date() + EARLY
    found = promises(voice.farm, voice.now, until)
    if found:
        who = found[0].who or voice.say("wanted.someone")
        what = voice.crickets(found[0].count, found[0].size)
        yield voice.say("board.order", who=who, what=what, day=voice.day(found[0].due))
