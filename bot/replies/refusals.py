"""What cannot be so, in one clear sentence, and what to say instead.

Not for what is unwise: next_steps has the warnings.
"""

import datetime as dt
from typing import assert_never

from bot.replies.languages import own_names
from bot.replies.voice import Voice
from core.farm.farm import Tub
from core.farm.faults import Fault, Finding
from core.units import SizeGrade

LATELY = dt.timedelta(days=2)  # a tray that came out so lately is the one that is meant


def refusal(voice: Voice, finding: Finding) -> str:  # noqa: C901 - one case a fault
    """Put a finding in words."""
    subject, when = finding.subject or "", voice.when(finding.at) if finding.at else ""
    at = voice.at(finding.at) if finding.at else ""
    match finding.fault:
        case Fault.TEMPERATURE:
            return voice.say("refused.temperature", temp=voice.temp(finding.figure or 0.0))
        case Fault.NUMBER:
            return voice.say("refused.number", number=voice.number(finding.figure or 0.0))
        case Fault.HUMIDITY:
            return voice.say("refused.humidity", rh=voice.number(finding.figure or 0.0))
        case Fault.NO_TRAY:
            return _no_tray(voice, subject)
        case Fault.BEFORE_TRAY:
            return voice.say("refused.before_tray", bin=voice.bin(subject), when=at)
        case Fault.TRAY_ALREADY_IN:
            return voice.say("refused.tray_already_in", bin=_capital(voice.bin(subject)), when=when)
        case Fault.NO_SUCH_TUB:
            return no_such_tub(voice, subject, key="refused.no_such_tub")
        case Fault.TUB_GONE | Fault.BEFORE_PULL:
            return voice.say(f"refused.{finding.fault}", tub=_capital(voice.tub(subject)), when=at)
        case Fault.TUB_TAKEN:
            return voice.say("refused.tub_taken", tub=voice.tub(subject))
        case Fault.BAD_SETTING:
            return voice.say(f"refused.bad_setting_{subject}", languages=voice.listed(own_names()))
        case Fault.EMPTY_BIN | Fault.SAME_BIN | Fault.TOO_MANY:
            known = voice.number(finding.figure or 0.0)
            return voice.say(f"refused.{finding.fault}", bin=_capital(voice.bin(subject)), when=when, known=known)
        case Fault.SHRUNK:
            return voice.say(
                "refused.shrunk", bin=_capital(voice.bin(subject)), size=voice.size(SizeGrade(finding.word or ""))
            )
        case Fault.DUE_PAST:
            return voice.say("refused.due_past", day=_capital(voice.day(dt.date.fromisoformat(finding.word or ""))))
        case Fault.HELD:
            return voice.say("refused.held", bin=_capital(voice.bin(subject)), name=voice.bin(subject), when=when)
        case Fault.NO_SUCH_PERSON | Fault.LOOKS_ON:
            return voice.say(f"refused.{finding.fault}", name=subject, names=voice.listed(sorted(voice.farm.people)))
        case Fault.IN_FUTURE | Fault.LOW_ABOVE_HIGH | Fault.NO_FIGURE | Fault.BAD_NAME:
            return voice.say(f"refused.{finding.fault}", when=when)
        case _:
            assert_never(finding.fault)


def no_such_tub(voice: Voice, name: str, *, key: str = "refused.no_such_tub_asked") -> str:
    """Say that there is no such tub, where it was asked about; another key for where it was to be recorded."""
    tubs = voice.farm.tubs
    newest = f"T{tubs.highest}" if tubs.highest else next(iter(tubs), None)
    if newest is None:
        return voice.say("refused.no_such_tub_empty", tub=voice.tub(name))
    return voice.say(key, tub=voice.tub(name), newest=voice.tub(newest))


def _no_tray(voice: Voice, name: str) -> str:
    pulled = _pulled_lately(voice, name)
    if pulled is not None and pulled.pulled_at is not None:
        when, tub = voice.at(pulled.pulled_at), voice.tub(pulled.name)
        return voice.say("refused.no_tray_pulled", bin=voice.bin(name), when=when, tub=tub)
    lines = [voice.say("refused.no_tray", bin=_capital(voice.bin(name)))]
    for house in voice.farm.bins_with_tray()[:2]:
        if house.tray is not None:
            since = voice.when(house.tray.put_in_at)
            lines.append(voice.say("refused.other_tray", bin=_capital(voice.bin(house.name)), when=since))
    return "\n".join(lines)


def _pulled_lately(voice: Voice, name: str) -> Tub | None:
    """Give the tub that a bin's last tray became, where that was in the last days."""
    house = voice.farm.bins.get(name)
    if house is None or house.tray_out_at is None or voice.now - house.tray_out_at > LATELY:
        return None
    return voice.farm.tubs.find(house.became or "")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
