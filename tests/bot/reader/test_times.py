"""Words for a time, and the moment they mean in a record and in a wish."""

import datetime as dt

import pytest

from bot.reader import book, clauses, moments, nametable, tokens
from bot.reader.times import When
from core.farm.farm import Farm
from tests.bot.reader.farms import NOW

BOOK = book.book("en")
TABLE = nametable.table(Farm(), BOOK)


def when(text):
    chunks = clauses.chunked(tokens.cleaned(text), BOOK, TABLE)
    (found,) = [t.value for t in chunks if isinstance(t.value, When)]
    return found


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("20 min ago", "2026-03-04T14:10"),
        ("an hour and 30 minutes ago", "2026-03-04T13:00"),
        ("half an hour ago", "2026-03-04T14:00"),
        ("3 days ago", "2026-03-01T14:30"),
        ("a week ago", "2026-02-25T14:30"),
        ("at 6:30", "2026-03-04T06:30"),
        ("at 2", "2026-03-04T14:00"),
        ("at 3", "2026-03-04T03:00"),
        ("at seven fifteen", "2026-03-04T07:15"),
        ("half six", "2026-03-04T06:30"),
        ("at half past six", "2026-03-04T06:30"),
        ("quarter to 7", "2026-03-04T06:45"),
        ("at ten past eight", "2026-03-04T08:10"),
        ("6pm yesterday", "2026-03-03T18:00"),
        ("yesterday at 5", "2026-03-03T17:00"),
        ("yesterday morning", "2026-03-03T08:00"),
        ("at 7 this morning", "2026-03-04T07:00"),
        ("at 11 last night", "2026-03-03T23:00"),
        ("last night", "2026-03-03T21:00"),
        ("at noon", "2026-03-04T12:00"),
        ("on monday", "2026-03-02T14:30"),
        ("wednesday", "2026-02-25T14:30"),
        ("friday at 8am", "2026-02-27T08:00"),
        ("the day before yesterday", "2026-03-02T14:30"),
        ("on the 1st", "2026-03-01T14:30"),
        ("on the ninth", "2026-02-09T14:30"),
        ("feb 20", "2026-02-20T14:30"),
        ("2026-02-20", "2026-02-20T14:30"),
        ("this afternoon", "2026-03-04T14:30"),
        ("at 18:00", "2026-03-04T18:00"),
    ],
)
def test_what_happened_lies_before_the_message(text, moment):
    assert f"{moments.past(when(text), NOW):%Y-%m-%dT%H:%M}" == moment


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("in 2 hours", "2026-03-04T16:30"),
        ("in half an hour", "2026-03-04T15:00"),
        ("tomorrow at 8", "2026-03-05T08:00"),
        ("tomorrow at 5", "2026-03-05T17:00"),
        ("at 3", "2026-03-04T15:00"),
        ("at 6", "2026-03-04T18:00"),
        ("7am", "2026-03-05T07:00"),
        ("tonight", "2026-03-04T21:00"),
        ("on friday", "2026-03-06T14:30"),
        ("wednesday", "2026-03-11T14:30"),
        ("by the 3rd", "2026-04-03T14:30"),
        ("on the 31st", "2026-03-31T14:30"),
        ("every sunday at 10am", "2026-03-08T10:00"),
        ("the day after tomorrow", "2026-03-06T14:30"),
        ("next week", "2026-03-11T14:30"),
    ],
)
def test_what_is_wanted_lies_after_the_message(text, moment):
    assert f"{moments.future(when(text), NOW):%Y-%m-%dT%H:%M}" == moment


@pytest.mark.parametrize(
    ("text", "every"),
    [
        ("every day", "day"),
        ("weekly", "week"),
        ("every other week", "2 weeks"),
        ("every 3 days", "3 days"),
        ("every sunday", "week"),
    ],
)
def test_what_comes_back_says_how_often(text, every):
    assert when(text).every == every


def test_an_hour_that_the_clocks_skip_is_put_on_to_the_next():
    at = dt.datetime(2026, 3, 8, 9, tzinfo=NOW.tzinfo)

    assert moments.past(when("at 2:30 am"), at).isoformat() == "2026-03-08T03:30:00-05:00"


def test_a_day_that_no_month_near_has_is_today():
    assert moments.date(When(month=2, monthday=30), NOW, in_future=True) == NOW.date()
