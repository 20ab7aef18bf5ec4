"""What is said of orders: picking lists, what has lapsed, what was sold."""

import datetime as dt

from bot.ports import messages
from bot.replies import orders
from bot.replies.voice import Voice
from core.farm.fold import fold
from core.journal import facts, wants
from core.journal.kinds import Chore, Setting
from core.units import SizeGrade
from tests.builders import DENVER, a_chore, a_journal, after, at

NOW = at("06-25 18:00")
ZONE = (wants.Set(what=Setting.TIMEZONE, to=DENVER), after(days=-90))
BIN = (facts.Stocked(bin="B4", tubs=("T1",), count=2000), NOW - dt.timedelta(days=40))
HALF = SizeGrade.HALF


def an_order(who, count, due=dt.date(2026, 6, 26), **fields):
    return (wants.Order(who=who, count=count, size=HALF, due=due, **fields), NOW - dt.timedelta(days=9))


def voice(*entries):
    return Voice(fold(a_journal(ZONE, *entries)), NOW)


def plain(lines):
    return [messages.plain(line) for line in lines]


def picked(*entries):
    chore = a_chore(Chore.PICK, due=at("06-26 07:00"))
    return plain(orders.to_pick(voice(*entries), chore, {}))[1:]


def test_a_bin_that_one_customer_empties_is_not_picked_from_for_the_next():
    first, second = picked(BIN, an_order("Delgado", 400), an_order("Pete", 5000))

    taken = int(second.split("in: ")[1].split(" from")[0].replace(",", ""))
    assert first.endswith("400 from bin 4.")
    assert 0 < taken < 1600
    assert "are lacking" in second


def test_an_order_that_lapsed_is_told_once_more_what_became_of_it():
    told = orders.listed(voice(BIN, an_order("Pete", 250, dt.date(2026, 6, 5))), {}, None, 60)

    assert "No open orders." in told
    assert "was due Fri Jun 5: over two weeks ago" in told


def test_of_an_order_that_comes_again_the_next_times_are_told_besides_what_is_overdue():
    weekly = an_order("Delgado", 100, dt.date(2026, 6, 12), every="week")

    told = orders.listed(voice(BIN, weekly), {}, None, 60).splitlines()

    assert [line.split(", ")[1].split(":")[0].removesuffix(".") for line in told] == [
        "was due Fri Jun 12", "was due Fri Jun 19", "Fri Jun 26", "Fri Jul 3"
    ]  # fmt: skip


def test_takings_of_more_than_a_week_come_by_week_and_by_customer():
    sales = [
        (facts.Sold(who=who, count=100, size=HALF, price=price), NOW - dt.timedelta(days=days))
        for who, price, days in (("Delgado", 10.0, 9), ("Pete", 5.0, 2), ("Delgado", 12.0, 1))
    ]
    speaker = voice(*sales)

    told = plain(orders.takings(speaker, list(speaker.farm.sales), dt.date(2026, 6, 1), NOW.date(), None).splitlines())

    assert told[1:] == [
        "Week of Mon Jun 15: 100 crickets, 10.00 USD.",
        "Week of Mon Jun 22: 200 crickets, 17.00 USD.",
        "Delgado: 200 crickets, 22.00 USD.",
        "Pete: 100 crickets, 5.00 USD.",
    ]
