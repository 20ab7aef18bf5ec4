"""What was promised, how it fares, when to warn and when to pick."""

import datetime as dt

import pytest

from core.farm.fold import fold
from core.journal import facts, wants
from core.journal.kinds import Chore, Setting
from core.rules.agenda import agenda
from core.rules.promises import ALREADY_SAID, fates, lead, orders_short, orders_to_pick, promises
from core.units import SizeGrade
from tests.builders import DENVER, a_journal, after, at

NOW = at("06-20 08:00")
ZONE = (wants.Set(what=Setting.TIMEZONE, to=DENVER), after(days=-90))
HATCHED = NOW - dt.timedelta(days=28)
BIN = (facts.Stocked(bin="B4", tubs=("T1",), count=2000), HATCHED)
FRIDAY = dt.date(2026, 6, 26)


def an_order(count=300, **fields):
    return (
        wants.Order(**({"who": "Delgado", "count": count, "size": SizeGrade.HALF, "due": FRIDAY} | fields)),
        HATCHED,
    )


def a_farm(*entries):
    return fold(a_journal(ZONE, *entries))


def told(farm, now=NOW, until=FRIDAY):
    return [(p.who, p.count, p.due) for p in promises(farm, now, until)]


def short(farm, now=NOW):
    return [(c.order, c.step, c.due) for c in orders_short(farm, {}, now, now)]


def test_promises_come_by_day_less_what_was_delivered():
    late = an_order(100, who="Pete", due=dt.date(2026, 6, 18))
    sale = (facts.Sold(who="Delgado", count=120, size=SizeGrade.HALF), NOW)

    assert told(a_farm(an_order(), late, sale)) == [("Pete", 100, dt.date(2026, 6, 18)), ("Delgado", 180, FRIDAY)]


def test_a_later_promise_gets_what_an_earlier_one_leaves():
    farm = a_farm(BIN, an_order(900), an_order(900, who="Pete", due=dt.date(2026, 6, 27)))

    (first, second), left = fates(farm, {}, NOW, promises(farm, NOW, dt.date(2026, 6, 27)))

    assert first.chance > second.chance
    assert left.stock.names == ("B4",)


def test_where_nothing_was_promised_nothing_is_reckoned():
    farm = a_farm(BIN)

    assert fates(farm, {}, NOW, ()) == ((), None)
    assert short(farm) == []


def test_it_takes_longer_to_a_larger_size():
    times = [lead(size).days for size in (SizeGrade.PINHEAD, SizeGrade.QUARTER, SizeGrade.HALF, SizeGrade.ADULT)]

    assert times == sorted(times)
    assert 12 <= times[0] <= 14
    assert 45 <= times[-1] <= 70


def test_an_order_that_cannot_be_met_is_warned_of_worse_where_half_is_missing():
    assert short(a_farm(BIN, an_order())) == []
    assert short(a_farm(BIN, an_order(1300))) == [(3, 0, at("06-26 07:00"))]
    assert short(a_farm(BIN, an_order(5000))) == [(3, 1, at("06-26 07:00"))]


def test_only_the_first_delivery_of_an_order_is_warned_of():
    assert len(short(a_farm(BIN, an_order(5000, every="week")))) == 1


@pytest.mark.parametrize(
    "farm",
    [
        pytest.param((an_order(5000),), id="nobody told of any crickets"),
        pytest.param((BIN, an_order(5000, due=dt.date(2026, 10, 1))), id="there is time to breed"),
    ],
)
def test_it_is_not_warned_where(farm):
    assert short(a_farm(*farm)) == []


def test_a_warning_goes_out_once_and_not_on_the_day_the_order_was_taken():
    farm = a_farm(BIN, (an_order(5000)[0], NOW))
    ask_at = next(iter(orders_short(farm, {}, NOW, NOW))).ask_at

    assert ask_at == NOW + ALREADY_SAID
    assert Chore.ORDER_SHORT not in {c.chore for c in agenda(farm, NOW).to_ask}


def test_a_days_orders_are_picked_the_evening_before():
    farm = a_farm(BIN, an_order(), an_order(20, who="Pete"))

    (chore,) = orders_to_pick(farm, {}, at("06-25 12:00"), at("06-26 12:00"))

    assert (chore.ask_at, chore.due) == (at("06-25 18:00"), at("06-26 07:00"))


def test_what_is_delivered_is_not_picked():
    sale = (facts.Sold(who="Delgado", count=300, size=SizeGrade.HALF), at("06-25 10:00"))

    assert list(orders_to_pick(a_farm(BIN, an_order(), sale), {}, at("06-25 12:00"), at("06-26 12:00"))) == []


def test_what_is_overdue_is_not_warned_of():
    farm = a_farm(BIN, an_order(5000))

    assert short(farm, at("06-26 08:00"))
    assert not short(farm, at("06-27 08:00"))


def test_who_orders_in_the_evening_before_is_picked_for_from_then_on():
    evening = at("06-25 20:00")
    farm = a_farm(BIN, an_order(), (an_order(20, who="Pete")[0], evening))
    before = a_farm(BIN, an_order())

    (late,) = orders_to_pick(farm, {}, evening, at("06-26 12:00"))
    (first,) = orders_to_pick(before, {}, evening, at("06-26 12:00"))

    assert (late.ask_at, late.step) == (evening, 2)
    assert (first.ask_at, first.step) == (at("06-25 18:00"), 1)
