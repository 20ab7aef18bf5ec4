"""Orders: what is due when, what a sale goes to, what was called off."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.farm.orders import FORGOTTEN, CustomerOrder, Orders, called_off, delivered, deliveries, lapsed, remembered
from core.units import SizeGrade

FRIDAY = dt.date(2026, 7, 24)
HALF = SizeGrade.HALF


def an_order(number=1, **fields):
    given = {"who": "Delgado", "count": 500, "size": HALF, "due": FRIDAY, "every": None}
    return CustomerOrder(number=number, **(given | fields))


def due(order, today=FRIDAY, *, days=28):
    return [(d.due, d.open) for d in deliveries(order, today, today + dt.timedelta(days=days))]


def sell(orders, count, *, on=FRIDAY, who="Delgado", size=HALF):
    return delivered(orders, who=who, size=size, count=count, on=on)


def later(days):
    return FRIDAY + dt.timedelta(days=days)


def test_an_order_is_due_once():
    assert due(an_order()) == [(FRIDAY, 500)]
    assert due(an_order(), later(-40)) == []


@pytest.mark.parametrize(
    ("every", "days"),
    [
        pytest.param("week", [0, 7, 14, 21, 28], id="each week"),
        pytest.param("2 weeks", [0, 14, 28], id="every other week"),
        pytest.param("month", [0], id="each month"),
        pytest.param("10 days", [0, 10, 20], id="every ten days"),
    ],
)
def test_an_order_comes_again(every, days):
    assert [day for day, _ in due(an_order(every=every))] == [later(n) for n in days]


def test_a_month_ends_with_its_last_day():
    order = an_order(due=dt.date(2026, 1, 31), every="month")

    assert [str(day) for day, _ in due(order, dt.date(2026, 1, 31), days=65)] == [
        "2026-01-31", "2026-02-28", "2026-03-31",
    ]  # fmt: skip


def test_what_was_due_two_weeks_ago_is_held_for_settled():
    order = an_order(every="week")

    assert due(order, later(14), days=0) == [(FRIDAY, 500), (later(7), 500), (later(14), 500)]
    assert due(order, later(15), days=0) == [(later(7), 500), (later(14), 500)]


def test_an_order_of_each_day_is_still_due_after_years_without_a_word():
    assert due(an_order(every="day"), later(1000), days=0)[-1] == (later(1000), 500)


def test_an_order_that_was_due_long_ago_lapses_and_is_forgotten():
    orders = Orders((an_order(), an_order(2, every="week")))

    assert lapsed(orders, later(14)) == ()
    assert [o.number for o in lapsed(orders, later(15))] == [1]
    assert remembered(orders, FRIDAY + FORGOTTEN) is orders
    assert [o.number for o in remembered(orders, later(1) + FORGOTTEN).open] == [2]


def test_a_sale_fills_an_order():
    orders, touched = sell(Orders((an_order(),)), 500)

    assert [(d.open, d.given) for d in touched] == [(0, 500)]
    assert orders.open == ()
    assert orders.customers == ("Delgado",)


def test_a_part_leaves_the_rest_open():
    orders, touched = sell(Orders((an_order(every="week"),)), 200)

    assert touched[0].open == 300
    assert due(orders.open[0], days=7) == [(FRIDAY, 300), (later(7), 500)]


def test_two_parts_are_one_delivery():
    orders, _ = sell(Orders((an_order(every="week"),)), 200)
    orders, touched = sell(orders, 300)

    assert touched[0].open == 0
    assert due(orders.open[0], days=7) == [(later(7), 500)]


def test_what_is_over_is_not_for_next_week():
    orders, touched = sell(Orders((an_order(every="week"),)), 700)

    assert sum(d.given for d in touched) == 500
    assert due(orders.open[0], days=7) == [(later(7), 500)]


def test_what_is_over_goes_to_the_customers_next_order_of_these_days():
    _, touched = sell(Orders((an_order(), an_order(2, due=later(1), count=100))), 550)

    assert [(d.order, d.given, d.open) for d in touched] == [(1, 500, 0), (2, 50, 50)]


def test_a_sale_without_a_number_is_all_of_it():
    orders, touched = sell(Orders((an_order(),)), None)

    assert touched[0].given == 500
    assert orders.open == ()


@pytest.mark.parametrize(
    "sale",
    [
        pytest.param({"who": "Pete"}, id="another customer"),
        pytest.param({"size": SizeGrade.QUARTER}, id="another size"),
        pytest.param({"on": FRIDAY - dt.timedelta(days=7)}, id="long before"),
        pytest.param({"who": None, "size": None}, id="to nobody named, of no size"),
    ],
)
def test_another_sale_leaves_an_order_open(sale):
    orders, touched = sell(Orders((an_order(),)), 500, **sale)

    assert touched == ()
    assert len(orders.open) == 1


def test_a_name_counts_however_it_is_written():
    assert sell(Orders((an_order(),)), 500, who="DELGADO")[1]


def test_an_inch_is_an_adult():
    assert sell(Orders((an_order(size=SizeGrade.ADULT),)), 500, size=SizeGrade.INCH)[1]


def test_a_sale_to_nobody_named_goes_to_the_only_order_it_can_be():
    one, two = an_order(), an_order(2, who="Pete", due=later(1))

    assert sell(Orders((one,)), 500, who=None)[1]
    assert not sell(Orders((one, two)), 500, who=None)[1]


def test_an_order_is_called_off_or_one_of_its_days():
    orders = Orders((an_order(every="week"),))

    assert called_off(orders, 1, None).open == ()
    assert due(called_off(orders, 1, later(7)).open[0], days=14) == [(FRIDAY, 500), (later(14), 500)]


ACTS = st.one_of(
    st.tuples(st.just("sell"), st.integers(1, 900), st.integers(0, 30)),
    st.tuples(st.just("call off"), st.none() | st.integers(0, 4), st.integers(1, 2)),
)


# What is given of a delivery and what is open of it is what was ordered, whatever is sold or called off.
@given(st.lists(ACTS, max_size=12))
def test_what_was_given_and_what_is_open_add_up(acts):
    orders = Orders((an_order(every="week"), an_order(2, count=120, due=later(3))))
    counts, given = {1: 500, 2: 120}, {}
    for act, number, other in sorted(acts, key=lambda a: a[2] if a[0] == "sell" else 0):
        if act == "call off":
            orders = called_off(orders, other, None if number is None else later(7 * number))
            continue
        orders, touched = sell(orders, number, on=later(other))
        assert sum(d.given for d in touched) <= number
        for d in touched:
            key = (d.order, d.index)
            given[key] = given.get(key, 0) + d.given
            assert given[key] + d.open == counts[d.order]
