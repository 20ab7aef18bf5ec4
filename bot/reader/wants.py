"""Fills the slots of what is wanted: reminders, settings, additions, names, chores.

Not for facts (subjects, amounts, wordslots) nor for times (whens).
"""

from bot.reader import whens
from bot.reader.names import Group
from bot.reader.scene import View
from bot.reader.times import When
from bot.reader.tokens import CHUNK, MARK, NUMBER, WORD, Token
from core.journal.kinds import Weekday


def text(view: View) -> str | None:
    """Fill the `text` of a remark."""
    captured = view.captured("text")
    if not captured:
        return None
    at = view.clause.tokens.index(captured[0])
    start = view.clause.tokens[at - 1].end if at else captured[0].start
    return view.scene.text[start : captured[-1].end].strip(" .,:;!?-\"'") or None


def remind_text(view: View) -> str | None:
    """Fill the `text` of a reminder: the sentence without "remind me to" and without its time."""
    sets = view.book.word_sets
    lead = sets["lead"]
    tokens = [t for t in view.tokens if t.kind != MARK or t.text not in (",", ":")]
    while tokens and (
        isinstance(tokens[0].value, When) or (tokens[0].kind == WORD and lead.issuperset(tokens[0].text.split()))
    ):
        tokens.pop(0)
    while tokens and isinstance(tokens[-1].value, When):
        tokens.pop()
        while tokens and tokens[-1].text in sets["ends_reminder"]:
            tokens.pop()
    middle = next((i for i, t in enumerate(tokens) if isinstance(t.value, When)), None)
    if middle is not None and any(t.text in sets["reminds"] for t in tokens):
        tokens = tokens[:middle]
        while tokens and tokens[-1].text in lead:
            tokens.pop()
    return _with_article(view, tokens) or None


def _with_article(view: View, tokens: list[Token]) -> str:
    """Give the words with the article before them, which tokens leave out."""
    said = view.original(tokens)
    before = view.scene.text[: tokens[0].start].split()[-1:] if tokens else []
    return f"{before[0]} {said}" if before and before[0].lower() in view.book.word_sets["definite"] else said


def order_number(view: View) -> int | None:
    """Fill the order of a `cancel`: the number that a button says."""
    captured = view.captured("order")
    return int(captured[0].value) if captured and captured[0].kind == NUMBER else None


def chore(view: View) -> str | None:
    """Fill the chore that words name."""
    words = {t.text for t in view.tokens if t.kind == WORD}
    if view.chunks("@tray") and words & view.book.word_sets["pulls"]:
        return "pull_tray"
    chores: dict[str, str] = view.book.data["chores"]
    found = next((name for name, several in chores.items() if words & set(several.split())), None)
    is_of_bins = bool(view.chunks("<bin>")) and not view.chunks("<tub>")
    return "bin_water" if found == "water" and is_of_bins else found


def last_chore(view: View) -> str | None:
    """Fill the chore of `done` and `skip`: the one named, else the one asked for last."""
    named = chore(view)
    last = view.scene.farm.last_asked
    return named or (str(last.chore) if last is not None else None)


def add_name(view: View) -> str | None:
    """Fill the `name` of something new."""
    captured = view.captured("name")
    if captured:
        return _name(view, captured)
    named = [t.value for t in view.tokens if isinstance(t.value, Group) and t.value.how == "named"]
    named = [g for g in named if g.sort == view.fixed("what")]
    return str(named[0].names[0]) if named else None


def _name(view: View, tokens: tuple[Token, ...]) -> str | None:
    run: list[Token] = []
    for token in tokens:
        stops = token.kind == CHUNK and not isinstance(token.value, Group)
        if stops or token.text in view.book.word_sets["ends_name"]:
            break
        if "<it>" in token.tags or (run and "," in view.scene.text[run[-1].end : token.start]):
            break
        run.append(token)
    return view.original(run) or None


def lamp(view: View) -> bool | None:
    """Fill `lamp`."""
    return _has(view, "@lamp", view.captured("name"))


def humidifier(view: View) -> bool | None:
    """Fill `humidifier`."""
    return _has(view, "@humidifier", view.captured("name"))


def _has(view: View, tag: str, name: tuple[Token, ...]) -> bool | None:
    called = view.scene.text[name[0].start :] if name else ""
    for token in view.chunks(tag):
        before = view.before(token)
        if (
            name
            and token is name[0]
            and not any(called.startswith(f"{token.text} {also}") for also in view.book.word_sets["and"])
        ):
            continue
        return not (before is not None and before.tags & {"@not", "@no"})
    return None


def old_name(view: View) -> str | None:
    """Fill the `old` name."""
    captured = view.captured("old")
    named = [t for t in view.tokens if isinstance(t.value, Group) and t.value.how == "named"]
    return _called(view, captured or tuple(named[:1]))


def new_name(view: View) -> str | None:
    """Fill the `new` name."""
    return _called(view, _until_stop(view, view.captured("new")))


def _until_stop(view: View, tokens: tuple[Token, ...]) -> tuple[Token, ...]:
    for i, token in enumerate(tokens):
        if i and (token.text in view.book.word_sets["ends_new"] or isinstance(token.value, When)):
            return tokens[:i]
    return tokens


def _called(view: View, tokens: tuple[Token, ...]) -> str | None:
    if len(tokens) == 1 and isinstance(tokens[0].value, Group) and tokens[0].value.names:
        return str(tokens[0].value.names[0])
    return view.original(tokens) or None


def setting(view: View) -> str | None:
    """Fill what a setting is set `to`, in its usual form."""
    return _SETTINGS[str(view.fixed("what"))](view)


def units_of(view: View) -> str | None:
    """Read the unit of temperatures: F or C."""
    tables: dict[str, str] = view.book.data["units_words"]
    words = [t.text for t in view.tokens]
    for token in view.chunks("<temp>"):
        if token.value[1]:
            return str(token.value[1])
    return next((unit for unit, several in tables.items() if set(words) & set(several.split())), None)


def water_times_of(view: View) -> str | None:
    """Read times of day: 07:00,18:00."""
    out: list[int] = []
    for hour, minute, is_clear in whens.clocks(view):
        late = not is_clear and out and hour < 12 and hour * 60 + minute <= out[-1]
        out.append((hour + (12 if late else 0)) * 60 + minute)
    return ",".join(_clock(m) for m in sorted(set(out))) or None


def quiet_hours_of(view: View) -> str | None:
    """Read a span of the day: 21:00-07:00."""
    clocks = whens.clocks(view)
    if len(clocks) != 2:
        return None
    (start, start_minute, start_clear), (end, end_minute, _) = clocks
    if not start_clear and 5 < start < 12 and end < 12:
        start += 12
    return f"{_clock(start * 60 + start_minute)}-{_clock(end * 60 + end_minute)}"


def _clock(minutes: int) -> str:
    return f"{minutes // 60 % 24:02}:{minutes % 60:02}"


def _summary_day(view: View) -> str | None:
    """Read the day on which the week is told of: mon."""
    day = next(
        (t.value.weekday for t in view.tokens if isinstance(t.value, When) and t.value.weekday is not None), None
    )
    return None if day is None else list(Weekday)[day].value


def _lay_hours(view: View) -> str | None:
    lengths = [t.value for t in view.chunks("<duration>")]
    lengths += [s for t in view.tokens if isinstance(t.value, When) for s in t.value.steps]
    hours = {"hour": 1.0, "day": 24.0, "minute": 1 / 60}
    for number, unit in lengths:
        if unit in hours:
            return f"{number * hours[unit]:g}"
    return next((f"{t.value:g}" for t in view.tokens if t.kind == NUMBER), None)


def _timezone(view: View) -> str | None:
    captured = view.captured("to")
    if captured:
        return view.original(captured)
    words = [t for t in view.tokens if t.kind != MARK]
    at = max((i for i, t in enumerate(words) if t.text in view.book.word_sets["before_zone"]), default=-1)
    raw = view.scene.text[words[at].end :].strip(" .,:;!?") if 0 <= at < len(words) - 1 else ""
    return raw or None


def language_of(view: View) -> str | None:
    """Read a language: en."""
    tables: dict[str, str] = view.book.data["languages"]
    words = {t.text for t in view.tokens}
    return next((code for code, several in tables.items() if words & set(several.split())), None)


def _farm_name(view: View) -> str | None:
    return view.original(view.captured("to")) or None


_SETTINGS = {
    "units": units_of,
    "water_times": water_times_of,
    "quiet_hours": quiet_hours_of,
    "lay_hours": _lay_hours,
    "summary": _summary_day,
    "timezone": _timezone,
    "language": language_of,
    "name": _farm_name,
}
