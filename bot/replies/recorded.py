"""What was written down, restated at a glance: the subject in bold, then the facts, then the time if it was not now.

Not for what follows from it: next_steps tells that.
"""

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any, assert_never

from bot.replies.voice import Voice
from bot.replies.wishes import wish_line
from core.farm.farm import Farm
from core.journal import facts, notices, wants
from core.journal.event import Event
from core.journal.kinds import HatchStage

_NOW = dt.timedelta(minutes=2)  # what happened so shortly before it was said was said at once


def recorded_line(voice: Voice, before: Farm, entry: Event) -> str:
    """Restate an event."""
    body = entry.body
    if isinstance(body, facts.Remark):
        return voice.say("recorded.remark", text=body.text)
    if isinstance(body, _WISHES):
        return wish_line(voice, entry)
    subject, parts = _told(voice, before, entry, body)
    told = [part for part in parts if part]
    if abs(entry.said_at - entry.happened_at) > _NOW:
        told.append(voice.when(entry.happened_at))
    return voice.say("recorded.line", subject=voice.subject(subject), parts=", ".join(told))


_WISHES = (
    wants.Order | wants.Cancel | wants.Plan | wants.Remind | wants.Add | wants.Rename | wants.Set | wants.Pause
    | wants.Resume | wants.Done | wants.Skip | wants.Snooze | wants.Undo | wants.Fix | wants.Joined | wants.Left
    | wants.Duty | wants.Away | notices.Asked | notices.Cautioned
    | notices.Summed
)  # fmt: skip


Told = tuple[str, Iterable[str | None]]


def _told(voice: Voice, before: Farm, entry: Event, body: facts.Fact) -> Told:
    match body:
        case facts.TrayOut():
            return _tray_out(voice, before, entry, body)
        case facts.Placed() | facts.Covered() | facts.Watered() | facts.Mold() | facts.Dry() | facts.Hatch():
            return _tub_fact(voice, body)
        case facts.Reading():
            return _reading(voice, body)
        case facts.Discarded():
            done = voice.say("recorded.discarded" if body.tub else "recorded.emptied")
            return _whom(voice, tub=body.tub, bin_=body.bin), (done, body.reason)
        case facts.Problem():
            subject = _whom(voice, tub=body.tub, bin_=body.bin, place=body.place) or voice.say("problem.farm")
            return subject, (voice.say(f"problem.{body.what}"),)
        case facts.Cleared():
            return voice.bin(body.bin), (voice.say("losses.cleared"),)
        case facts.Remark():
            return body.text, ()
        case _:
            return _bin_fact(voice, body)


def _tray_out(voice: Voice, before: Farm, entry: Event, body: facts.TrayOut) -> Told:
    tray = before.bins[body.bin].tray if body.bin in before.bins else None
    return voice.tub(body.tub or before.next_tub), (
        voice.say("recorded.pulled", bin=voice.bin(body.bin))
        + (" " + voice.say("recorded.after", time=voice.span_of(entry.happened_at - tray.put_in_at)) if tray else ""),
        voice.say(f"recorded.eggs_{body.density}") if body.density else None,
        voice.say("recorded.covered" if body.cover else "recorded.uncovered") if body.cover is not None else None,
        voice.at_place(body.place) if body.place else None,
    )


_TubFact = facts.Placed | facts.Covered | facts.Watered | facts.Mold | facts.Dry | facts.Hatch


def _tub_fact(voice: Voice, body: _TubFact) -> Told:
    match body:
        case facts.Placed():
            where = voice.say("recorded.placed", where=voice.at_place(body.place))
            return _whom(voice, tubs=body.tubs, is_all=body.all), (where,)
        case facts.Covered():
            done = voice.say("recorded.covered" if body.on else "recorded.uncovered")
            return _whom(voice, tubs=body.tubs, tubs_of=body.place, is_all=body.all), (done,)
        case facts.Watered():
            subject = _whom(voice, tubs=body.tubs, tubs_of=body.place, bins=body.bins, is_all=body.all)
            return subject, (voice.say("recorded.watered"),)
        case facts.Mold():
            seen = f"recorded.mold_{body.level}" if body.level else "recorded.mold_seen"
            done = voice.say("recorded.mold_removed" if body.removed else seen)
            return _whom(voice, tubs=body.tubs, tubs_of=body.place, is_all=body.all), (done,)
        case facts.Dry():
            return voice.tubs(body.tubs), (voice.say("recorded.dry"),)
        case facts.Hatch():
            stage = {None: None, HatchStage.STARTED: "recorded.hatch_started", HatchStage.DONE: "recorded.hatch_done"}
            key = stage[body.stage]
            seen = "recorded.pinheads" if body.count is None else "recorded.pinheads_count"
            told = voice.say(seen, count=_count(voice, body.count)) if body.count is not None or key is None else None
            return voice.tub(body.tub), (voice.say(key) if key else None, told)
        case _:
            assert_never(body)


def _reading(voice: Voice, body: facts.Reading) -> Told:
    subject = _whom(voice, tub=body.tub, bin_=body.bin, place=body.place)
    return subject, reading_parts(voice, body.temp_c, body.low_c, body.high_c, body.rh)


def reading_parts(
    voice: Voice, temp_c: float | None, low_c: float | None, high_c: float | None, rh: float | None
) -> list[str]:
    """Give the figures of a reading."""
    parts = [voice.temp(temp_c)] if temp_c is not None else []
    if low_c is not None and high_c is not None:
        parts.append(voice.say("recorded.reading_range", low=voice.temp(low_c), high=voice.temp(high_c)))
    else:
        parts += [voice.temp(t) for t in (low_c, high_c) if t is not None]
    return parts + ([voice.say("recorded.reading_humidity", rh=voice.number(rh))] if rh is not None else [])


_BinFact = (
    facts.Chirp | facts.TrayIn | facts.Stocked | facts.Fed | facts.Dead | facts.Moved | facts.Sized | facts.Adults
    | facts.Cleaned | facts.Counted | facts.Harvested | facts.Sold | facts.Bought
)  # fmt: skip


def _bin_fact(voice: Voice, body: _BinFact) -> Told:  # noqa: C901 - one case a kind
    say = voice.say
    match body:
        case facts.Chirp():
            return voice.bin(body.bin), (say("recorded.chirp"),)
        case facts.TrayIn():
            container = say("recorded.container", container=body.container) if body.container else None
            substrate = (
                say("recorded.substrate", substrate=_substrate(voice, body.substrate)) if body.substrate else None
            )
            return voice.bin(body.bin), (say("recorded.tray_in"), container, substrate)
        case facts.Stocked():
            count = say("recorded.stocked_count", count=_count(voice, body.count)) if body.count else None
            source = say("recorded.from_tubs", tubs=voice.tubs(body.tubs)) if body.tubs else None
            return voice.bin(body.bin), (count or say("recorded.stocked"), source)
        case facts.Fed():
            fed = say("recorded.fed_with", feed=body.feed) if body.feed else say("recorded.fed")
            return _whom(voice, bins=body.bins, is_all_bins=body.all), (fed, _mass(voice, body.mass_g))
        case facts.Dead():
            told = say("recorded.dead_count", n=body.count) if body.count else say("recorded.dead")
            return voice.bin(body.bin), (told, _mass(voice, body.mass_g))
        case facts.Moved():
            what = voice.crickets(body.count, body.size)
            return voice.bin(body.from_), (say("recorded.moved", what=what, to=voice.bin(body.to)),)
        case facts.Sized():
            return voice.bin(body.bin), (say("recorded.sized", size=voice.size(body.size)),)
        case facts.Adults():
            return voice.bin(body.bin), (say("recorded.adults"),)
        case facts.Cleaned():
            return _whom(voice, bins=body.bins, is_all_bins=body.all), (say("recorded.cleaned"),)
        case facts.Harvested():
            what = voice.crickets(body.count, body.size)
            return voice.bin(body.bin), (say("recorded.harvested", what=what), _mass(voice, body.mass_g))
        case facts.Counted():
            return voice.bin(body.bin), (say("recorded.counted", what=voice.crickets(body.count, body.size)),)
        case facts.Sold():
            return _sold(voice, body)
        case facts.Bought():
            return _bought(voice, body)
        case _:
            assert_never(body)


def _bought(voice: Voice, body: facts.Bought) -> Told:
    count = (
        voice.say("recorded.bought_count", n=voice.number(body.count)) if body.count else voice.say("recorded.bought")
    )
    volume = voice.say("recorded.volume", ml=voice.number(body.volume_ml)) if body.volume_ml else None
    prices = _prices(voice, body.price, body.price_each)
    return body.item, (count, _mass(voice, body.mass_g), volume, *prices)


def _sold(voice: Voice, body: facts.Sold) -> Told:
    what = voice.say("recorded.sold", what=voice.crickets(body.count, body.size))
    source = voice.say("recorded.from_bin", bin=voice.bin(body.bin)) if body.bin else None
    prices = _prices(voice, body.price, body.price_each)
    return body.who or voice.say("wanted.someone"), (what, _mass(voice, body.mass_g), source, *prices)


def _whom(  # noqa: PLR0913 - each a way to name what is meant, by keyword
    voice: Voice,
    *,
    tubs: tuple[str, ...] = (),
    bins: tuple[str, ...] = (),
    tub: str | None = None,
    bin_: str | None = None,
    place: str | None = None,
    tubs_of: str | None = None,
    is_all: bool = False,
    is_all_bins: bool = False,
) -> str:
    """Name what a fact is about."""
    told = [voice.tubs((*tubs, *((tub,) if tub else ())))] if tubs or tub else []
    told += [voice.bins((*bins, *((bin_,) if bin_ else ())))] if bins or bin_ else []
    told += [voice.say("recorded.tubs_of", where=voice.at_place(tubs_of))] if tubs_of else []
    told += [place] if place else []
    told += [voice.say("recorded.all_tubs")] if is_all and not told else []
    told += [voice.say("recorded.all_bins")] if is_all_bins and not told else []
    return voice.listed(told)


def known_so_far(voice: Voice, slots: Mapping[str, Any]) -> str:
    """Name the subject and the figures of something whose kind is still open: bin 4, 200."""
    bin_ = slots.get("bin") or slots.get("from") or slots.get("to")
    told = [_whom(voice, tubs=slots.get("tubs", ()), bins=slots.get("bins", ()), tub=slots.get("tub"), bin_=bin_)]
    told += [str(slots["place"])] if slots.get("place") else []
    told += [voice.number(slots["count"])] if slots.get("count") else []
    told += [voice.mass(slots["mass_g"])] if slots.get("mass_g") else []
    return ", ".join(part for part in told if part)


def _substrate(voice: Voice, name: str) -> str:
    key = f"substrate.{name}"
    return voice.say(key) if key in voice.words else name


def _count(voice: Voice, count: int | None) -> str:
    return "" if count is None else voice.number(count)


def _mass(voice: Voice, mass_g: float | None) -> str | None:
    return voice.say("recorded.mass", mass=voice.mass(mass_g)) if mass_g else None


def _prices(voice: Voice, price: float | None, each: float | None) -> tuple[str | None, str | None]:
    currency = voice.farm.settings.currency
    return (
        voice.say("recorded.price", price=f"{price:,.2f}", currency=currency) if price is not None else None,
        voice.say("recorded.price_each", price=f"{each:,.2f}", currency=currency) if each is not None else None,
    )
