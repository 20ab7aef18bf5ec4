"""Wants and orders given, restated.

Not for facts: recorded has those.
"""

import datetime as dt
from typing import assert_never

from bot.replies.duties import arranged
from bot.replies.languages import wording
from bot.replies.voice import Voice
from core.farm.farm import AskedChore
from core.farm.settings import with_setting
from core.journal import notices, wants
from core.journal.event import Event
from core.journal.kinds import Addable, Chore, Setting, Weekday

Wish = (
    wants.Order | wants.Cancel | wants.Plan | wants.Remind | wants.Add | wants.Rename | wants.Set | wants.Pause
    | wants.Resume | wants.Done | wants.Skip | wants.Snooze | wants.Undo | wants.Fix | wants.Joined | wants.Left
    | wants.Duty | wants.Away | notices.Asked | notices.Cautioned
    | notices.Summed
)  # fmt: skip


def wish_line(voice: Voice, entry: Event) -> str:  # noqa: C901 - one case a kind
    """Restate what was wanted."""
    body = entry.body
    match body:
        case wants.Order():
            return _order(voice, body)
        case wants.Plan():
            return _planned(voice, body)
        case wants.Cancel():
            return _called_off(voice, body)
        case wants.Remind():
            return voice.say("wanted.remind", text=body.text, when=voice.when(body.when))
        case wants.Add():
            return _added(voice, body)
        case wants.Rename():
            return _renamed(voice, body)
        case wants.Set():
            return _set(voice, body)
        case wants.Pause():
            return _pause(voice, body)
        case wants.Resume():
            chore = chore_name(voice, body.what).capitalize() if body.what else ""
            return voice.say("wanted.resume_one" if body.what else "wanted.resume_all", chore=chore)
        case wants.Done() | wants.Skip():
            return _ended(voice, body)
        case wants.Snooze():
            minutes = dt.timedelta(minutes=60 if body.minutes is None else body.minutes)
            return voice.say("wanted.snoozed", when=voice.at(body.until or entry.happened_at + minutes))
        case wants.Joined():
            return voice.say("wanted.joined", name=voice.subject(body.name))
        case wants.Left():
            return voice.say("wanted.left", name=voice.subject(body.name))
        case wants.Duty() | wants.Away():
            return arranged(voice, body)
        case wants.Undo() | wants.Fix() | notices.Asked() | notices.Cautioned() | notices.Summed():
            return ""  # these are told by what they change
        case _:
            raise AssertionError(f"no wish: {body!r}")


def chore_name(voice: Voice, chore: str) -> str:
    """Name a chore."""
    return voice.say(f"chore.{chore}")


def traits(voice: Voice, lamp: bool | None, humidifier: bool | None) -> str:
    """Say what a place has, after a comma."""
    keys = [key for key, has in (("trait_lamp", lamp), ("trait_humidifier", humidifier)) if has]
    if lamp is None and humidifier is None:
        return ""
    return ", " + voice.listed([voice.say(f"wanted.{key}") for key in keys or ["trait_none"]])


def _order(voice: Voice, body: wants.Order) -> str:
    key = "wanted.order_every" if body.every else "wanted.order"
    who = voice.subject(body.who or voice.say("wanted.someone"))
    what = voice.crickets(body.count, body.size)
    return voice.say(key, who=who, what=what, day=voice.day(body.due), every=every_so(voice, body.every or ""))


def _planned(voice: Voice, body: wants.Plan) -> str:
    if not body.days:
        return voice.say("wanted.plan_none")
    n, what = len(body.days), voice.crickets(body.count, body.size)
    if body.count is None:
        line = voice.say("wanted.plan_orders", n=n)
    elif body.every is None:
        line = voice.say("wanted.plan_once", what=what, n=n)
    else:
        line = voice.say("wanted.plan", what=what, n=n, every=every_so(voice, body.every))
    day, name = min(zip(body.days, body.bins, strict=False))
    return f"{line} {voice.say('wanted.plan_next', bin=voice.bin(name), day=voice.day(day))}"


def _called_off(voice: Voice, body: wants.Cancel) -> str:
    who = voice.subject(body.who or voice.say("wanted.someone"))
    if body.day is not None:
        return voice.say("wanted.cancel_day", who=who, day=voice.day(body.day))
    return voice.say("wanted.cancel", who=who)


def every_so(voice: Voice, every: str) -> str:
    """Give how often, which the journal has as week or 2 weeks."""
    number, _, unit = every.rpartition(" ")
    key = f"every.{unit.removesuffix('s')}"
    if key not in voice.words or not (number or "1").isdecimal():
        return every
    return voice.say(key, n=int(number or 1))


def _added(voice: Voice, body: wants.Add) -> str:
    name = body.name or ""
    match body.what:
        case Addable.BIN:
            return voice.say("wanted.added_bin", subject=voice.subject(voice.bin(name)))
        case Addable.TUB:
            return voice.say("wanted.added_tub", subject=voice.subject(voice.tub(name)))
        case Addable.PLACE:
            told = traits(voice, body.lamp, body.humidifier)
            return voice.say("wanted.added_place", subject=voice.subject(name), traits=told)
        case _:
            assert_never(body.what)


def _renamed(voice: Voice, body: wants.Rename) -> str:
    letter, number = body.old[:1].upper(), body.old[1:]
    old = voice.say("name.bin" if letter == "B" else "name.tub", n=number, numbers=number)
    if letter not in {"B", "T"} or not number.isdecimal():
        old = body.old
    return voice.say("wanted.renamed", old=voice.subject(old), new=body.new)


def _set(voice: Voice, body: wants.Set) -> str:  # noqa: C901 - one case a setting
    settings = (
        voice.farm.settings if body.what is Setting.NAME else with_setting(voice.farm.settings, body.what, body.to)
    )
    match body.what:
        case Setting.UNITS:
            return voice.say(f"wanted.set_units_{settings.units}")
        case Setting.TIMEZONE:
            return voice.say("wanted.set_timezone", to=body.to, time=voice.hour(voice.now))
        case Setting.WATER_TIMES:
            times = voice.listed([voice.clock(t) for t in settings.water_times])
            return voice.say("wanted.set_water_times", times=times)
        case Setting.QUIET_HOURS:
            if settings.quiet_hours is None:
                return voice.say("wanted.set_quiet_off")
            start, end = (voice.clock(t) for t in settings.quiet_hours)
            return voice.say("wanted.set_quiet_hours", start=start, end=end)
        case Setting.LAY_HOURS:
            return voice.say("wanted.set_lay_hours", hours=voice.number(settings.lay_hours))
        case Setting.SUMMARY:
            return _summary_day(voice, settings.summary_day)
        case Setting.LANGUAGE:
            is_spoken = voice.words is wording(body.to)
            name = wording(body.to).text("language.name")
            return voice.say("wanted.set_language" if is_spoken else "wanted.set_language_other", language=name)
        case Setting.NAME:
            return voice.say("wanted.set_name", subject=voice.subject(body.to))
        case _:
            assert_never(body.what)


def _summary_day(voice: Voice, day: Weekday | None) -> str:
    if day is None:
        return voice.say("wanted.set_summary_off")
    return voice.say("wanted.set_summary", day=voice.words.words("week_days")[list(Weekday).index(day)])


def _pause(voice: Voice, body: wants.Pause) -> str:
    key = f"wanted.pause_{'one' if body.what else 'all'}{'_until' if body.until else ''}"
    chore = chore_name(voice, body.what) if body.what else ""
    return voice.say(key, chore=chore, when=voice.when(body.until) if body.until else "")


def _whom(voice: Voice, asked: AskedChore) -> str:
    if asked.bins:
        return voice.bins(asked.bins)
    return asked.place or voice.tubs(asked.tubs) if asked.tubs else voice.bin(asked.bin) if asked.bin else ""


def _ended(voice: Voice, body: wants.Done | wants.Skip) -> str:
    chore = chore_name(voice, body.chore)
    if isinstance(body, wants.Skip):
        return voice.say("wanted.skipped", chore=chore)
    asked = [voice.farm.asked[n] for n in body.of if n in voice.farm.asked]
    whom = [_whom(voice, a) for a in asked]
    told = voice.listed([w for w in whom if w])
    if asked and body.chore is Chore.BUY_FEED:
        told = voice.say("stock.feed")
    if asked and not told:
        told = chore[:1].upper() + chore[1:]
    if not told:
        return voice.say("wanted.done_unasked", chore=chore)
    return voice.say(f"wanted.done_{body.chore}", subject=voice.subject(told))
