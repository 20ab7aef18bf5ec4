"""How things are put for one person: the words of a language, the farm's units, days and hours on its clocks.

A sentence is never written in code: it stands in wording/<language>.toml under a key, with its fields in braces.
Not for what to say: the other modules of this package choose that.
"""

import datetime as dt
import re
import string
from collections.abc import Mapping, Sequence
from functools import lru_cache

from bot.ports.messages import DEFAULT_LANGUAGE, bold
from bot.replies.languages import Wording, wording
from core.farm.farm import Farm
from core.rules import hours
from core.science.development import Window
from core.units import CM2_PER_SQUARE_INCH, SizeGrade, TemperatureUnit, from_celsius

_DAYS_NAMED = 6  # a window no longer than this is told by the names of its days alone
_FORMS = ("the", "of", "at")  # in which a sentence may ask for a name or a time: {tub:the}


class Phrase(str):
    """A name or a time, with the forms that a language may need of it: caja 2, la caja 2, de la caja 2."""

    __slots__ = ("forms",)

    def __new__(cls, text: str, forms: Mapping[str, str]) -> "Phrase":
        """Keep the forms beside the text."""
        made = super().__new__(cls, text)
        made.forms = forms
        return made

    forms: Mapping[str, str]


_FORM_ASKED = re.compile(rf":(?:{'|'.join(_FORMS)})\}}")


@lru_cache(maxsize=2048)  # few sentences do, and filling in their forms takes ten times as long
def _asks_for_form(text: str) -> bool:
    return _FORM_ASKED.search(text) is not None


class _Filler(string.Formatter):
    """Fills a sentence's fields; one that asks for a form of what has no forms gets what the language does with it."""

    def __init__(self, words: Wording) -> None:
        self._words = words

    def format_field(self, value: object, spec: str) -> str:
        if spec not in _FORMS:
            return str(super().format_field(value, spec))
        if isinstance(value, Phrase) and spec in value.forms:
            return value.forms[spec]
        return self._words.text(f"{spec}.other").format(name=value) if value else ""


class Voice:
    """Words, units and clocks for one answer."""

    def __init__(self, farm: Farm, now: dt.datetime, language: str = DEFAULT_LANGUAGE) -> None:
        self.farm = farm
        self.now = now
        self.words = wording(language)

    def say(self, key: str, **fields: object) -> str:
        """Give a sentence; with a field `n` of other than 1 its plural, where there is one."""
        plural = f"{key}_many"
        if "n" in fields and fields["n"] != 1 and plural in self.words:
            key = plural
        text = self.words.text(key)
        return _Filler(self.words).vformat(text, (), fields) if _asks_for_form(text) else text.format(**fields)

    # names

    def bin(self, name: str) -> str:
        """Give a bin's name: bin 2, bin 6 (nursery)."""
        known = self.farm.bins.get(name)
        nickname = f" ({known.nickname})" if known is not None and known.nickname else ""
        if name[:1] != "B" or not name[1:].isdigit():
            return name + nickname
        return self._named("bin", nickname, n=name[1:])

    def _named(self, what: str, behind: str = "", **fields: str) -> Phrase:
        forms = {form: self.say(f"{form}.{what}", **fields) + behind for form in ("the", "of")}
        return Phrase(self.say(f"name.{what}", **fields) + behind, forms)

    def tub(self, name: str) -> str:
        """Give a tub's name: tub 9."""
        return self.tubs((name,))

    def tubs(self, names: Sequence[str]) -> str:
        """Give tubs in one breath: tubs 5, 7 and 9."""
        numbers = [n[1:] for n in sorted(names, key=_by_number) if n[:1] == "T" and n[1:].isdigit()]
        others = [n for n in names if not (n[:1] == "T" and n[1:].isdigit())]
        if not numbers:
            return self.listed(others)
        told = self._named("tubs" if len(numbers) > 1 else "tub", numbers=self.listed(numbers))
        return self.listed([told, *others]) if others else told

    def bins(self, names: Sequence[str]) -> str:
        """Give bins in one breath."""
        numbers = [n[1:] for n in sorted(names, key=_by_number) if n[:1] == "B" and n[1:].isdigit()]
        if len(names) == 1 or len(numbers) < len(names):
            return self.listed([self.bin(n) for n in names])
        return self._named("bins", numbers=self.listed(numbers))

    def place(self, name: str) -> str:
        """Give a place with its article: the lamp shelf."""
        return self.say("name.place", place=name)

    def at_place(self, name: str) -> str:
        """Say where: on the lamp shelf, in the humid room."""
        is_inside = name.casefold().split()[-1:] and name.casefold().split()[-1] in self.words.words("name.inside")
        return self.say("name.in_place" if is_inside else "name.on_place", place=name)

    def farm_name(self) -> str:
        """Give the farm's name, or words for one that has none."""
        return self.farm.name if self.farm.name != Farm().name else self.say("name.farm")

    def listed(self, items: Sequence[str]) -> str:
        """Put items in one breath: 5, 7 and 9."""
        if len(items) < 2:
            return items[0] if items else ""
        last = items[-1].casefold()
        is_other = last.startswith(tuple(self.words.words("and.other_before")))
        is_other = is_other and not last.startswith(tuple(self.words.words("and.but_not_before")))
        return self.say("and.other" if is_other else "and.usual", first=", ".join(items[:-1]), last=items[-1])

    def subject(self, text: str) -> str:
        """Give the subject of a line, in bold, with a capital."""
        return bold(text[:1].upper() + text[1:])

    # figures

    def temp(self, temp_c: float) -> str:
        """Give a temperature in the farm's unit."""
        unit = self.farm.settings.units
        shown = from_celsius(temp_c, unit)
        told = f"{shown:.0f}" if unit is TemperatureUnit.FAHRENHEIT else f"{shown:.1f}".removesuffix(".0")
        return f"{told}°{unit}"

    def number(self, value: float) -> str:
        """Give a number without a needless fraction."""
        return f"{value:,.0f}" if float(value).is_integer() else f"{value:,.1f}"

    def area(self, cm2: float) -> str:
        """Give a surface in the farm's unit, to two digits."""
        is_metric = self.farm.settings.units is TemperatureUnit.CELSIUS
        return self.say(
            "size.cm2" if is_metric else "size.square_inches",
            area=self.rounded(cm2 / (1.0 if is_metric else CM2_PER_SQUARE_INCH)),
        )

    def rounded(self, value: float) -> str:
        """Give a number that is an estimate, to two digits."""
        return self.number(float(f"{value:.2g}"))

    def size(self, grade: SizeGrade) -> str:
        """Give a size grade: pinheads, 1/2 in."""
        if grade in {SizeGrade.PINHEAD, SizeGrade.ADULT}:
            return self.say(f"size.{grade}")
        return self.say("size.inches", inches=grade.removesuffix("in"))

    def crickets(self, count: int | None, size: SizeGrade | None) -> str:
        """Give crickets by number and size: 200 of 1/2 in, 500 pinheads."""
        if count is None:
            return self.size(size) if size else self.say("recorded.crickets")
        if size is None:
            return self.say("recorded.crickets_count", count=self.number(count))
        is_named = size in {SizeGrade.PINHEAD, SizeGrade.ADULT}
        key = "recorded.crickets_grade" if is_named else "recorded.crickets_size"
        return self.say(key, count=self.number(count), size=self.size(size))

    def mass(self, mass_g: float) -> str:
        """Give a mass."""
        return f"{self.number(round(mass_g / 1000, 1))} kg" if mass_g >= 1000 else f"{mass_g:,.0f} g"

    def grams(self, mass_g: float) -> str:
        """Give the mass of a cricket, to two digits."""
        return f"{mass_g:.2g} g"

    def span_of(self, length: dt.timedelta) -> str:
        """Give a length of time in hours, from two days on in days."""
        total = length / dt.timedelta(hours=1)
        if total < 1:
            return self.say("time.minutes", n=round(total * 60))
        return self.say("time.hours", n=round(total)) if total < 48 else self.say("time.days", n=round(total / 24))

    # times

    def day(self, at: dt.datetime | dt.date) -> str:
        """Give a day: Fri Jul 24."""
        on = self._local_day(at)
        return self.say(
            "time.day", weekday=self.weekday(on), month=self.words.words("months")[on.month - 1], day=on.day
        )  # fmt: skip

    def weekday(self, at: dt.datetime | dt.date) -> str:
        """Give the short name of a day of the week."""
        return self.words.words("days")[self._local_day(at).weekday()]

    def hour(self, at: dt.datetime) -> str:
        """Give a time of day as the farm writes it: 7 am, 8:10 am; 07:00 on a farm that uses Celsius."""
        return self.clock(hours.local(self.farm, at).time())

    def clock(self, time: dt.time) -> str:
        """Give a time of day."""
        if self.farm.settings.units is TemperatureUnit.CELSIUS:
            return f"{time:%H:%M}"
        half = self.words.words("halves")[time.hour >= 12]
        minutes = f":{time.minute:02d}" if time.minute else ""
        return f"{(time.hour + 11) % 12 + 1}{minutes} {half}"

    def when(self, at: dt.datetime) -> str:
        """Give a time: 8:10 am today, else with its day."""
        if self._local_day(at) == self._local_day(self.now):
            hour = self.hour(at)
            return Phrase(hour, {"the": self.say("the.hour", n=self._hours(at), hour=hour), "at": self.at(at)})
        at_day = self.at_day(at)
        return Phrase(f"{self.day(at)} {self.hour(at)}", {"the": at_day, "at": at_day})

    def at(self, at: dt.datetime) -> str:
        """Give a time within a sentence: at 8:10 am, else Fri Jul 24 at 8:10 am."""
        if self._local_day(at) == self._local_day(self.now):
            return self.say("time.at_hour", n=self._hours(at), hour=self.hour(at))
        return self.at_day(at)

    def at_day(self, at: dt.datetime) -> str:
        """Give a time within a sentence with its day, be it today's."""
        at_hour = self.say("time.at_hour", n=self._hours(at), hour=self.hour(at))
        return self.say("time.at_day", day=self.day(at), at_hour=at_hour)

    def _hours(self, at: dt.datetime) -> int:
        """Give the number that the hour is told by."""
        hour = hours.local(self.farm, at).hour
        return hour if self.farm.settings.units is TemperatureUnit.CELSIUS else (hour + 11) % 12 + 1

    def range(self, window: Window) -> str:
        """Give the days from earliest to latest: Thu to Sun."""
        first, last = self._local_day(window.earliest), self._local_day(window.latest)
        if (last - first).days <= _DAYS_NAMED:
            return self.say("time.range", first=self.weekday(first), last=self.weekday(last))
        return self.say("time.range", first=self._short(first), last=self._short(last))

    def about(self, window: Window) -> str:
        """Give a hatch window: about Fri Jul 24 (Thu to Sun)."""
        return self.say("time.about", day=self.day(window.likely), range=self.range(window))

    def days_to(self, at: dt.datetime) -> int:
        """Count the days from today to a day."""
        return (self._local_day(at) - self._local_day(self.now)).days

    def in_days(self, at: dt.datetime) -> str:
        """Say how many days from now."""
        days = self.days_to(at)
        if days in {0, 1}:
            return self.say("time.today" if days == 0 else "time.tomorrow")
        return self.say("time.in_days" if days > 0 else "time.days_ago", n=abs(days))

    def _short(self, day: dt.date) -> str:
        return self.say("time.short_day", month=self.words.words("months")[day.month - 1], day=day.day)

    def _local_day(self, at: dt.datetime | dt.date) -> dt.date:
        return hours.local(self.farm, at).date() if isinstance(at, dt.datetime) else at


def _by_number(name: str) -> tuple[int, str]:
    return (int(name[1:]) if name[1:].isdigit() else 0, name)
